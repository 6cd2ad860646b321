package ask

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/document"
	"wornway/profile/entry"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// askReading asks for the reading at the next station.
func (r *Recording) askReading() {
	e := r.Under
	p := &Prompt{Kind: AskReading, Columns: e.Wanted(), Unit: e.Unit(), Back: e.Returning(), Words: entry.Words}
	r.turn.Asks = p
	r.next = r.read
	if len(e.Left) == 0 && len(e.Rows) == 0 {
		p.Words = []string{"undo"}
		p.Text = "Every station was left out: answer at " + r.such() + " to read one, undo or stop"
		return
	}
	if len(e.Left) == 0 {
		p.Words = []string{"done", "again", "undo"}
		p.Text = "All stations are read: answer done"
		switch {
		case e.CanReturn() && !e.Returning():
			p.Words = slices.Insert(p.Words, 0, "return")
			p.Text += ", return (read them again on the way back)"
		case e.Returning():
			p.Text = "All is read, there and back: answer done"
		}
		p.Text += fmt.Sprintf(", again, again %s or undo", r.such())
		return
	}
	p.Station = e.Left[0]
	where := r.place(e.Left[0])
	_, p.Again = e.Repeating()
	p.Of, p.Number = len(e.Rows)+len(e.Left), len(e.Rows)+1
	if p.Back {
		p.Of, p.Number = len(e.Rows), len(e.Rows)-len(e.Left)+1
		where = "back at " + where
	}
	if p.Again {
		if !p.Back { // the new reading takes the place of the last one
			p.Of, p.Number = p.Of-1, p.Number-1
		}
		where += " again"
	} else {
		where += fmt.Sprintf(" (%d of %d)", p.Number, p.Of)
	}
	what := strings.Join(p.Columns, ", ")
	switch {
	case slices.Contains(e.Method.Columns, "feel"):
		what = "feel, 0 to 3"
	case slices.Contains(e.Method.Columns, "light"):
		what = "none, some, wide"
	case len(p.Columns) == 1:
		what = ""
	}
	if p.Unit != "" {
		what = strings.TrimPrefix(what+", "+p.Unit, ", ")
	}
	p.Text = where + ", " + what
}

// read takes what is said at a station.
func (r *Recording) read(text string) error {
	if is, err := r.elsewhere(text); is || err != nil {
		return err
	}
	a, err := r.Under.Parse(text)
	if err != nil {
		r.tell(Refused, word.Upper(plainError(err))+".")
		return nil
	}
	if s := a.Echo(text); s != "" {
		r.tell(Meaning, strings.TrimRight("Read as "+s+" "+r.Under.Unit(), " ")+".")
	}
	err = r.take(a)
	var faults document.Faults
	if errors.As(err, &faults) {
		r.tell(Refused, faultWords(faults[0]))
		return nil
	}
	return err
}

// place writes where a station is.
func (r *Recording) place(s entry.Station) string {
	var out []string
	for _, z := range s {
		out = append(out, r.Bare(r.In.ToMM(z)))
	}
	return strings.Join(out, " to ") + " " + r.In.String()
}

// take does what an answer asks for.
func (r *Recording) take(a entry.Answer) error {
	e := r.Under
	var text []byte
	var err error
	switch a.Word {
	case "":
		return r.reading(a)
	case "help":
		r.help()
		return nil
	case "undo":
		return r.undo()
	case "zero":
		if r.table != nil {
			r.tell(Refused, "Another setting of the dial is another cut: answer done, and record the next one.")
			return nil
		}
		return r.newZero()
	case "again":
		text, err = e.Again()
	case "skip":
		text, err = e.Skip()
	case "return":
		text, err = e.Return()
	case "done":
		if r.table != nil && len(e.Rows) == 1 {
			r.tell(Refused, "One collar of a cut says nothing: measure another one.")
			return nil
		}
		text, err = e.Done()
	}
	if err != nil {
		r.tell(Refused, word.Upper(err.Error())+"."+r.remedy(a.Word))
		return nil
	}
	if err := r.write(text); err != nil {
		return err
	}
	switch a.Word {
	case "skip":
		r.tell(Meaning, "Left out.")
	case "return":
		r.tell(Meaning, "Now the way back, over the same stations.")
	case "done":
		r.turn.Done = true
		if r.table != nil {
			r.table.finished(r, e)
			return nil
		}
		r.finished(len(e.Rows))
	}
	return nil
}

// newZero goes on from a new zero. A reading that was just said not to fit belongs to it already.
func (r *Recording) newZero() error {
	i, last := r.index(), r.odd
	if i >= 0 && !r.zeroed(i) {
		r.tell(Refused, word.Upper(entry.ErrNoZero.Error())+".")
		return nil
	}
	where := ""
	if k := r.Under.Last(); k >= 0 {
		where = r.place(r.Under.Rows[k].At)
	}
	text, err := r.Under.Moved(last)
	if err != nil {
		r.tell(Refused, word.Upper(err.Error())+".")
		return nil
	}
	if err := r.write(text); err != nil {
		return err
	}
	if last && len(r.Under.Rows) > 0 {
		r.tell(Meaning, fmt.Sprintf("A new zero begins with the reading at %s. What was read before it stays.", where))
	} else {
		r.tell(Meaning, "A new zero begins with the next reading. What was read before it stays.")
	}
	return nil
}

