package chapters

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"wornway/cmd/wornway/internal/lesson"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/length"
	"wornway/profile/wear"
)

// WornStretch is where the deepest way is worn by more than a tenth of its greatest drop, mm.
func WornStretch(l *shop.Bench) (from, to float64, there bool) {
	way, _, drop := l.Deepest()
	if !(drop > 0) {
		return 0, 0, false
	}
	first, last := l.Machine.Wear.Range()
	sum := bed.At(way, 0)
	from, to = math.Inf(1), math.Inf(-1)
	const places = 400
	for i := range places + 1 {
		z := first + (last-first)*float64(i)/places
		if l.Machine.Wear.Value(sum, z) > drop/10 {
			from, to = math.Min(from, z), math.Max(to, z)
		}
	}
	return from, to, to > from
}

// Numbers is a lathe on its way into a lesson. Lengths mm.
type Numbers struct {
	*shop.Bench
	From, To float64
	Work     float64 // the diameter that is told of; 0: the usual
	Centres  bool    // the work is shown between centres first
}

// wearCase is a wear that the page offers.
type wearCase struct {
	name, what string
	wear       *wear.Wear
}

// cases are the wears offered: as it was found, and what is left if part of it were not there.
func (t *Numbers) cases() ([]wearCase, error) {
	as := t.Machine.Wear
	knots := as.Knots()
	at := func(c bed.Curve) []float64 {
		out := make([]float64, len(knots))
		for i, z := range knots {
			out[i] = as.Value(bed.At(c, 0), z)
		}
		return out
	}
	front, rear, shift := at(bed.Front), at(bed.Rear), at(bed.Shift)
	none := make([]float64, len(knots))
	out := []wearCase{{"as found", "the wear as the profile has it", as}}
	add := func(name, what string, f, r, s []float64) error {
		w, err := wear.New(knots, map[bed.Curve][]float64{bed.Front: f, bed.Rear: r, bed.Shift: s})
		if err != nil {
			return err
		}
		out = append(out, wearCase{name, what, w})
		return nil
	}
	if err := add("equal on both ways", "both ways sunk as the front one has, nothing sideways", front, front,
		none); err != nil {
		return nil, err
	}
	if err := add("front way only", "the rear way as new", front, none, shift); err != nil {
		return nil, err
	}
	if err := add("rear way only", "the front way as new", none, rear, none); err != nil {
		return nil, err
	}
	flank, side := slices.Clone(none), slices.Clone(none)
	what := "the front way's guiding edge alone has worn"
	if v := t.Machine.Lathe.V; v != nil {
		what = "the V's outer flank alone has lost what it lost"
		for i := range knots {
			outer, _ := v.Normal(front[i], shift[i])
			flank[i], side[i] = v.Motion(outer, 0)
		}
	} else {
		copy(side, shift)
	}
	return out, add("one flank only", what, flank, none, side)
}

// Heights are the centre heights that the page offers, mm, the lathe's own first.
func (t *Numbers) Heights() []float64 {
	h := t.Machine.Lathe.CentreHeight
	return []float64{h, round1(1.25*h, t.In)}
}

// Diameters are those that the page offers, mm, the thinnest first.
func (t *Numbers) Diameters() []float64 {
	all := []float64{6, 12, 25, 75}
	if t.In == length.Inch {
		all = []float64{0.25 * 25.4, 0.5 * 25.4, 25.4, 3 * 25.4}
	}
	if d := t.told(); !slices.ContainsFunc(all, func(x float64) bool { return math.Abs(x-d) < 1e-6 }) {
		all = append(all, d)
		slices.Sort(all)
	}
	return all
}

// told is the diameter that chapters are told of, mm.
func (t *Numbers) told() float64 {
	if t.Work > 0 {
		return t.Work
	}
	return shop.UsualDiameter(t.In)
}

// ToolHeights are those that the page offers, mm, on centre first.
func (t *Numbers) ToolHeights() []float64 {
	if t.In == length.Inch {
		return []float64{0, -0.02 * 25.4, 0.02 * 25.4}
	}
	return []float64{0, -0.5, 0.5}
}

