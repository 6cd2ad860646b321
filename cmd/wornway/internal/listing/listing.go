package listing

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/length"
	"wornway/profile/survey"
)

type showJSON struct {
	Format   int              `json:"format"`
	Lathe    string           `json:"lathe"`
	Unit     string           `json:"unit"`
	Values   []ValueJSON      `json:"values"`
	Wear     *showWearJSON    `json:"wear"`
	Surveys  []showSurveyJSON `json:"surveys"`
	Damage   []damageJSON     `json:"damage"`
	Events   []eventJSON      `json:"events"`
	Commands []commandJSON    `json:"commands"`
	Warnings []string         `json:"warnings"`
}

type ValueJSON struct {
	Key   string `json:"key"`
	Value any    `json:"value"`
	Text  string `json:"text"`
}

type showWearJSON struct {
	Rows        int      `json:"rows"`
	From        float64  `json:"from"`
	To          float64  `json:"to"`
	File        string   `json:"file"`
	Uncertainty *float64 `json:"uncertainty"`
	Reach       *float64 `json:"reach"` // null where no uncertainty is stated
}

type showSurveyJSON struct {
	Number int    `json:"number"`
	Method string `json:"method"`
	Date   string `json:"date"`
	Rows   int    `json:"rows"`
	File   string `json:"file"`
}

type damageJSON struct {
	Way  string  `json:"way"`
	From float64 `json:"from"`
	To   float64 `json:"to"`
	Note string  `json:"note"`
}

type eventJSON struct {
	Date string `json:"date"`
	Note string `json:"note"`
}

type commandJSON struct {
	Command string   `json:"command"`
	Ready   bool     `json:"ready"`
	Missing []string `json:"missing"`
}

// usually are what nobody needs to see at a glance.
var usually = []string{"guide_height", "cross_slide_finest", "compound_finest", "compound_backlash", "jaws_depth",
	"headstock_centre", "longest_overhang", "tailstock_travel", "greatest_set_over", "chuck", "steady", "unworn"}

