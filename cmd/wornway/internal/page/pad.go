package page

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"unicode/utf8"

	"wornway/cmd/wornway/internal/ask"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/entry"
	"wornway/profile/length"
)

// question is what Measure asks, with the keys to answer it by.
type question struct {
	Token string // of this question and no other
	Asks  string // the key, or stations, or reading
	Place string // names what is asked for, whoever asks, and however often the program was started
	Head  string // large: where, or what
	At    string // of a reading: where
	Hints []string
	Sign  string // which way a reading counts; empty where it has no sign
	Last  string // the reading taken last
	Where string // where it was taken
	Old   string // the reading in whose place one comes; empty: none

	Choices []offer
	Usual   string // on the key for it; empty: there is none
	Typical string // what stands in the empty field
	Cells   []cell // to be typed into
	Pad     []padKey
	Other   *wordKey // what else can be typed there
	Goes    string   // a place that leads to another station
	Anew    []key    // measure a station anew whose reading does not fit
	Words   []key
	Ends    bool // all is read
	How     string
}

// offer is an answer that is tapped.
type offer struct {
	key
	First bool
}

type cell struct{ Label, Name string }

// padKey is a key of the pad: what it types, and what is read out for it where that is no name.
type padKey struct{ Types, Name string }

// Does says whether the key does something instead of typing.
func (k padKey) Does() bool { return k.Types == erase || k.Types == turn }

// Long says whether what stands on the key needs smaller letters.
func (k padKey) Long() bool { return utf8.RuneCountInString(k.Types) > 3 }

const (
	erase = "⌫"
	turn  = "±"
)

// wordKey is an answer of another kind: a word, and what is typed behind it.
type wordKey struct{ Word, Label, Asks, Does string }

func newWordKey(w, asks, does string) *wordKey {
	return &wordKey{w, keys[keyed(w)].Label, asks, does}
}

// perDivision are what divisions of levels mostly are. Common practice, no source.
var perDivision = map[length.Unit][]string{length.Millimetre: {"0.02 mm/m", "0.05 mm/m"},
	length.Inch: {"0.0005 in/ft", "0.02 mm/m"}}

// readOff are what is said of a place in place of a number, by the column.
var readOff = map[string][]key{
	"light": {{"none", "none"}, {"some", "some"}, {"wide", "wide"}},
	"feel":  {{"0", "0 free"}, {"1", "1 drags"}, {"2", "2 tight"}, {"3", "3 will not move"}},
}

// asked is the question that a survey stands at.
func (m *liveSurvey) asked(p *profile.Profile) *question {
	r, a := m.record, m.turn.Asks
	q := &question{Token: m.token(), Usual: a.Empty, Typical: a.Usual, Words: labelled(a.Words), How: r.Method.Setup()}
	number, rows := 0, 0
	if e := r.Under; e != nil {
		number, rows = e.Number, len(e.Rows)
		q.before(e, p)
	}
	switch {
	case a.Kind == ask.AskQuestion:
		q.key(a, p.Unit)
	case a.Kind == ask.AskStations:
		q.stations(a, p)
	case a.Station == nil:
		q.end(a, p)
	default:
		q.reading(a, r, p)
	}
	q.Place = fmt.Sprintf("%s %d %s %d %s %t", r.Method.Name, number, q.Asks, rows, typedAll(a.Station, p), a.Again)
	for _, mend := range m.turn.Mends {
		station, is := strings.CutPrefix(mend, "again ")
		if k := (key{mend, anew(station)}); is && !slices.Contains(q.Anew, k) {
			q.Anew = append(q.Anew, k)
		}
	}
	if g := m.turn.Goes; g != "" {
		q.Goes = strings.TrimPrefix(g, "at ")
	}
	return q
}

