package ask

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/collars"
	"wornway/profile/document"
	"wornway/profile/entry"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// openQuestion returns the first key of the survey that has no answer yet.
func (r *Recording) openQuestion() (survey.Question, bool) {
	qs := r.Method.Questions(survey.Machine{Lathe: r.Profile.Lathe.Bed, Unit: r.Profile.Unit})
	if r.table != nil {
		qs = r.table.questions(qs)
	}
	i := slices.IndexFunc(qs, func(q survey.Question) bool {
		return (r.Under == nil || !r.Under.Answered(q.Key)) && (q.If == nil || q.If(r.keyed))
	})
	if i < 0 {
		return survey.Question{}, false
	}
	q := qs[i]
	switch h := r.Profile.Lathe.Holding; {
	case q.Kind == survey.Day:
		q.Usual = r.today()
	case q.Key == "held" && slices.Contains(q.Of, string(r.survey.Given.Held)): // as the work is that it is made for
		q.Usual = string(r.survey.Given.Held)
	case q.Key == "held_at" && h != nil:
		q.Usual = entry.Decimal(r.Profile.Unit.From(h.JawsFront))
	}
	return q, true
}

// askQuestion asks for one key. Its answer is on disk before the next question.
func (r *Recording) askQuestion(q survey.Question) {
	p := &Prompt{Kind: AskQuestion, Text: "  " + q.Key + r.choice(q), Key: q.Key, Usual: q.Usual, Needed: q.Needed,
		What: word.Upper(q.What) + ending(q.What), How: q.How, Empty: r.empty(q),
		Words: []string{"undo", "stop"}}
	r.tell(About, p.What+how(q.How))
	switch q.Kind {
	case survey.Word:
		p.Choices = q.Of
	case survey.YesNo:
		p.Choices = []string{"yes", "no"}
	}
	r.turn.Asks = p
	r.next = func(text string) error {
		switch strings.ToLower(text) {
		case "undo", back:
			if len(r.before) == 0 {
				r.tell(Refused, "There is no answer to take back.")
				return nil
			}
			return r.takeBack()
		}
		err := r.key(q, text)
		var wrong wrongAnswer
		if errors.As(err, &wrong) {
			r.tell(Refused, wrong.sentence())
			return nil
		}
		return err
	}
}

// ending ends what is asked for where it is no question by itself.
func ending(what string) string {
	if strings.HasSuffix(what, "?") {
		return ""
	}
	return "."
}

func how(text string) string {
	if text == "" {
		return ""
	}
	return " " + word.Upper(text) + "."
}

// choice says in brackets what can be answered, and what an empty answer means.
func (r *Recording) choice(q survey.Question) string {
	var parts []string
	switch q.Kind {
	case survey.Word:
		parts = append(parts, strings.Join(q.Of, ", "))
	case survey.YesNo:
		parts = append(parts, "yes, no")
	case survey.Distance, survey.Ends:
		parts = append(parts, r.In.String())
	case survey.Precision:
		parts = append(parts, r.readingName())
	}
	if e := r.empty(q); e != "" {
		parts = append(parts, "empty: "+e)
	}
	if len(parts) == 0 {
		return ""
	}
	return " (" + strings.Join(parts, "; ") + ")"
}

// empty is what an empty answer means; "" where it will not do.
func (r *Recording) empty(q survey.Question) string {
	switch {
	case q.Kind == survey.Day:
		return "today"
	case q.Usual != "":
		return q.Usual
	case q.Needed:
		return ""
	case q.Kind == survey.Precision:
		return r.usualU()
	}
	return q.Else
}

// readingUnit is the unit of the survey's readings.
func (r *Recording) readingUnit() length.Unit {
	if u, err := length.ParseUnit(r.keyed("reading_unit")); err == nil {
		return u
	}
	return r.In
}

func (r *Recording) readingName() string {
	if r.Method.Level {
		return "divisions"
	}
	return r.readingUnit().String()
}

// usualU is how sure a reading by the method is taken to be, in the unit of the readings.
func (r *Recording) usualU() string {
	u := r.Method.U
	if !r.Method.Level {
		u = r.readingUnit().From(u)
	}
	figures := 1 - int(math.Floor(math.Log10(u))) // so many decimals show two figures
	return strings.TrimSuffix(strings.TrimRight(length.Fixed(u, max(figures, 1)), "0"), ".")
}

// keyed is what a key of the survey says, as text.
func (r *Recording) keyed(key string) string {
	if r.Under == nil {
		return ""
	}
	return r.Under.Word(key)
}

// wrongAnswer is what is wrong with an answer, to follow the word That where it is about the file.
type wrongAnswer struct{ message, hint string }

