package ways

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/bed"
)

// Comparison is what the bed has lost between two surveys, ready to be shown.
type Comparison struct {
	*Pair
	*profile.Change
}

type compareJSON struct {
	Format      int                  `json:"format"`
	Lathe       string               `json:"lathe"`
	Unit        string               `json:"unit"`
	Old         sideJSON             `json:"old"`
	New         sideJSON             `json:"new"`
	Years       *float64             `json:"years"`
	Stations    []compareStationJSON `json:"stations"`
	Verdict     string               `json:"verdict"`
	ChiSquare   *float64             `json:"chi_square"`
	Freedom     *int                 `json:"freedom"`
	Probability *float64             `json:"probability"`
	Greatest    grownJSON            `json:"greatest"`
	Tool        grownJSON            `json:"tool"`
	Twist       twistJSON            `json:"twist"`
	Assumed     []string             `json:"assumed"`
	Warnings    []string             `json:"warnings"`
}

type sideJSON struct {
	Name    string `json:"name"`
	Surveys int    `json:"surveys"`
	From    string `json:"from"`
	To      string `json:"to"`
}

// compareStationJSON is how far the wear has grown at a position.
type compareStationJSON struct {
	wearStationJSON
	ToolOut  float64  `json:"tool_out"`
	UToolOut *float64 `json:"u_tool_out"`
}

type grownJSON struct {
	Way         string   `json:"way"`
	Position    float64  `json:"position"`
	Grown       float64  `json:"grown"`
	Uncertainty *float64 `json:"uncertainty"`
	PerYear     *float64 `json:"per_year"`
	UPerYear    *float64 `json:"u_per_year"`
}

type twistJSON struct {
	Old         float64  `json:"old"`
	New         float64  `json:"new"`
	More        float64  `json:"more"`
	Uncertainty *float64 `json:"uncertainty"`
}

// namedGrowth is where something that has a name has changed most.
type namedGrowth struct {
	name string
	profile.Growth
}

// furthest returns where a sum has changed most.
func (r *Comparison) furthest(name string, s bed.Sum) namedGrowth {
	return namedGrowth{name, r.Furthest(s)}
}