// zeroed says whether the readings of a survey count from a zero of their own.
func (r *Recording) zeroed(survey int) bool {
	return slices.ContainsFunc(r.Profile.Surveys[survey].Set.Terms, isZero)
}

func isZero(t survey.Term) bool { return t.Name == survey.ZeroName }

// remedy says what to do where a step cannot be done.
func (r *Recording) remedy(word string) string {
	if word == "done" {
		return fmt.Sprintf(" stop leaves the survey for later; to drop it, take its [[survey]] out of %s.", r.File)
	}
	return ""
}

// undo takes the last answer back: of this conversation whatever it was, of one before it the last reading.
func (r *Recording) undo() error {
	if len(r.before) > 0 {
		if err := r.takeBack(); err != nil {
			return err
		}
		r.tell(Meaning, "Taken back.")
		// stations that were given beforehand would only be put back: what was answered before them is meant
		if !r.started() && r.survey.Places.Given() && len(r.before) > 0 {
			return r.takeBack()
		}
		return nil
	}
	text, err := r.Under.Undo()
	if err != nil {
		r.tell(Refused, word.Upper(err.Error())+".")
		return nil
	}
	if err := r.put(text); err != nil {
		return err
	}
	r.tell(Meaning, "Taken back.")
	return nil
}

func (r *Recording) help() {
	such := r.such()
	for _, line := range []string{
		"A reading is a number, such as " + map[bool]string{true: "-1.5", false: "-0.3 or 8um"}[r.Method.Level] + ".",
		"same: as the one before", "again: measure the last one again",
		fmt.Sprintf("again %s: measure the one at %[1]s again, and go on from here", such),
		"skip: leave this station out", fmt.Sprintf("at %s: go to the station at %[1]s next", such),
		"return: start the way back", "undo: take the last answer back",
		"zero: the zero has moved, as when the indicator was knocked; what was read before stays",
		"done: the survey is finished", "stop: leave the rest for later",
	} {
		r.tell(Meaning, line)
	}
}

// reading writes a reading down and says what it means.
func (r *Recording) reading(a entry.Answer) error {
	e := r.Under
	r.odd = false
	station := entry.Station(nil)
	row := len(e.Rows)
	if len(e.Left) > 0 {
		station = e.Left[0]
	}
	if i, again := e.Repeating(); again || e.Returning() {
		row = i
	}
	text, err := e.Read(a.Cells)
	if errors.Is(err, entry.ErrNoStation) {
		r.tell(Refused, "All stations are read: done ends the survey, again measures the last one again.")
		return nil
	}
	if err != nil {
		return err
	}
	if err := r.write(text); err != nil {
		return err
	}
	if r.table != nil {
		r.collar(row)
	} else {
		r.meaning(station, row)
	}
	return nil
}

// meaning says in a line how the estimate stands at the station, and which reading does not fit the others.
func (r *Recording) meaning(at entry.Station, row int) {
	if i := r.index(); i >= 0 && len(r.Under.Rows) == 1 && r.zeroed(i) {
		r.tell(Meaning, "Written down; the next ones are counted from it.")
		return
	}
	est, err := r.known()
	if err != nil {
		r.tell(Meaning, "Written down.")
		return
	}
	l := &shop.Bench{Profile: r.Profile, Estimate: est, Units: r.Units, Machine: compensate.Machine{
		Lathe: r.Profile.Lathe.Bed, Wear: est.Wear, Axis: compensate.SpindleAxis()}}
	z := 0.0
	for _, p := range at {
		z += r.In.ToMM(p) / float64(len(at))
	}
	what, sum, plus, minus := r.sees()
	v := est.Wear.Value(sum, z)
	u, stated := l.Uncertainty(sum, z)
	way := plus
	if v < 0 {
		way = minus
	}
	switch {
	case stated && 2*u > profile.UsualDepth && r.told["unknown"]:
		r.tell(Meaning, "Written down.")
	case stated && 2*u > profile.UsualDepth:
		r.told["unknown"] = true
		r.tell(Meaning, "Written down. The readings do not tell yet how far "+sunk(what)+".")
	default:
		r.tell(Meaning, fmt.Sprintf("%s here: %s %s, %s.", what, r.Small(math.Abs(v)), way, r.PlusMinus(u, stated)))
	}
	// One misread reading may make a way grow by itself: the reading first.
	if !r.otherSign(row) && !r.misfits(l, row) && len(est.Grown) > 0 && !r.told["grown"] {
		r.told["grown"] = true
		r.tell(Odd, fmt.Sprintf("By the readings so far the %s way would stand higher at %s than when it was new. %s",
			est.Grown[0].Curve, r.About(est.Grown[0].Position), r.sign()))
	}
	r.sure(l)
}

