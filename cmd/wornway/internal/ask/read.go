package ask

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/document"
	"wornway/profile/entry"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// stations asks for the reading at each station until the survey is done.
func (r *Recording) stations() error {
	for {
		text, err := r.answer(r.prompt())
		if err != nil {
			return err
		}
		a, err := r.Under.Parse(text)
		if err != nil {
			r.say("  " + word.Upper(plainError(err)) + ".")
			continue
		}
		if s := a.Echo(text); s != "" {
			r.say(strings.TrimRight("  Read as "+s+" "+r.Under.Unit(), " ") + ".")
		}
		done, err := r.take(a)
		var faults document.Faults
		switch {
		case errors.As(err, &faults):
			r.say("  " + faultWords(faults[0]))
		case errors.Is(err, errRefused):
		case err != nil || done:
			return err
		}
	}
}

// errRefused says that an answer was refused, and that it has been said why.
var errRefused = errors.New("refused")

// prompt asks for what comes next.
func (r *Recording) prompt() string {
	e := r.Under
	if len(e.Left) == 0 {
		switch {
		case e.CanReturn() && !e.Returning():
			return "All stations are read. return, done, again or undo"
		case e.Returning():
			return "All is read, there and back. done, again or undo"
		}
		return "All stations are read. done, again or undo"
	}
	where := r.place(e.Left[0])
	_, again := e.Repeating()
	total := len(e.Rows) + len(e.Left)
	number := len(e.Rows) + 1
	if e.Returning() {
		total, number = len(e.Rows), len(e.Rows)-len(e.Left)+1
		where = "back at " + where
	}
	if again {
		where += " again"
	} else {
		where += fmt.Sprintf(" (%d of %d)", number, total)
	}
	what := strings.Join(e.Wanted(), ", ")
	switch {
	case slices.Contains(e.Method.Columns, "feel"):
		what = "feel, 0 to 3"
	case slices.Contains(e.Method.Columns, "light"):
		what = "none, some, wide"
	case len(e.Wanted()) == 1:
		what = ""
	}
	if u := e.Unit(); u != "" {
		what = strings.TrimPrefix(what+", "+u, ", ")
	}
	return where + ", " + what
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
func (r *Recording) take(a entry.Answer) (done bool, err error) {
	e := r.Under
	var text []byte
	switch a.Word {
	case "":
		return false, r.reading(a)
	case "help":
		r.help()
		return false, nil
	case "stop":
		return false, ErrStopped
	case "undo":
		return false, r.undo()
	case "again":
		text, err = e.Again()
	case "skip":
		text, err = e.Skip()
	case "return":
		text, err = e.Return()
	case "done":
		text, err = e.Done()
	}
	if err != nil {
		r.say("  " + word.Upper(err.Error()) + "." + r.remedy(a.Word))
		return false, errRefused
	}
	rows := len(e.Rows)
	if err := r.write(text); err != nil {
		return false, err
	}
	switch a.Word {
	case "skip":
		r.say("  Left out.")
	case "return":
		r.say("  Now the way back, over the same stations.")
	case "done":
		r.say(fmt.Sprintf("Done: %s in %s. Next: wornway wear %s", word.Count(rows, "row"), r.File, r.File))
	}
	return a.Word == "done", nil
}

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
		r.say("  Taken back.")
		if r.Under == nil || !r.Under.Started {
			return errBack
		}
		return nil
	}
	text, err := r.Under.Undo()
	if err != nil {
		r.say("  " + word.Upper(err.Error()) + ".")
		return errRefused
	}
	if err := r.put(text); err != nil {
		return err
	}
	r.say("  Taken back.")
	return nil
}

func (r *Recording) help() {
	for _, line := range []string{
		"  A reading is a number, such as " + map[bool]string{true: "-1.5", false: "-0.3 or 8um"}[r.Method.Level] + ".",
		"  same: as the one before", "  again: measure the last one again", "  skip: leave this station out",
		"  return: start the way back", "  undo: take the last answer back",
		"  done: the survey is finished", "  stop: leave the rest for later",
	} {
		r.say(line)
	}
}

