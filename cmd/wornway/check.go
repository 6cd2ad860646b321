package main

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
)

func newCheck(e *env.Env) *cobra.Command {
	o := &checkOptions{}
	c := &cobra.Command{
		Use:   "check PROFILE --measured FILE",
		Short: "Hold a turned part against the prediction, and learn from it",
		Long: `Check holds collars or a part, turned at one setting of the dial and measured along its length, against what
predict says of it, and says whether they agree: as they are, but for a straight taper, or not, and how. FILE
is a TOML file with one [[survey]] of the method test-cut, as a profile has it; or a CSV file of position and
diameter, with the rest as flags. Turn three to five collars, the bar in the chuck, with a light cut.

With --job the part of a job file is held against what predict --job says of it. FILE is then a CSV file whose first
line names its columns: position, diameter and, where there is any doubt, feature. Positions count from the part's
headstock end as they do on the drawing. Every feature is compared with its own measurement nearest to the tailstock.

Which is it? Give --measured several times, for cuts that were made differently: from the chuck and between centres,
light and deep, near and far, each a TOML file with its depth, held and held_at; a level on the saddle or a test bar
read since counts too (saddle-level, bar-side). Check then says how probable each cause is, by all of them together:
the bed as surveyed, wear since, twist, a leaning spindle, the tailstock to a side or at another height, push-off,
differences noted on radius, a level read the wrong way round, or something else; or that it cannot tell yet, and
which further cut or reading would tell the two best apart. --cause asks so of one file.

With --add the cut becomes one more survey of the profile, whose version from before the command is kept
beside it with .bak behind its name, in the place of an older one. A cut that the profile holds already is never added twice.`,
		Example: `  wornway check demo.toml --measured collars.csv
  wornway check demo.toml --measured collars.csv --reading-unit in --uncertainty 0.1thou --held-at 1in --json
  wornway check demo.toml --measured collars.toml --add
  wornway check demo.toml --measured light.toml --measured deep.toml
  wornway check demo.toml --job shaft.toml --measured seats.csv --at 3.5in`,
		Args: flags.OneProfile, GroupID: "bed",
		Annotations: map[string]string{"instance": "PROFILE --measured collars.csv"},
		RunE:        func(c *cobra.Command, args []string) error { return runCheck(e, c, args[0], o) },
	}
	o.flags(c)
	o.out.Draws(c)
	return c
}

func runCheck(e *env.Env, c *cobra.Command, file string, o *checkOptions) error {
	if err := flags.Need(c, "measured"); err != nil {
		return err
	}
	if o.measured = o.files[0]; o.cause || len(o.files) > 1 {
		return findCause(e, c, file, o)
	}
	if job, err := o.job.Asked(c, "set-at", "tool-height", "held-at", "depth", "feed", "date"); err != nil || job {
		if err != nil {
			return err
		}
		return checkJob(e, c, file, o)
	}
	if o.add && file == "-" {
		return refuse.Usage("--add: standard input cannot be added to", "give the profile's file")
	}
	defer e.Progress("reckoning along the bed")()
	was, p, err := toCheck(e, file, o.add)
	if err != nil {
		return err
	}
	cut, err := o.cut(e, c, p)
	if err != nil {
		return err
	}
	held := p.Holds(cut.Survey)
	if err := o.tool.Slips.Undo(p); err != nil {
		return err
	}
	before := p
	if held >= 0 { // what the profile has learnt from the cut must not speak for the cut
		before = p.Without(held)
	}
	l, err := prepared(e, c, before, file, o)
	var refused refuse.Refusal
	if errors.As(err, &refused) && held >= 0 {
		return refuse.With(fmt.Sprintf("%s: knows nothing of the wear but this cut, its survey %d", file,
			p.Surveys[held].Number), "survey the bed by another method as well")
	}
	if err != nil {
		return err
	}
	r, err := check(l, c, cut, o)
	if err != nil {
		return err
	}
	if held >= 0 {
		r.remark("The profile holds this cut already, as survey %d: it is held against what the others say.",
			p.Surveys[held].Number)
	}
	if o.add && held >= 0 {
		r.answer = append(r.answer, fmt.Sprintf("Nothing was added: the cut is survey %d of %s already.",
			p.Surveys[held].Number, file))
	}
	if err := e.Draw(o.out, r.figure); err != nil {
		return err
	}
	if !o.add || held >= 0 {
		return e.Emit(o.out, r.report(), "stations")
	}
	return learn(e, c, file, was, p, cut, o, l, r)
}

