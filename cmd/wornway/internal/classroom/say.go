package classroom

import (
	"fmt"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/testcut"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/cause"
	"wornway/compensate/exercise"
	"wornway/profile"
)

// pageOf is what was read in one survey, cut or reading of an exercise, as it stands on a sheet.
type pageOf struct {
	Name, title string
	heads       [2]string
	method      string // or the name of the cut
	unit        string // of its readings
	Rows        [][2]string
	values      [][]float64
}

// Pages are the surveys of the bed, then the cuts and readings since.
func (x *Assignment) Pages() []pageOf {
	var out []pageOf
	for i, s := range x.Exercise.Surveys {
		out = append(out, x.page(fmt.Sprintf("survey-%d", i+1), fmt.Sprintf("Survey %d of the bed, %s", i+1, s.Method),
			s))
	}
	for _, r := range x.Readings {
		out = append(out, x.page(r.Name, "Since then, "+x.made(r), r.Page))
	}
	return out
}

// made says how a cut or reading was made.
func (x *Assignment) made(r exercise.Reading) string {
	c := r.Cut.As
	if len(c.Positions) == 0 {
		return r.Name + ": a level on the saddle again"
	}
	held := fmt.Sprintf("from the chuck, jaws at %s", x.At(c.HeldAt))
	if c.Held == "centres" {
		held = "between centres"
	}
	return fmt.Sprintf("%s: collars at one setting %s, a cut %s deep", r.Name, held, x.At(c.Depth))
}

func (x *Assignment) page(name, title string, of exercise.Page) pageOf {
	p := pageOf{Name: name, title: title, method: of.Method, heads: [2]string{"position, " + x.UnitName()}}
	switch of.Method {
	case profile.TestCut:
		p.method, p.unit, p.heads[1] = name, x.UnitName(), "diameter, "+x.UnitName()
	case "saddle-level":
		p.unit, p.heads[1] = "divisions", "divisions"
	default:
		p.unit, p.heads[1] = x.SmallName(), "reading, "+x.SmallName()
	}
	for i, z := range of.At {
		p.values = append(p.values, []float64{z, of.Readings[i]})
		p.Rows = append(p.Rows, [2]string{x.Bare(x.In.ToMM(z)), word.Fixed(of.Readings[i], of.Digits)})
	}
	return p
}

// BedWords says what lathe it is.
func (x *Assignment) BedWords() string {
	l := x.Profile.Lathe
	return fmt.Sprintf("The lathe: centre height %s, ways %s apart, the spindle axis %s behind the front way, a "+
		"symmetric V in front, a front tool post. The saddle bears on its ends, %s apart; the tool stands %s from "+
		"its middle toward the headstock. The ways go from %s to %s and are unworn at both ends.",
		x.At(l.Bed.CentreHeight), x.At(l.Bed.Span), x.At(l.Bed.Setback), x.At(l.Bed.Saddle.BearingLength),
		x.At(-l.Bed.Saddle.ToolOffset), x.Bare(l.Ways.From), x.At(l.Ways.To))
}

// ReadWords says how the readings are to be read.
func (x *Assignment) ReadWords() string {
	var bar, level string
	for _, s := range x.Profile.Surveys {
		u, _ := s.Set.StatesUncertainty()
		if s.Set.Method.Level {
			level = fmt.Sprintf("a level of %s a division, read to %s of a division, plus where the operator's side "+
				"is high", x.divisionOf(s.Set.Scale), word.Fixed(u/s.Set.Scale, 1))
		} else {
			bar = fmt.Sprintf("an indicator on the operator's side of a test bar, the mean of two runs half a turn "+
				"apart, %s standard, plus where the plunger goes in", x.Small(u))
		}
	}
	u, _ := x.Readings[0].Cut.Set.StatesUncertainty()
	return fmt.Sprintf("The readings: bar-side is %s; saddle-level is %s. Both have zeros of their own, another each "+
		"time. A diameter is good to %s, standard. A position is that of the tool.", bar, level, x.Small(u))
}

// divisionOf is a division of a level as levels are marked.
func (x *Assignment) divisionOf(slope float64) string {
	if x.UnitName() == "in" {
		const foot = 12
		return fmt.Sprintf("%.4g in/ft", slope*foot)
	}
	const metre = 1000
	return fmt.Sprintf("%.3g mm/m", slope*metre)
}