// round1 rounds to a tenth of an inch or a millimetre.
func round1(mm float64, u length.Unit) float64 {
	step := 1.0
	if u == length.Inch {
		step = 2.54
	}
	return math.Round(mm/step) * step
}

// usual is which of the diameters chapters are told of.
func (t *Numbers) usual() int {
	u := t.told()
	best := 0
	for i, d := range t.Diameters() {
		if math.Abs(d-u) < math.Abs(t.Diameters()[best]-u) {
			best = i
		}
	}
	return best
}

// Page computes everything that the page shows.
func (t *Numbers) Page() (*lesson.Page, error) {
	cases, err := t.cases()
	if err != nil {
		return nil, err
	}
	l := t.Machine.Lathe
	p := &lesson.Page{Lathe: t.Lathe.Name, Unit: t.In.String(), Small: t.SmallName(),
		SmallPerUnit: t.In.Small().From(t.In.MM()), Usual: t.usual(),
		Section: lesson.Section{Post: int(l.Post()), Span: t.In.From(l.Span), Height: t.In.From(l.CentreHeight),
			Setback: t.In.From(l.Setback)},
		Bearing: t.In.From(l.Saddle.BearingLength), Beside: t.In.From(l.Saddle.ToolOffset)}
	if v := l.V; v != nil {
		p.Section.Outer, p.Section.Inner, p.Section.Spacing = v.Outer*180/math.Pi, v.Inner*180/math.Pi,
			t.In.From(v.ContactSpacing)
	}
	_, after, _ := strings.Cut(length.Small(0, t.In), ".")
	p.Digits = len(after)
	for _, z := range t.positions() {
		p.Positions, p.Places = append(p.Positions, t.In.From(z)), append(p.Places, t.About(z))
	}
	for _, h := range t.Heights() {
		p.Heights = append(p.Heights, t.At(h))
	}
	for _, d := range t.Diameters() {
		p.Diameters, p.Thick = append(p.Diameters, t.Diameter(d)), append(p.Thick, t.In.From(d))
	}
	for _, h := range t.ToolHeights() {
		p.Tools = append(p.Tools, say.Height(t.Bench, h))
	}
	p.Held = []string{"in the chuck", "between centres"}
	if t.Centres {
		p.First = 1
	}
	known := map[string]int{}
	for i, k := range cases {
		if err := t.fill(p, k, i == 0, known); err != nil {
			return nil, err
		}
	}
	if err := t.dials(p); err != nil {
		return nil, err
	}
	t.ask(p)
	if p.Chapters, err = t.chapters(p, cases); err != nil {
		return nil, err
	}
	if p.More, err = t.questions(cases); err != nil {
		return nil, err
	}
	p.Methods = methodsTaught()
	return p, nil
}

// positions are those that the page knows, mm: at a round step, so that they can be told.
func (t *Numbers) positions() []float64 {
	const most = 64
	return compensate.Stations(t.From, t.To, compensate.RoundStep(t.To-t.From, t.In.MM(), most))
}

// ask chooses the position that questions are about: where the error of the wear as found is greatest, in the quarter
// that is nearest to the headstock.
func (t *Numbers) ask(p *lesson.Page) {
	all := p.Errors[p.At[p.Usual*len(p.Tools)*len(p.Held)]]
	for i, e := range all[:len(all)/4+1] {
		if max(e, -e) > max(all[p.Asked], -all[p.Asked]) {
			p.Asked = i
		}
	}
}

// shown is a small error in counts of the last digit that people are shown of it: rounded here, as everywhere, and
// never again.
func (t *Numbers) shown(mm float64) int {
	n, err := strconv.Atoi(strings.Replace(length.Small(mm, t.In), ".", "", 1))
	if err != nil {
		return 0 // of no number
	}
	return n
}

// along are small errors at the page's positions.
func (t *Numbers) along(of func(z float64) float64) []int {
	var out []int
	for _, z := range t.positions() {
		out = append(out, t.shown(of(z)))
	}
	return out
}