// toCheck reads the profile; where it is to be added to, with the text that it was read from.
func toCheck(e *env.Env, file string, add bool) ([]byte, *profile.Profile, error) {
	if !add {
		p, err := e.Open(file)
		return nil, p, err
	}
	if err := env.Writable(file); err != nil {
		return nil, nil, err
	}
	was, err := e.ProfileText(file)
	if err != nil {
		return nil, nil, err
	}
	p, err := e.Parse(filepath.Dir(file), file, was)
	return was, p, err
}

// prepared puts the flags that speak of the lathe into the profile and estimates its wear.
func prepared(e *env.Env, c *cobra.Command, p *profile.Profile, file string, o *checkOptions) (*shop.Bench, error) {
	h, err := o.tool.Centre(c)(p)
	if err != nil {
		return nil, err
	}
	if h != 0 {
		shop.OtherHeight(p, h)
	}
	e.Age(p)
	return shop.NewBench(p, file)
}

// checked is a part beside its prediction, ready to be shown.
type checked struct {
	*shop.Bench
	*compensate.Check
	cut     *profile.Cut
	seated  say.Basis
	answer  []string
	remarks []string
	json    checkJSON
	table   show.Table
	causes  func(slope float64) string // what would make a taper; nil: for work that the spindle alone holds
}

func (r *checked) remark(format string, args ...any) {
	r.remarks = append(r.remarks, fmt.Sprintf(format, args...))
}

type checkJSON struct {
	Format int    `json:"format"`
	Lathe  string `json:"lathe"`
	Unit   string `json:"unit"`
	Date   string `json:"date"`
	checkedJSON
	Added    *addedJSON `json:"added"`
	Assumed  []string   `json:"assumed"`
	Warnings []string   `json:"warnings"`
}

// checkedJSON is how one length compares with its prediction.
type checkedJSON struct {
	Held         string             `json:"held"`
	HeldAt       *float64           `json:"held_at"`
	SetAt        float64            `json:"set_at"`
	Diameter     float64            `json:"diameter"`
	CentreHeight float64            `json:"centre_height"`
	ToolHeight   float64            `json:"tool_height"`
	Stations     []checkStationJSON `json:"stations"`
	Verdict      string             `json:"verdict"`
	ChiSquare    *float64           `json:"chi_square"`
	Freedom      *int               `json:"freedom"`
	Probability  *float64           `json:"probability"`
	Taper        *checkTaperJSON    `json:"taper"`
	Looks        string             `json:"looks"`
}

type checkStationJSON struct {
	Position    float64  `json:"position"`
	Diameter    float64  `json:"diameter"`
	Measured    float64  `json:"measured"`
	Predicted   float64  `json:"predicted"`
	Difference  float64  `json:"difference"`
	Uncertainty *float64 `json:"uncertainty"`
	En          *float64 `json:"en"`
	UMeasured   float64  `json:"u_measured"`
	UPredicted  *float64 `json:"u_predicted"`
}

type checkTaperJSON struct {
	Slope       float64  `json:"slope"`
	Uncertainty float64  `json:"uncertainty"`
	ChiSquare   float64  `json:"chi_square"`
	Freedom     int      `json:"freedom"`
	Probability *float64 `json:"probability"`
}

type addedJSON struct {
	Survey int      `json:"survey"`
	From   float64  `json:"from"`
	To     float64  `json:"to"`
	Before *float64 `json:"uncertainty_before"`
	After  float64  `json:"uncertainty_after"`
}

// check compares a cut with what is predicted for it.
func check(l *shop.Bench, c *cobra.Command, cut *profile.Cut, o *checkOptions) (*checked, error) {
	t, err := o.turned(c, l, cut)
	if err != nil {
		return nil, err
	}
	m := l.Machine
	if t.Line {
		m.Axis = compensate.Axis{} // from centre to centre, wherever those stand
	}
	k, err := m.Check(t)
	var few compensate.TooFewError
	switch {
	case errors.As(err, &few):
		hint := "three to five collars tell a curve from a taper"
		if t.Line {
			hint = "held between centres, work may taper by any amount; what is left of three collars or more speaks " +
				"of the bed"
		}
		return nil, refuse.With(fmt.Sprintf("%s: the part was measured at %s only", o.measured,
			word.Count(few.Places, "position")), hint)
	case err != nil:
		return nil, l.Explain(err)
	}
	r := &checked{Bench: l, Check: k, cut: cut}
	var at []float64
	for _, s := range k.Stations {
		at = append(at, s.Position)
	}
	r.seated = say.Assumed(l, k.Curve, at)
	if t.Line {
		r.seated.Assumed = append([]string{r.seated.Assumed[0], r.seated.Assumed[1],
			"The work is held between centres, whose line may lie askew by any amount: a straight taper says nothing " +
				"of the bed, and only what is left beside one is judged. The tailstock stays where it is."},
			r.seated.Assumed[2+len(say.Axis(l, k.Curve)):]...)
	}
	r.say(t)
	r.fill(t)
	return r, nil
}