// Report puts the comparison into words and tables.
func (r *Comparison) Report(stations []float64) show.Report {
	w := r.Units
	in := w.In.From
	years, why := r.apart()
	front, rear, tool := r.furthest("front", bed.At(bed.Front, 0)), r.furthest("rear", bed.At(bed.Rear, 0)),
		r.furthest("tool", r.tool())
	way := front
	if r.Stated && rear.Sure() > front.Sure() || !r.Stated && math.Abs(rear.Value) > math.Abs(front.Value) {
		way = rear
	}
	asJSON := func(g namedGrowth) grownJSON {
		j := grownJSON{Way: g.name, Position: in(g.Position), Grown: in(g.Value),
			Uncertainty: answer.Null(in(g.U), r.Stated),
			PerYear:     answer.Null(in(g.Value)/years, !math.IsNaN(years))}
		j.UPerYear = answer.Null(in(g.U)/years, r.Stated && !math.IsNaN(years))
		return j
	}
	j := compareJSON{Format: 1, Lathe: r.Later.Lathe.Name, Unit: w.In.String(), Old: side(r.Names[0], r.Earlier),
		New: side(r.Names[1], r.Later), Years: answer.Null(years, true), Verdict: "unknown",
		Greatest: asJSON(way), Tool: asJSON(tool), Assumed: []string{}, Warnings: []string{}}
	rep := show.Report{Warnings: say.Warnings(r.Later)}
	whole := r.Judged && r.Whole.Probability < compensate.Alarm
	somewhere := r.Stated && (front.Alone() || rear.Alone() || tool.Alone())
	worn := whole || somewhere
	switch {
	case worn:
		j.Verdict = "changed"
	case r.Judged:
		j.Verdict = "chance"
	}
	if r.Judged {
		j.ChiSquare, j.Freedom, j.Probability = answer.Null(r.Whole.ChiSquare, true), &r.Whole.Freedom,
			answer.Null(r.Whole.Probability, true)
	}
	switch {
	case whole:
		rep.Answer = append(rep.Answer, fmt.Sprintf("The bed has changed (%s).", say.ByChance(r.Whole)))
	case somewhere:
		rep.Answer = append(rep.Answer, "The bed has changed at one place by more than chance explains, though not "+
			"all along it.")
	case r.Judged:
		rep.Answer = append(rep.Answer, fmt.Sprintf("The two surveys show no change (%s).",
			say.ByChance(r.Whole)))
	case !r.Stated:
		rep.Answer = append(rep.Answer, "Whether the bed has changed by more than chance cannot be said, as one of "+
			"the two has no ±.")
	default:
		rep.Answer = append(rep.Answer, "Whether the bed has changed cannot be said: nowhere do both surveys "+
			"know the same stretch well enough.")
	}
	if r.Stated && !worn {
		rep.Answer = append(rep.Answer, fmt.Sprintf("Largest beside its ±: the %s way at %s, changed by %s, %s, "+
			"and the tool at %s, by %s, %s.", way.name, r.About(way.Position), r.Small(way.Value),
			r.PlusMinus(way.U, true),
			r.About(tool.Position), r.Small(tool.Value), r.PlusMinus(tool.U, true)))
	} else {
		rep.Answer = append(rep.Answer, r.wayWords(way, years), r.toolWords(tool, years))
	}
	if worn && way.Value < 0 && way.Sure() > 2 {
		rep.Answer = append(rep.Answer, "Ways do not grow: was the bed reground or scraped between the two, are the "+
			"stretches taken as unworn worn by now, or is there a slip in a survey? wornway wear looks for one.")
	}
	rep.Tables = []show.Table{r.table(&j, stations)}
	r.twist(&j, &rep)
	if why != "" {
		rep.Remarks = append(rep.Remarks, why)
	}
	for _, v := range r.between() {
		rep.Remarks = append(rep.Remarks, fmt.Sprintf("Between the two, on %s: %s.", word.Day(v.Date), word.Event(v)))
	}
	rep.Remarks = append(rep.Remarks, "Plus means more wear: the way has sunk further, the front way has moved "+
		"toward the operator, the tool away from the work. ± holds 19 times in 20; it is wide where either survey "+
		"has not looked.")
	if r.Judged {
		rep.Notes = append(rep.Notes, say.ChiSquare("", r.Whole))
	}
	rep.Assumed = append([]string{}, r.Notes...)
	if len(r.Earlier.Surveys)+len(r.Later.Surveys) > 0 {
		rep.Assumed = append(rep.Assumed, "What both took as known of wear beforehand is allowed for: it does not "+
			"make them alike, nor different.")
	} else {
		rep.Assumed = append(rep.Assumed, "Both are as stated in the profiles; places closer than their reach are "+
			"taken to be wrong together, those further apart each by itself.")
	}
	rep.Assumed = append(rep.Assumed, "The tool's way out is by wear alone, twist left out.",
		"Each profile holds for its own levelling and gibs; the lathe is the same in both.")
	j.Assumed, j.Warnings = rep.Assumed, append(j.Warnings, rep.Warnings...)
	rep.JSON = j
	return rep
}

func side(name string, p *profile.Profile) sideJSON {
	s := sideJSON{Name: name, Surveys: len(p.Surveys)}
	if p.Stated != nil {
		s.Surveys++
	}
	if first, _, last, _ := p.Dates(); !first.IsZero() {
		s.From, s.To = word.Day(first), word.Day(last)
	}
	return s
}

// yearly says what that is in a year.
func (r *Comparison) yearly(g namedGrowth, years float64) string {
	if math.IsNaN(years) {
		return ""
	}
	return fmt.Sprintf("; that is %s a year, %s, over %.1f years", r.Small(g.Value/years),
		r.PlusMinus(g.U/years, r.Stated), years)
}