// Task is what is asked, one question each.
func (x *Assignment) Task() []string {
	names := make([]string, 0, len(exercise.Causes()))
	for _, k := range exercise.Causes() {
		name := string(k)
		if called := x.Called(k); called != name {
			name += " (" + called + ")"
		}
		names = append(names, name)
	}
	hides := map[int]string{1: "One of them is hidden here, or none.",
		2: "One of them is hidden here, or none; two cuts need not be enough to tell, and cannot-tell is then a " +
			"right answer.", 3: "One of them is hidden here or two together, or none."}[x.Level]
	out := []string{
		"1. What is it? " + hides + " The causes: " + strings.Join(names, ", ") + ".",
		fmt.Sprintf("2. How strong? worn-on: in %% more than surveyed; twist: in mm/m over a metre; lean, set-over, "+
			"tail-height: in %s over %s; push-off: in %s on diameter where it is greatest.", x.SmallName(),
			x.At(x.LeanOver()), x.SmallName()),
	}
	if x.Level == 2 {
		out = append(out, "3. Which further one of "+strings.Join(exercise.Names(),
			", ")+" would best tell it from what looks most like it?")
	} else {
		out = append(out, "3. Which of the cuts and readings tells it from what looks most like it?")
	}
	return append(out, "4. What would you do about it, and what would you measure before and after?")
}

// ExerciseCautions are for who goes from the sheet to a machine.
var ExerciseCautions = []string{
	"At a real machine: measure with the spindle stopped and the machine isolated; chuck key out, no gloves, sleeves " +
		"rolled tight. Unsupported stock: 3 diameters is usual, 5 is the limit.",
	"Moving a lathe, and its electrics, are for people trained for it; the shop's own rules come first.",
}

type blindJSON struct {
	Format   int          `json:"format"`
	Exercise string       `json:"exercise"`
	Invented bool         `json:"invented"`
	Level    int          `json:"level"`
	Lathe    string       `json:"lathe"`
	Unit     string       `json:"unit"`
	Pages    []pageJSON   `json:"pages"`
	Causes   []cause.Kind `json:"causes"`
	Asked    []string     `json:"asked"`
}

type pageJSON struct {
	Name    string      `json:"name"`
	Columns []string    `json:"columns"`
	Rows    [][]float64 `json:"rows"`
}

// Opening says what an exercise is.
func (x *Assignment) Opening() []string {
	return []string{
		fmt.Sprintf("Exercise %s, level %d of %d: which cause is in these cuts?", x.Number, x.Level, exercise.Hardest),
		"The lathe and all its readings are invented. Its bed was surveyed; since then collars were turned and " +
			"something was read, and a cause or two may have come into it, or into the survey. The tool stood on " +
			"centre height, set at the last collar of each cut.",
	}
}

// Sheet is the exercise as text.
func (x *Assignment) Sheet() show.Report {
	j := blindJSON{Format: 1, Exercise: x.Number.String(), Invented: true, Level: x.Level, Lathe: x.Profile.Lathe.Name,
		Unit: x.In.String(), Causes: exercise.Causes(), Asked: x.Task()}
	long := show.Table{Name: "readings", Columns: []show.Column{{Key: "page", Data: true},
		{Key: "position", Data: true}, {Key: "reading", Data: true}}}
	pages := x.Pages()
	bed := pages[:len(x.Exercise.Surveys)]
	since := pages[len(bed):]
	tables := []show.Table{x.beside("surveyed", "The bed as it was surveyed:", bed),
		x.beside("since", "Since then:", since)}
	for _, p := range pages {
		t := show.Table{Name: p.Name, Title: p.title, Full: true, Columns: []show.Column{
			{Head: p.heads[0], Key: "position"}, {Head: p.heads[1], Key: "reading"}}}
		for i, r := range p.Rows {
			v := p.values[i]
			t.Rows = append(t.Rows, []show.Cell{{Text: r[0], Value: v[0]}, {Text: r[1], Value: v[1]}})
			long.Rows = append(long.Rows, []show.Cell{{Value: p.Name}, {Value: v[0]}, {Value: v[1]}})
		}
		tables = append(tables, t)
		j.Pages = append(j.Pages, pageJSON{p.Name, []string{"position", "reading"}, p.values})
	}
	tables = append(tables, long)
	var made []string
	for _, r := range x.Readings {
		made = append(made, word.Upper(x.made(r))+".")
	}
	return show.Report{Answer: x.Opening(), Tables: tables, Remarks: append(made, x.Task()...),
		Notes: []string{x.BedWords(), x.ReadWords(), fmt.Sprintf("The profile and the cuts as files: wornway exercise "+
			"--seed %s -o bench.toml.", x.Number)},
		Usual: ExerciseCautions, JSON: j, Next: []string{fmt.Sprintf("On paper: -o sheet.pdf. When you have your "+
			"answer: wornway exercise --answer %s.", x.Number)}}
}