func ShowReport(p *profile.Profile) show.Report {
	w := word.Units{In: p.Unit}
	j := showJSON{Format: 1, Lathe: p.Lathe.Name, Unit: p.Unit.String(), Surveys: []showSurveyJSON{},
		Damage: []damageJSON{}, Events: []eventJSON{}, Warnings: []string{}}
	r := show.Report{Warnings: say.Warnings(p)}
	j.Warnings = append(j.Warnings, r.Warnings...)
	r.Answer = append(r.Answer, showSentence(p, w))

	lathe := show.Table{Name: "lathe", Columns: []show.Column{{Head: "what", Key: "key", Left: true},
		{Head: "value", Key: "value", Left: true, Words: true}}}
	for _, v := range append(LatheValues(p, w), holdingValues(p.Lathe.Holding, w)...) {
		j.Values = append(j.Values, v)
		if slices.Contains(usually, v.Key) && !strings.HasPrefix(v.Text, "not given: taken") {
			lathe.Fine = append(lathe.Fine, len(lathe.Rows))
		}
		lathe.Rows = append(lathe.Rows, []show.Cell{{Text: strings.ReplaceAll(v.Key, "_", " "), Value: v.Key},
			{Text: v.Text, Value: single(v.Value)}})
	}
	holds := show.Table{Name: "holds", Title: "Readings and findings:", Columns: []show.Column{
		{Head: "what", Key: "what", Left: true, Words: true}, {Head: "date", Key: "date", Left: true},
		{Head: "rows", Key: "rows"},
		{Head: "where", Key: "where", Left: true, Words: true}}}
	row := func(what, date, rows, where string) {
		holds.Rows = append(holds.Rows, []show.Cell{{Text: what, Value: what}, {Text: date, Value: date},
			{Text: rows, Value: rows}, {Text: where, Value: where}})
	}
	if s := p.Stated; s != nil {
		z := s.Rows.Column("position")
		from, to := s.Rows.Number(0, z), s.Rows.Number(s.Rows.Len()-1, z)
		j.Wear = &showWearJSON{Rows: s.Rows.Len(), From: from, To: to, File: s.File}
		sure := "± not stated"
		if s.Uncertainty != nil {
			j.Wear.Uncertainty = answer.Null(p.Unit.From(*s.Uncertainty), true)
			j.Wear.Reach = answer.Null(p.Unit.From(float64(s.Reach)), true)
			sure = w.PlusMinus(*s.Uncertainty, true)
			if s.Reach != survey.UsualReach {
				sure += ", reach " + say.Reach(s, w)
			}
		}
		row("stated wear, "+sure, "", fmt.Sprint(s.Rows.Len()),
			fmt.Sprintf("%v to %v %s%s", from, to, p.Unit, inFile(s.File)))
	}
	for _, s := range p.Surveys {
		date := ""
		if !s.Date.IsZero() {
			date = s.Date.Format(time.DateOnly)
		}
		j.Surveys = append(j.Surveys, showSurveyJSON{s.Number, s.Method, date, s.Set.Rows, s.File})
		row(fmt.Sprintf("survey %d: %s%s", s.Number, s.Method, sure(s.Set, w)), date, fmt.Sprint(s.Set.Rows),
			strings.TrimPrefix(inFile(s.File), ", "))
	}
	for _, d := range p.Damage {
		j.Damage = append(j.Damage, damageJSON{d.Way, p.Unit.From(d.From), p.Unit.From(d.To), d.Note})
		row("damage: "+d.Way+" way", "", "", fmt.Sprintf("%s to %s", w.Bare(d.From), w.At(d.To)))
		if d.Note != "" {
			r.Remarks = append(r.Remarks, fmt.Sprintf("Damage of the %s way, %s to %s: %s.", d.Way, w.Bare(d.From),
				w.At(d.To), strings.TrimSuffix(d.Note, ".")))
		}
	}
	for _, v := range p.Events {
		date := v.Date.Format(time.DateOnly)
		j.Events = append(j.Events, eventJSON{date, v.Note})
		row("event", date, "", word.Event(v))
	}
	commands := show.Table{Name: "commands", Title: "What can be asked of it:", Columns: []show.Column{
		{Head: "command", Key: "command", Left: true}, {Head: "", Key: "ready", Left: true},
		{Head: "still needed", Key: "missing", Left: true, Words: true}}}
	commands.Full = true
	for _, c := range readiness(p) {
		commands.Full = commands.Full && c.Ready
		j.Commands = append(j.Commands, c)
		ready := "ready"
		if !c.Ready {
			ready = "not yet"
		}
		missing := strings.Join(c.Missing, "; ")
		commands.Rows = append(commands.Rows, []show.Cell{{Text: c.Command, Value: c.Command},
			{Text: ready, Value: c.Ready}, {Text: missing, Value: missing}})
	}
	if commands.Full { // nothing is needed
		r.Answer = append(r.Answer, "It has what wear, predict, place, correct and check need.")
	}
	r.Tables = []show.Table{lathe, holds, commands}
	r.JSON = j
	return r
}

// sure says how sure each reading of a run is taken to be; empty for methods that have no plain readings.
func sure(s survey.Set, w word.Units) string {
	switch {
	case s.Method.Level:
		return fmt.Sprintf(", each ± %s divisions", length.Fixed(2*s.U/s.Scale, 1))
	case s.Method.Runs:
		return ", each " + w.PlusMinus(s.U, true)
	}
	return ""
}

// single makes one entry of a value for a table.
func single(v any) any {
	many, ok := v.([]float64)
	if !ok {
		return v
	}
	s := make([]string, len(many))
	for i, x := range many {
		s[i] = strconv.FormatFloat(x, 'f', -1, 64)
	}
	return strings.Join(s, " ")
}

func inFile(name string) string {
	if name == "" {
		return ""
	}
	return ", in " + name
}

func showSentence(p *profile.Profile, w word.Units) string {
	name := p.Lathe.Name
	if name == "" {
		name = "A lathe without a name"
	}
	s := fmt.Sprintf("%s: the file reads without a fault", name)
	switch len(p.Warnings) {
	case 0:
		s += " or a warning."
	case 1:
		s += ", with one warning."
	default:
		s += fmt.Sprintf(", with %d warnings.", len(p.Warnings))
	}
	if p.Stated == nil {
		if len(p.Surveys) > 0 {
			return s + " It holds readings, but no stated wear."
		}
		return s + " Nothing is known of its wear yet: " + shop.RecordFirst(p, p.File) + " says what to read first."
	}
	return s
}