// before is what was read last, and where, and what is measured again.
func (q *question) before(e *entry.Entry, p *profile.Profile) {
	cells := func(row int) string {
		var out []string
		for _, c := range e.Wanted() {
			out = append(out, strings.TrimSuffix(strings.Trim(e.Rows[row].Cells[c], `"`), ".0"))
		}
		return strings.Join(out, ", ")
	}
	if i := e.Last(); i >= 0 {
		q.Last, q.Where = cells(i), typedAll(e.Rows[i].At, p)
	}
	if i, yes := e.Repeating(); yes {
		q.Old = cells(i)
	}
}

// key is a question about the survey as a whole.
func (q *question) key(a *ask.Prompt, u length.Unit) {
	q.Asks, q.Head = a.Key, a.What
	if a.How != "" {
		q.Hints = append(q.Hints, word.Upper(a.How)+".")
	}
	if a.Key == "per_division" {
		for _, s := range perDivision[u] {
			q.Choices = append(q.Choices, offer{key{s, s}, false})
		}
	}
	for _, c := range a.Choices {
		first := c == a.Empty
		q.Choices = append(q.Choices, offer{key{c, choiceWord(c)}, first})
		if first {
			q.Usual = ""
		}
	}
	if len(a.Choices) > 0 {
		return
	}
	q.Cells = []cell{{Name: q.Head}}
	if u := unitAsked(a.Text); u != "" {
		full := u
		if u == length.Inch.String() {
			full = inFull(length.Inch)
		}
		q.Hints = []string{strings.Join(append(q.Hints, "In "+full+"."), " ")}
		if q.Usual != "" && strings.Trim(q.Usual, "0123456789.") == "" {
			q.Usual += " " + u
		}
	}
	units := []string{"in", "mm", "thou"}
	switch a.Key {
	case "date":
		units = []string{"-"}
	case "uncertainty":
		units = []string{"thou", "µm", "mm"}
	case "per_division":
		units = []string{"mm/m", "in/ft", "arcsec"}
	}
	q.Pad = pad(a.Key == "tip_offset", units...)
}

// unitAsked is the unit of a plain number, which a question as a line has in brackets; empty where it has none.
func unitAsked(line string) string {
	_, in, _ := strings.Cut(strings.TrimSuffix(line, ")"), " (")
	if u, _, _ := strings.Cut(in, "; "); !strings.HasPrefix(u, "empty: ") {
		return choiceWord(u)
	}
	return ""
}

// stations asks where readings are to be taken.
func (q *question) stations(a *ask.Prompt, p *profile.Profile) {
	q.Asks, q.Head = "stations", "At which places?"
	q.Hints = []string{inFull(p.Unit) + " from the spindle nose, a space between them"}
	if f := strings.Fields(a.Usual); len(f) > 1 {
		q.Usual = fmt.Sprintf("%d places, %s to %s", len(f), f[0], f[len(f)-1])
	}
	q.Cells = []cell{{Name: q.Head}}
	q.Other = newWordKey("every", "Every how many "+inFull(p.Unit)+"?", "Spread them")
	q.Pad = pad(p.Lathe.Ways.From < 0)
}

// end asks what comes next where all is read, or where every station was left out.
func (q *question) end(a *ask.Prompt, p *profile.Profile) {
	q.Asks, q.Ends = "end", true
	q.Head, _, _ = strings.Cut(a.Text, ":")
	q.Head += "."
	i := slices.IndexFunc(q.Words, func(k key) bool { return k.Word == "done" })
	if i < 0 { // nothing was read
		q.Words = append(q.Words, keys[keyed("stop")])
		q.elsewhere(p)
		q.Pad = pad(p.Lathe.Ways.From < 0)
		return
	}
	q.Words = slices.Insert(slices.Delete(q.Words, i, i+1), 0, keys[keyed("done")]) // what comes next stands first
}

// elsewhere offers to go to another place.
func (q *question) elsewhere(p *profile.Profile) {
	q.Other = newWordKey("at", "Which place is next, in "+inFull(p.Unit)+"?", "Go there")
}