func (w wrongAnswer) Error() string { return w.message }

func (w wrongAnswer) sentence() string { return word.Upper(w.message) + "." + how(w.hint) }

// key writes one key, or that it is left out, or refuses the answer with a wrongAnswer.
func (r *Recording) key(q survey.Question, text string) error {
	value, err := entry.Value(q, text, r.In, r.readingUnit(), r.Method.Level)
	if err != nil {
		return wrongAnswer{plainError(err), ""}
	}
	var next []byte
	switch {
	case value != "":
		next, err = r.with(q.Key, value)
	case r.Under == nil:
		next, err = entry.BeginWithout(r.text, r.Method, q.Key)
	default:
		next, err = r.Under.LeaveOut(q.Key)
	}
	if err != nil {
		return err
	}
	if err := r.tried(next, q.Key); err != nil {
		return err
	}
	if mm, err := strconv.ParseFloat(value, 64); r.table != nil && q.Key == "depth" && err == nil &&
		!collars.IsDepth(r.In.ToMM(mm)) {
		return wrongAnswer{"that " + collars.NoDepth, q.How + ", in " + r.plainUnit()}
	}
	r.echo(q, text, value)
	return r.write(next)
}

// echo says how an answer was understood that was typed otherwise than it is written.
func (r *Recording) echo(q survey.Question, text, value string) {
	unit := ""
	switch q.Kind {
	case survey.Day:
		if text != "" && text != value {
			r.tell(Meaning, "Read as "+value+".")
		}
		return
	case survey.Precision:
		unit = r.readingName()
	case survey.Distance, survey.Ends:
		unit = r.In.String()
	}
	if s := entry.Echo(text, value); s != "" && unit != "" {
		r.tell(Meaning, "Read as "+s+" "+unit+".")
	}
}

// with returns the file's text with a key of the survey, which is begun by its first one.
func (r *Recording) with(key, value string) ([]byte, error) {
	if r.Under == nil {
		return entry.Begin(r.text, r.Method, key, value)
	}
	return r.Under.Set(key, value)
}

// possible refuses a method that the machine as described does not allow, before anything is asked.
func (r *Recording) possible() error {
	text, err := r.with("date", r.today())
	if err != nil {
		return err
	}
	err = r.tried(text, "method")
	var wrong wrongAnswer
	if errors.As(err, &wrong) {
		return refuse.With(fmt.Sprintf("%s: %s %s", r.File, r.Method.Name, strings.TrimPrefix(wrong.message, "that ")),
			wrong.hint)
	}
	return err
}

// tried reads the file's text with a reading put in on trial and returns as a wrongAnswer what is then wrong with one
// of the survey's keys; what is to be thought about, it says.
func (r *Recording) tried(text []byte, key string) error {
	e, err := entry.Find(text, r.Method)
	if err != nil {
		return err
	}
	if e == nil {
		return nil
	}
	ways := r.Profile.Lathe.Ways
	at := entry.Station{r.In.From((ways.From + ways.To) / 2)}
	if r.Method.Stretches() {
		at = append(at, r.In.From(ways.To))
	}
	columns := recordColumns(r.Method, false)
	if text, err = e.Start(columns, []entry.Station{at}); err != nil {
		return err
	}
	if e, err = entry.Find(text, r.Method); err != nil {
		return err
	}
	cells := map[string]string{"light": `"none"`, "stops": "1.0", "feel": "1", "diameter": "1.0"}
	for _, c := range e.Wanted() {
		if cells[c] == "" {
			cells[c] = "0.0"
		}
	}
	number := e.Number
	if text, err = e.Read(cells); err != nil {
		return err
	}
	p, err := profile.Draft(os.DirFS(filepath.Dir(r.File)), r.File, text)
	path := fmt.Sprintf("survey[%d].%s", number, key)
	var faults document.Faults
	if errors.As(err, &faults) {
		for _, f := range faults {
			if (f.Key == path || strings.HasPrefix(f.Key, path+"[")) && f.Message != "missing" {
				return wrongAnswer{"that " + f.Message, f.Hint}
			}
		}
	}
	if p != nil {
		for _, w := range p.Warnings {
			if w.Key == path {
				r.tell(Meaning, "Note: "+w.Message+"."+how(w.Hint))
			}
		}
	}
	return nil
}

// recordColumns are the columns of a survey that is begun here.
func recordColumns(m survey.Method, reference bool) []string {
	columns := append([]string{}, m.Columns...)
	if m.Name == "stated" {
		columns = append(columns, "front", "rear", "shift")
	}
	if reference {
		columns = append(columns, "reference")
	}
	return columns
}