// LatheValues lists the geometry as it will be used, with what was taken where the file says nothing.
func LatheValues(p *profile.Profile, w word.Units) []ValueJSON {
	l := p.Lathe
	var out []ValueJSON
	add := func(key string, value any, text string) { out = append(out, ValueJSON{key, value, text}) }
	in := p.Unit.From
	size := func(key string, mm float64) { add(key, in(mm), w.At(mm)) }
	size("centre_height", l.Bed.CentreHeight)
	size("way_span", l.Bed.Span)
	size("axis_setback", l.Bed.Setback)
	post := "front"
	if l.Bed.RearPost {
		post = "rear"
	}
	add("tool_post", post, post)
	add("bed", []float64{in(l.Ways.From), in(l.Ways.To)}, w.Bare(l.Ways.From)+" to "+w.At(l.Ways.To))
	var unworn []string
	for _, u := range l.Unworn {
		unworn = append(unworn, w.Bare(u.From)+" to "+w.At(u.To))
	}
	taken := ""
	if !l.UnwornStated {
		taken = " (not given: the ends of the bed)"
	}
	add("unworn", strings.Join(unworn, "; "), strings.Join(unworn, "; ")+taken)
	if v := l.Bed.V; v != nil {
		deg := func(rad float64) string { return length.Fixed(rad*180/math.Pi, 1) + "°" }
		flanks := fmt.Sprintf("V: outer flank %s, inner flank %s", deg(v.Outer), deg(v.Inner))
		if v.ContactSpacing > 0 {
			flanks += fmt.Sprintf(", their contacts %s apart", w.At(v.ContactSpacing))
		}
		add("front_way", "V", flanks)
		size("guide_height", l.Bed.GuideHeight())
	} else {
		add("front_way", "flat", "flat, with a guiding edge")
	}
	saddle := "its length is given as 0: taken as a point at the tool"
	if s := l.Bed.Saddle; s.BearingLength > 0 {
		saddle = w.At(s.BearingLength) + ", bearing near its two ends"
		if s.Bearing == bed.Full {
			saddle = w.At(s.BearingLength) + ", bearing over its full length"
		}
	}
	add("saddle", in(l.Bed.Saddle.BearingLength), saddle)
	if s := l.Bed.Saddle; s.BearingLength > 0 {
		add("tool_offset", in(s.ToolOffset), w.ToolOffset(s.ToolOffset))
		if l.Seating != nil {
			add("seating", *l.Seating, fmt.Sprintf("%s (0: it gives and bears on both ends of the rear way; 1: stiff, "+
				"it rides on one)", length.Fixed(*l.Seating, 2)))
		}
	}
	for _, d := range []struct {
		key   string
		slide *profile.Slide
	}{{"cross_slide", l.CrossSlide}, {"compound", l.Compound}} {
		if s := d.slide; s != nil {
			add(d.key, in(s.Division), w.Slide(s))
			add(d.key+"_finest", s.Finest, word.Divisions(s.Finest))
			if !math.IsNaN(s.Backlash) {
				add(d.key+"_backlash", in(s.Backlash), w.Backlash(s.Backlash))
			} else {
				add(d.key+"_backlash", nil, "not given: some is assumed")
			}
		}
	}
	if l.Tailstock != nil {
		add("tailstock", in(l.Tailstock.BaseLength), "base "+w.At(l.Tailstock.BaseLength)+" long")
	}
	return out
}

// readiness says what each command still needs.
func readiness(p *profile.Profile) []commandJSON {
	wear := []string{}
	if p.Stated == nil && len(p.Surveys) == 0 {
		wear = append(wear, "readings (wornway record), or [wear]")
	}
	dial := append([]string{}, wear...)
	if p.Lathe.CrossSlide == nil {
		dial = append(dial, "[lathe.cross_slide]")
	}
	command := func(name string, missing []string) commandJSON { return commandJSON{name, len(missing) == 0, missing} }
	return []commandJSON{command("wear", wear), command("predict", wear), command("place", wear),
		command("correct", dial), command("check", wear)}
}