// beside puts pages beside each other in one table, a row for each position of any of them.
func (x *Assignment) beside(name, title string, pages []pageOf) show.Table {
	t := show.Table{Name: name, Title: title, Short: true,
		Columns: []show.Column{{Head: "at, " + x.UnitName(), Key: "position"}}}
	var at []float64
	for i, p := range pages {
		t.Columns = append(t.Columns, show.Column{Head: p.method + ", " + p.unit, Key: p.Name})
		for k, v := range p.values {
			n, there := slices.BinarySearch(at, v[0])
			if !there {
				at = slices.Insert(at, n, v[0])
				row := make([]show.Cell, 1+len(pages))
				row[0] = show.Cell{Text: p.Rows[k][0], Value: v[0]}
				t.Rows = slices.Insert(t.Rows, n, row)
			}
			t.Rows[n][1+i] = show.Cell{Text: p.Rows[k][1], Value: v[1]}
		}
	}
	return t
}

type solutionJSON struct {
	Format      int          `json:"format"`
	Exercise    string       `json:"exercise"`
	Unit        string       `json:"unit"`
	Hidden      []hiddenJSON `json:"hidden"`
	Decided     bool         `json:"decided"`
	LooksLike   cause.Kind   `json:"looks_like"`
	ToldBy      []string     `json:"told_by"`
	Probability float64      `json:"probability"`
}

type hiddenJSON struct {
	Cause      cause.Kind `json:"cause"`
	Strength   *float64   `json:"strength"`
	StrengthIn string     `json:"strength_in"`
	Remedy     string     `json:"remedy"`
}

// hiddenStrength is how strong a hidden cause is.
func (x *Assignment) hiddenStrength(h exercise.HiddenCause) testcut.Strength {
	return x.Strength(cause.Found{Kind: h.Kind, Size: h.Size, U: 0})
}

// Solution says what was hidden, what tells it, what to do, and what the tool itself makes of the readings.
func (x *Assignment) Solution() (show.Report, error) {
	a, err := x.Answer()
	if err != nil {
		return show.Report{}, err
	}
	j := solutionJSON{Format: 1, Exercise: x.Number.String(), Unit: x.In.String(), Decided: a.Sure,
		LooksLike: a.Alike, ToldBy: append([]string{}, a.Telling...)}
	var names, remarks []string
	t := show.Table{Name: "hidden", Columns: []show.Column{{Head: "hidden", Key: "cause", Left: true},
		{Head: "strength", Key: "strength", Left: true, Words: true}, {Key: "strength_in", Data: true}}}
	for _, h := range a.Hidden {
		s := x.hiddenStrength(h)
		names = append(names, x.Called(h.Kind))
		j.Hidden = append(j.Hidden, hiddenJSON{h.Kind, answer.Null(s.Value, true), s.In, remedies[h.Kind]})
		t.Rows = append(t.Rows, []show.Cell{{Text: string(h.Kind) + ": " + x.Called(h.Kind), Value: string(h.Kind)},
			{Text: s.Bare(), Value: answer.Null(s.Value, true)}, {Value: s.In}})
		remarks = append(remarks, word.Upper(x.Called(h.Kind))+": "+signs[h.Kind]+" What to do: "+remedies[h.Kind])
	}
	answer := []string{fmt.Sprintf("Exercise %s hides %s.", x.Number, strings.Join(names, " with "))}
	if a.Hidden[0].Kind == cause.AsSurveyed {
		answer[0] = fmt.Sprintf("Exercise %s hides nothing: the bed as surveyed is enough.", x.Number)
	}
	if !a.Sure && a.Hidden[0].Kind != cause.AsSurveyed {
		answer = append(answer, "These readings do not decide it: that they cannot tell yet is as right.")
	}
	if len(a.Telling) > 0 {
		verb := "tells"
		if !a.Made {
			verb = "would tell"
		}
		alike := x.Called(a.Alike)
		answer = append(answer, fmt.Sprintf("What %s it from what looks most like it, %s: %s.", verb, alike,
			strings.Join(a.Telling, ", or ")))
	} else if a.Hidden[0].Kind != cause.AsSurveyed {
		answer = append(answer, fmt.Sprintf("Question 3 does not count: what looks most like it is %s, and none of "+
			"the cuts and readings that were to be named separates the two.", x.Called(a.Alike)))
	}
	found := x.Inquiry.Report(0)
	for i := range found.Tables {
		found.Tables[i].Title = "What the tool makes of the same readings:"
	}
	j.Probability = x.Found().Causes[0].Probability
	return show.Report{Answer: answer, Tables: append([]show.Table{t}, found.Tables...),
		Remarks: append(remarks, found.Remarks...), Notes: append(found.Notes, word.Said(x.likelier())...),
		Assumed: found.Assumed, Usual: ExerciseCautions, JSON: j}, nil
}