// axes are the work's axis in the chuck and between centres that stand true where the length ends: straight, without
// the spindle's lean.
func (t *Numbers) axes() []compensate.Axis { return []compensate.Axis{t.Machine.Axis, {}} }

// straight says whether the axis in the chuck is the one between centres, too, which a spindle without lean makes it.
func straight(a compensate.Axis, w *wear.Wear) bool {
	return a.Tail == nil && w.Value(a.Out, 1) == 0 && w.Value(a.Up, 1) == 0
}

// cut is one of work of a diameter along the lesson's length, mm.
func (t *Numbers) cut(diameter, toolHeight float64) compensate.Cut {
	return compensate.Cut{Feature: work.Feature{From: t.From, To: t.To, Diameter: diameter}, SetAt: t.To,
		ToolHeight: toolHeight}
}

// fill puts the numbers of one wear into the page, with its ± where it was found.
func (t *Numbers) fill(p *lesson.Page, k wearCase, found bool, known map[string]int) error {
	o := lesson.Wear{Name: k.name, What: k.what}
	if straight(t.Machine.Axis, k.wear) {
		o.Alike = t.alike()
	}
	m := t.Machine
	m.Wear = k.wear
	o.Front = t.along(func(z float64) float64 { return k.wear.Value(bed.At(bed.Front, 0), z) })
	o.Rear = t.along(func(z float64) float64 { return k.wear.Value(bed.At(bed.Rear, 0), z) })
	for n, h := range t.Heights() {
		m.Lathe.CentreHeight = h
		for i, d := range t.Diameters() {
			for j, tool := range t.ToolHeights() {
				for held, axis := range t.axes() {
					m.Axis = axis
					c, err := m.Curve(t.cut(d, tool))
					if err != nil {
						return t.Explain(err)
					}
					errors := t.along(func(z float64) float64 { return c.At(z, 0) })
					key := fmt.Sprint(errors)
					if _, there := known[key]; !there {
						known[key] = len(p.Errors)
						p.Errors = append(p.Errors, errors)
					}
					p.At = append(p.At, known[key])
					if found {
						if sure := t.sure(c); sure != nil {
							p.Sure = append(p.Sure, sure)
						}
					}
					if n == 0 && i == 0 && j == 0 {
						set := c.Station(t.To).AxisOut
						o.Axis = append(o.Axis, t.along(func(z float64) float64 {
							return -m.Lathe.Post() * (c.Station(z).AxisOut - set)
						}))
					}
					if held > 0 || j > 0 {
						continue
					}
					if n == 0 && i == 0 {
						t.saddle(&o, c)
					}
					if i == 0 {
						o.Out = append(o.Out, t.along(func(z float64) float64 { return c.Station(z).ToolOut }))
					}
					if n == 0 {
						o.Down = append(o.Down, t.along(func(z float64) float64 { return c.Station(z).ToolDrop }))
					}
				}
			}
		}
	}
	p.Wears = append(p.Wears, o)
	return nil
}

// sure is the ± at k = 2 of a curve's errors; nil where none is stated.
func (t *Numbers) sure(c *compensate.Curve) []int {
	const expanded = 2
	var out []int
	for _, z := range t.positions() {
		s := c.Station(z)
		if !s.Stated {
			return nil
		}
		out = append(out, t.shown(expanded*s.Uncertainty))
	}
	return out
}

// saddle puts into the page what the saddle makes of a wear.
func (t *Numbers) saddle(o *lesson.Wear, c *compensate.Curve) {
	for _, z := range t.positions() {
		s := c.Steps(z)
		for i, e := range s.Ends {
			o.Ends[i] = append(o.Ends[i], t.shown(e.Front))
		}
		o.Sunk, o.Aside = append(o.Sunk, t.shown(s.Front)), append(o.Aside, t.shown(s.Shift))
		o.FrontMean, o.RearMean = append(o.FrontMean, t.shown(s.FrontMean)), append(o.RearMean, t.shown(s.RearMean))
		o.Lean = append(o.Lean, int(math.Round(s.Roll*1e7)))
	}
}