// reading asks for a reading at a station.
func (q *question) reading(a *ask.Prompt, r *ask.Recording, p *profile.Profile) {
	q.Asks = "reading"
	q.At = typedAll(a.Station, p)
	if q.Head = q.At; a.Back {
		q.Head = "back at " + q.Head
	}
	if a.Again {
		q.Head += ", again"
	}
	hint := fmt.Sprintf("%d of %d", a.Number, a.Of)
	if a.Unit != "" {
		hint += ", in " + a.Unit
	}
	switch {
	case q.Old != "":
		hint += "; it takes the place of " + q.Old
	case q.Last != "":
		hint += "; last " + q.Last + " at " + q.Where
	}
	q.Hints = []string{hint}
	if !r.Under.CanReturn() || a.Back {
		q.drop("return")
	}
	if q.Last == "" {
		q.drop("same", "again")
	}
	q.elsewhere(p)
	if len(a.Columns) == 1 && readOff[a.Columns[0]] != nil {
		for _, k := range readOff[a.Columns[0]] {
			q.Choices = append(q.Choices, offer{k, false})
		}
		q.Pad = pad(p.Lathe.Ways.From < 0)
		return
	}
	if q.Sign = r.Method.Plus(); r.Method.Name == "stated" {
		q.Sign = "down; a shift toward the operator"
	}
	for _, c := range a.Columns {
		label := ""
		if len(a.Columns) > 1 || c == "diameter" {
			label = c
		}
		q.Cells = append(q.Cells, cell{label, strings.TrimSpace(c + " at " + q.Head)})
	}
	units := []string{"thou", "µm", "mm"}
	if r.Method.Level {
		units = []string{"½", "¼", "¾"}
	}
	q.Pad = pad(q.Sign != "", units...)
}

// drop takes keys away that would do nothing there.
func (q *question) drop(words ...string) {
	q.Words = slices.DeleteFunc(q.Words, func(k key) bool { return slices.Contains(words, k.Word) })
}

// pad are the keys of a number, five in a row, with up to three units; signed where it can be less than nothing.
func pad(signed bool, units ...string) []padKey {
	var out []padKey
	for i, row := range []string{"789", "456", "123"} {
		for _, d := range row {
			out = append(out, padKey{Types: string(d)})
		}
		switch {
		case i == 0:
			out = append(out, padKey{erase, "take the last sign away"})
		case i == 1 && signed:
			out = append(out, padKey{turn, "turn the sign round"})
		case i == 1:
			out = append(out, padKey{})
		default:
			out = append(out, padKey{"/", "over"})
		}
		unit := padKey{}
		if i < len(units) {
			unit.Types = units[i]
		}
		out = append(out, unit)
	}
	return append(out, padKey{Types: "0"}, padKey{Types: "."}, padKey{" ", "space"})
}

// inFull is a unit's name in full.
func inFull(u length.Unit) string {
	if u == length.Inch {
		return "inches"
	}
	return u.String()
}

// typedAll is a station as one would type it, with its unit.
func typedAll(at []float64, p *profile.Profile) string {
	var out []string
	for _, z := range at {
		out = append(out, typed(z))
	}
	return strings.Join(out, " to ") + " " + p.Unit.String()
}

// answered is the answer that a form brings, as record takes it; ok is false where nothing was typed behind a word that
// needs something.
func answered(f url.Values) (text string, ok bool) {
	if text = f.Get("word"); text != "" {
		return text, true
	}
	if f.Get("usual") != "" {
		return "", true
	}
	if way := f.Get("elsewhere"); way == "at" || way == "every" {
		place := plainText(f.Get("place"))
		return way + " " + place, place != ""
	}
	var cells []string
	for _, c := range f["answer"] { // a list of stations may be long
		cells = append(cells, plainText(c))
	}
	return strings.TrimSpace(strings.Join(cells, " ")), true
}