// sunk says what is not known of a way, or of the tool.
func sunk(what string) string {
	if what == "Tool" {
		return "the tool is moved in or out"
	}
	if what == frontAgainstRear {
		return "the front way has sunk against the rear"
	}
	if what == rearCorner {
		return "the saddle's rear corner goes down"
	}
	return "the " + word.Lower(what) + " has sunk"
}

const (
	frontAgainstRear = "Front against rear"
	rearCorner       = "Saddle's rear corner"
)

// sign says what to do where the sign may be wrong: which way the method's readings count.
func (r *Recording) sign() string {
	if plus := r.Method.Plus(); plus != "" {
		return "Check the sign; plus is: " + plus + "."
	}
	return "Check what was written."
}

// index is that of the survey under way among those of the profile; −1 where it has no reading yet.
func (r *Recording) index() int {
	return slices.IndexFunc(r.Profile.Surveys, func(s profile.Survey) bool { return s.Number == r.Under.Number })
}

// sees returns what the method's readings are chiefly about, and the words for its two signs.
func (r *Recording) sees() (what string, sum bed.Sum, plus, minus string) {
	on := r.keyed("touch") + r.keyed("on")
	switch r.Method.Name {
	case "bar-side", "test-cut":
		return "Tool", r.Profile.Lathe.Bed.ToolOut(), "out", "in"
	case "level-across", "saddle-level":
		return frontAgainstRear, bed.At(bed.Front, 0).Plus(bed.At(bed.Rear, 0).Times(-1)), "down", "up"
	case "saddle-rock":
		return rearCorner, r.Profile.Lathe.Bed.Saddle.Rocked(r.Profile.Lathe.Bed.Saddle.ToolOffset), "down", "up"
	}
	switch {
	case on == "tail-front" && r.Method.Name != "carriage-indicator":
		return "Front tailstock way", bed.At(bed.TailFront, 0), "down", "up"
	case on == "tail-rear" && r.Method.Name != "carriage-indicator":
		return "Rear tailstock way", bed.At(bed.TailRear, 0), "down", "up"
	case on == "rear" || on == "tail-rear":
		return "Rear way", bed.At(bed.Rear, 0), "down", "up"
	}
	return "Front way", bed.At(bed.Front, 0), "down", "up"
}

// misfits says that the reading just taken, or another of the survey since it came, does not fit what all the others
// say, and returns whether any does not.
func (r *Recording) misfits(l *shop.Bench, row int) bool {
	i := r.index()
	if i < 0 {
		return false
	}
	if r.Profile.Stated != nil {
		i++
	}
	a := l.Estimate.Surveys[i]
	for _, o := range a.Outliers {
		k := o.Row - 1
		if k < 0 || k >= len(r.Under.Rows) {
			continue
		}
		id := r.identity(k)
		if r.told[id] {
			continue
		}
		r.told[id] = true
		off := fmt.Sprintf("%.1f times its uncertainty off", math.Abs(o.Sigma))
		if slip := r.Method.Misread(o.Reading, o.Off, o.U); slip != "" {
			off += "; it fits if " + slip
		}
		if k == row {
			r.odd, r.turn.Mends = true, append(r.turn.Mends, "again")
			r.tell(Odd, "This does not fit: "+off+". "+r.mend())
		} else {
			r.tell(Odd, fmt.Sprintf("Now the one at %s does not fit: %s. %s",
				r.place(r.Under.Rows[k].At), off, r.later(k)))
		}
		return true
	}
	return false
}

// identity names a row as it was read, to tell once what is odd about it.
func (r *Recording) identity(row int) string {
	return fmt.Sprint(r.Under.Number, row, r.Under.Rows[row].Cells)
}

// mend says what to do about a reading that does not fit.
func (r *Recording) mend() string {
	s := "See that all is clean and firm, then answer again to measure it once more"
	if i := r.index(); i >= 0 && r.zeroed(i) {
		s += ", or zero if something was knocked"
	}
	return s + "."
}

// later says how a station that lies behind is looked at once more.
func (r *Recording) later(row int) string {
	if !r.Under.CanAgain(row) {
		return "Look at it once more in a run of its own."
	}
	answer := r.againWords(r.Under.Rows[row].At)
	r.turn.Mends = append(r.turn.Mends, answer)
	return fmt.Sprintf("Answer %s to measure it once more: the new reading takes its place.", answer)
}

// faultWords says what is wrong with a row.
func faultWords(f document.Fault) string {
	s := f.Message
	if rest, ok := strings.CutPrefix(s, "row "); ok {
		if _, after, found := strings.Cut(rest, ": "); found {
			s = after
		}
	}
	if f.Key == "diameter" && s == f.Message {
		s = "that " + s
	}
	return word.Upper(s) + "." + how(f.Hint)
}

// plainError is an error's text without quotes round what was typed.
func plainError(err error) string {
	var l *length.Error
	if errors.As(err, &l) {
		s := l.Text + " " + l.What
		if l.Hint != "" {
			s += "; " + l.Hint
		}
		return s
	}
	return err.Error()
}