func (r *Comparison) wayWords(g namedGrowth, years float64) string {
	verb, how := "has sunk", "further"
	if g.Value < 0 {
		verb, how = "stands", "higher"
	}
	yearly := r.yearly(g, years)
	g.Value = math.Abs(g.Value)
	return fmt.Sprintf("At %s, where that is clearest, the %s way %s %s %s, %s%s.", r.About(g.Position), g.name, verb,
		r.Small(g.Value), how, r.PlusMinus(g.U, r.Stated), yearly)
}

func (r *Comparison) toolWords(g namedGrowth, years float64) string {
	side := "further from the work"
	if g.Value < 0 {
		side = "nearer to the work"
	}
	yearly := r.yearly(g, years)
	g.Value = math.Abs(g.Value)
	return fmt.Sprintf("By wear alone the tool stands %s %s at %s, %s, and twice that on diameter%s.",
		r.Small(g.Value), side, r.About(g.Position), r.PlusMinus(g.U, r.Stated), yearly)
}

// twist says what of a change is levelling.
func (r *Comparison) twist(j *compareJSON, rep *show.Report) {
	more, u := r.Twist()
	old, later := r.Old.Wear.Scalar(bed.Twist), r.New.Wear.Scalar(bed.Twist)
	per := r.In.MM()
	j.Twist = twistJSON{old * per, later * per, more * per, answer.Null(u*per, r.Stated)}
	if u == 0 && more == 0 {
		rep.Notes = append(rep.Notes, "The bed is taken not to be twisted in either.")
		return
	}
	// Over a foot, or 300 mm, the tool goes out by twist times length times the guide height, and the diameter by twice
	// that.
	over := r.LeanOver()
	diameter := 2 * math.Abs(more) * over * r.Later.Lathe.Bed.GuideHeight()
	told := "no more than its ±"
	if math.Abs(more) > 2*u {
		told = "more than its ±"
	}
	rep.Remarks = append(rep.Remarks, fmt.Sprintf("The bed is twisted by %s ± %s %s more than before, %s: that is "+
		"levelling, not wear, and is in none of these numbers. On diameter it would be %s over %s.",
		r.Units.Twist(more), r.Units.Twist(2*u), r.TwistUnit(), told, r.Small(diameter), r.At(over)))
}

func (r *Comparison) table(j *compareJSON, stations []float64) show.Table {
	small := r.SmallName()
	t := show.Table{Name: "stations", Title: "Wear between the two:", Most: 12, Columns: []show.Column{
		{Head: "at, " + r.UnitName(), Key: "position"},
		{Head: "front, " + small, Key: "front"}, {Head: "±", Key: "u_front"},
		{Head: "rear, " + small, Key: "rear", Spare: true}, {Head: "±", Key: "u_rear", Spare: true},
		{Head: "shift, " + small, Key: "shift", Spare: true}, {Head: "±", Key: "u_shift", Spare: true},
		{Head: "tool out, " + small, Key: "tool_out"}, {Head: "±", Key: "u_tool_out"}}}
	in := r.In.From
	for _, z := range stations {
		s := compareStationJSON{wearStationJSON: wearStationJSON{Position: in(z)}}
		row := []show.Cell{{Text: r.Bare(z), Value: s.Position}}
		for _, k := range []struct {
			sum bed.Sum
			v   *float64
			u   **float64
		}{{bed.At(bed.Front, 0), &s.Front, &s.UFront}, {bed.At(bed.Rear, 0), &s.Rear, &s.URear},
			{bed.At(bed.Shift, 0), &s.Shift, &s.UShift}, {r.tool(), &s.ToolOut, &s.UToolOut}} {
			v, u := r.Of(k.sum, z)
			*k.v, *k.u = in(v), answer.Null(in(u), r.Stated)
			row = append(row, show.Cell{Text: r.Cell(v), Value: *k.v},
				show.Cell{Text: r.Expanded(u, r.Stated), Value: *k.u})
		}
		j.Stations = append(j.Stations, s)
		t.Rows = append(t.Rows, row)
	}
	return t
}