// likelier explains a probability that seems to go against what is left over.
func (x *Assignment) likelier() string {
	causes := x.Found().Causes
	first := causes[0]
	for _, f := range causes[1:] {
		if f.ChiSquare < first.ChiSquare-1 {
			return fmt.Sprintf("%s leaves less over and yet is less likely: a cause that fits more freely always "+
				"leaves less over. How much it had to foretell and how usual it is count as well.",
				word.Upper(x.Called(f.Kind)))
		}
	}
	return ""
}

// signs are how each cause shows itself. Common practice, no source; the shapes are those of the forward models.
var signs = map[cause.Kind]string{
	cause.AsSurveyed: "every cut comes out as the survey foretells, within what it leaves open.",
	cause.WornOn: "it has the shape of the wear that was surveyed, in every cut alike, light or deep, chucked or " +
		"between centres.",
	cause.Twist: "a straight taper in what the chuck holds, none of it between centres, where tool and " +
		"tailstock turn alike; a level on the saddle reads it.",
	cause.Lean: "a straight taper in what the chuck holds, none between centres; a level on the saddle reads " +
		"nothing of it.",
	cause.SetOver: "a straight taper between centres only.",
	cause.TailHeight: "between centres only, always bigger toward the tailstock and with the square of the distance; " +
		"slender work shows it most.",
	cause.PushOff: "bigger where the work gives way, with the cube of the distance from the jaws, and in " +
		"proportion to the depth of cut; wear does not depend on that.",
	cause.Radius:    "every cut has half of what was foretold: the differences were noted on radius.",
	cause.LevelSign: "the cuts contradict the survey until the level of the profile is turned round.",
}

// remedies are what is usually done. Common practice, no source.
var remedies = map[cause.Kind]string{
	cause.AsSurveyed: "nothing new; correct at the dial, or turn it where the bed is straight.",
	cause.WornOn:     "survey the bed again before the next precise job, and use the new chart.",
	cause.Twist: "level the bed lengthways and across at its unworn ends, let it stand, and check with two " +
		"collars from the chuck; the old survey is stale then.",
	cause.Lean: "read a test bar, half a turn apart, before anything is touched; setting a headstock is for " +
		"somebody who has done it. Until then count it in as lean_out.",
	cause.SetOver: "bring the tailstock back into line by two collars between centres, at the place where it will " +
		"stand.",
	cause.TailHeight: "compare the centres' heights with an indicator along a bar; shim or scrape the base, or keep " +
		"slender work off it.",
	cause.PushOff: "lighter finishing cuts, a sharper tool, less overhang, a steady or the tailstock; no " +
		"correction for wear will cure it.",
	cause.Radius: "measure one collar again with a micrometer, and write on the sheet what is noted: diameters.",
	cause.LevelSign: "read one place again with the level both ways round, and mend the profile; --accept-slip does " +
		"it in the meantime.",
}