// reading writes a reading down and says what it means.
func (r *Recording) reading(a entry.Answer) error {
	e := r.Under
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
		r.say("  All stations are read: done ends the survey, again measures the last one again.")
		return errRefused
	}
	if err != nil {
		return err
	}
	if err := r.write(text); err != nil {
		return err
	}
	r.meaning(station, row)
	return nil
}

// meaning says in a line how the estimate stands at the station, and which reading does not fit the others.
func (r *Recording) meaning(at entry.Station, row int) {
	i := r.index()
	if zero := func(t survey.Term) bool { return t.Name == survey.ZeroName }; i >= 0 && len(r.Under.Rows) == 1 &&
		slices.ContainsFunc(r.Profile.Surveys[i].Set.Terms, zero) {
		r.say("  Written down; the next ones are counted from it.")
		return
	}
	est, err := r.Profile.Estimate()
	if err != nil {
		r.say("  Written down.")
		return
	}
	l := &shop.Bench{Profile: r.Profile, Estimate: est, Units: r.Units}
	l.Machine.Wear = est.Wear
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
	r.say(fmt.Sprintf("  %s here: %s %s, %s.", what, r.Small(math.Abs(v)), way, r.PlusMinus(u, stated)))
	// One misread reading may make a way grow by itself: the reading first.
	if !r.misfits(l, row) && len(est.Grown) > 0 && !r.Told["grown"] {
		r.Told["grown"] = true
		r.say(fmt.Sprintf("! By the readings so far the %s way would stand higher at %s than when it was new. Is the "+
			"sign right? %s", est.Grown[0].Curve, r.About(est.Grown[0].Position), r.sign()))
	}
}

// sign says again which way the method's readings count.
func (r *Recording) sign() string {
	if _, after, ok := strings.Cut(r.Method.Setup(), "Plus: "); ok {
		return "Plus: " + after
	}
	return ""
}

// index is that of the survey under way among those of the profile; −1 where it has no reading yet.
func (r *Recording) index() int {
	return slices.IndexFunc(r.Profile.Surveys, func(s profile.Survey) bool { return s.Number == r.Under.Number })
}

// sees returns what the method's readings are chiefly about, and the words for its two signs.
func (r *Recording) sees() (what string, sum bed.Sum, plus, minus string) {
	on := r.said("touch") + r.said("on")
	switch r.Method.Name {
	case "bar-side", "test-cut":
		return "Tool", r.Profile.Lathe.Bed.ToolOut(), "out", "in"
	case "level-across", "saddle-level":
		return "Front against rear", bed.At(bed.Front, 0).Plus(bed.At(bed.Rear, 0).Times(-1)), "down", "up"
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
		id := fmt.Sprint(k, r.Under.Rows[k].Cells)
		if r.Told[id] {
			continue
		}
		r.Told[id] = true
		hint := ""
		if slip := r.Method.Misread(o.Reading, o.Off, o.U); slip != "" {
			hint = " It fits if " + slip + "."
		}
		off := fmt.Sprintf("%.1f times its uncertainty off", math.Abs(o.Sigma))
		if k == row {
			r.say("! This does not fit: " + off + "." + hint + " Is all clean and firm? again measures it again.")
		} else {
			r.say(fmt.Sprintf("! Now the one at %s does not fit: %s.%s", r.place(r.Under.Rows[k].At), off, hint))
		}
		return true
	}
	return false
}

// faultWords says what is wrong with a row.
func faultWords(f document.Fault) string {
	s := f.Message
	if rest, ok := strings.CutPrefix(s, "row "); ok {
		if _, after, found := strings.Cut(rest, ": "); found {
			s = after
		}
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