// fill makes the table and the JSON.
func (r *checked) fill(t compensate.Turned) {
	in := r.In.From
	j := checkJSON{Format: 1, Lathe: r.Profile.Lathe.Name, Unit: r.In.String(),
		checkedJSON: checkedJSON{Held: r.cut.As.Held, HeldAt: answer.Null(in(t.HeldAt), true), SetAt: in(r.Curve.SetAt),
			Diameter:     in(r.Curve.Diameter),
			CentreHeight: in(r.Curve.Lathe.CentreHeight), ToolHeight: in(r.Curve.ToolHeight),
			Verdict: string(r.Verdict),
			Looks:   string(r.Sign.Looks)}}
	if !r.cut.Date.IsZero() {
		j.Date = word.Day(r.cut.Date)
	}
	stated := r.Verdict != compensate.Unknown
	if stated {
		j.ChiSquare, j.Freedom, j.Probability = answer.Null(r.Whole.ChiSquare, true), &r.Whole.Freedom,
			answer.Null(r.Whole.Probability, true)
	}
	if len(r.Straight.Terms) > 0 {
		s := r.Straight
		j.Taper = &checkTaperJSON{s.Terms[0].Value, s.Terms[0].U, s.ChiSquare,
			s.Freedom, answer.Null(s.Probability, true)}
	}
	small := r.SmallName()
	r.table = show.Table{Name: "stations", Columns: []show.Column{
		{Head: "position, " + r.UnitName(), Key: "position"}, {Head: "diameter, " + r.UnitName(), Key: "diameter"},
		{Head: "measured, " + small, Key: "measured"},
		{Head: "predicted, " + small, Key: "predicted"}, {Head: "difference, " + small, Key: "difference"},
		{Head: "±, " + small, Key: "uncertainty"}, {Head: "E_n", Key: "en"},
		{Key: "u_measured", Data: true}, {Key: "u_predicted", Data: true}}}
	for i, s := range r.Stations {
		v := checkStationJSON{in(s.Position), in(s.Diameter), in(s.Measured), in(s.Predicted), in(s.Difference),
			answer.Null(in(s.U), stated), answer.Null(s.En, stated), in(s.UMeasured),
			answer.Null(in(s.UPredicted), stated)}
		j.Stations = append(j.Stations, v)
		en := "–"
		switch {
		case i == r.Set:
			en = "set here"
		case stated:
			en = word.Fixed(s.En, 2)
		}
		r.table.Rows = append(r.table.Rows, []show.Cell{{Text: r.Bare(s.Position), Value: v.Position},
			{Text: r.Size(s.Diameter), Value: v.Diameter}, {Text: r.Cell(s.Measured), Value: v.Measured},
			{Text: r.Cell(s.Predicted), Value: v.Predicted}, {Text: r.Cell(s.Difference), Value: v.Difference},
			{Text: r.Expanded(s.U, stated), Value: v.Uncertainty}, {Text: en, Value: v.En}, {Value: v.UMeasured},
			{Value: v.UPredicted}})
	}
	r.json = j
}

func (r *checked) report() show.Report {
	r.json.Assumed, r.json.Warnings = r.seated.Assumed, append([]string{}, r.seated.Warnings...)
	of := "of prediction and measurement"
	if !math.IsNaN(r.cut.As.HeldAt) {
		of = "of prediction, measurement and push-off"
	}
	remarks := []string{"All are differences to where the dial was set. ± is of the difference, " + of +
		" together, at k = 2. E_n is the difference over its ±: within ±1 the two agree at that position. The " +
		"positions hang together, so that the answer is by all of them at once."}
	return show.Report{Answer: r.answer, Tables: []show.Table{r.table}, Remarks: append(remarks, r.remarks...),
		Assumed: r.seated.Assumed, Warnings: r.seated.Warnings, Cautions: checkCautions, JSON: r.json}
}

var checkCautions = []string{
	"Measure with the spindle stopped and the work at rest. Chuck key out, no gloves, sleeves rolled tight, no loose " +
		"hair. The shop's own rules and local codes come first.",
	"Unsupported stock: about 3 diameters out of the chuck is usual, 5 is the limit.",
}

// worst returns the greatest standard uncertainty over the length of a curve, mm.
func worst(c *compensate.Curve) float64 {
	u := 0.0
	for _, h := range c.Spaced() {
		u = math.Max(u, c.Station(h.Position).Uncertainty)
	}
	return u
}
