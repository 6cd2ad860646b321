package chapters

import (
	"math"
	"runtime"
	"slices"
	"sync"

	"wornway/cmd/wornway/internal/figure"
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

// lessonPlaces is how many positions the page knows.
const lessonPlaces = 41

// Numbers is a lathe on its way into a lesson. Lengths mm.
type Numbers struct {
	*shop.Bench
	From, To float64
	later    []func() // the corrections, which take long and do not hang on each other
}

// reckon does what was put off, on all processors.
func (t *Numbers) reckon() {
	var wait sync.WaitGroup
	next := make(chan func())
	for range runtime.NumCPU() {
		wait.Go(func() {
			for do := range next {
				do()
			}
		})
	}
	for _, do := range t.later {
		next <- do
	}
	close(next)
	wait.Wait()
	t.later = nil
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

// Heights, diameters and tool heights that the page offers, mm.
func (t *Numbers) Heights() []float64 {
	h := t.Machine.Lathe.CentreHeight
	return []float64{h, round1(1.25*h, t.In)}
}

func (t *Numbers) Diameters() []float64 {
	if t.In == length.Inch {
		return []float64{0.25 * 25.4, 0.5 * 25.4, 25.4, 3 * 25.4}
	}
	return []float64{6, 12, 25, 75}
}

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

// Page computes everything that the page shows.
func (t *Numbers) Page() (*lesson.Page, error) {
	cases, err := t.cases()
	if err != nil {
		return nil, err
	}
	p := &lesson.Page{Lathe: t.Lathe.Name, Unit: t.In.String(), Small: t.SmallName(),
		SmallPerTenth: figure.SmallFrom(t.Bench, 1e-4), Decimals: map[length.Unit]int{length.Inch: 2,
			length.Millimetre: 1}[t.In],
		Post: int(t.Machine.Lathe.Post()), Span: t.In.From(t.Machine.Lathe.Span),
		Bearing: t.In.From(t.Machine.Lathe.Saddle.BearingLength),
		Beside:  t.In.From(t.Machine.Lathe.Saddle.ToolOffset),
		SetAt:   t.At(t.To), Thick: t.Diameters()}
	for _, z := range t.positions() {
		p.Positions = append(p.Positions, t.In.From(z))
	}
	for _, h := range t.Heights() {
		p.Heights = append(p.Heights, t.At(h))
	}
	for _, d := range t.Diameters() {
		p.Diameters = append(p.Diameters, t.Diameter(d))
	}
	for _, h := range t.ToolHeights() {
		p.Tools = append(p.Tools, say.Height(t.Bench, h))
	}
	p.Held = []string{"in the chuck", "between centres"}
	for _, k := range cases {
		p.Wears = append(p.Wears, lesson.Named{Name: k.name, What: k.what})
		if err := t.fill(p, k.wear); err != nil {
			return nil, err
		}
	}
	t.reckon()
	p.Chapters, err = t.chapters(cases)
	p.Methods = methodsTaught()
	return p, err
}

// positions are those that the page knows, mm.
func (t *Numbers) positions() []float64 {
	out := make([]float64, lessonPlaces)
	for i := range out {
		out[i] = t.From + (t.To-t.From)*float64(i)/(lessonPlaces-1)
	}
	return out
}

// tenths turns mm into tenths of a micrometre.
func tenths(mm float64) int { return int(math.Round(mm * 1e4)) }

// axes are the work's axis in the chuck and between centres that stand true where the length ends: straight, without
// the spindle's lean.
func (t *Numbers) axes() []compensate.Axis { return []compensate.Axis{t.Machine.Axis, {}} }

// straight says whether the axis in the chuck is the one between centres, too, which a spindle without lean makes it.
func straight(a compensate.Axis, w *wear.Wear) bool {
	return a.Tail == nil && len(a.Out.Terms) == 0 && len(a.Up.Terms) == 0 &&
		w.Value(a.Out, 1) == 0 && w.Value(a.Up, 1) == 0
}

// fill puts the numbers of one wear into the page.
func (t *Numbers) fill(p *lesson.Page, w *wear.Wear) error {
	var ways lesson.Ways
	for _, z := range t.positions() {
		ways.Front = append(ways.Front, tenths(w.Value(bed.At(bed.Front, 0), z)))
		ways.Rear = append(ways.Rear, tenths(w.Value(bed.At(bed.Rear, 0), z)))
		ways.Shift = append(ways.Shift, tenths(w.Value(bed.At(bed.Shift, 0), z)))
	}
	for _, h := range t.Heights() {
		m := t.Machine
		m.Wear, m.Lathe.CentreHeight = w, h
		steps := lesson.Steps{}
		for i, d := range t.Diameters() {
			for _, tool := range t.ToolHeights() {
				alike := straight(t.Machine.Axis, w)
				for held, axis := range t.axes() {
					m.Axis = axis
					cut := compensate.Cut{Feature: work.Feature{From: t.From, To: t.To, Diameter: d}, SetAt: t.To,
						ToolHeight: tool}
					c, err := m.Curve(cut)
					if err != nil {
						return t.Explain(err)
					}
					n := len(p.Moves)
					p.Errors, p.Moves = append(p.Errors, nil, nil), append(p.Moves, 0)
					corrected := m
					if held == 0 || !alike {
						t.later = append(t.later, func() {
							before, after, moves := t.errors(corrected, c)
							p.Errors[2*n], p.Errors[2*n+1], p.Moves[n] = before, after, moves
							if alike { // between centres comes next
								p.Errors[2*n+2], p.Errors[2*n+3], p.Moves[n+1] = before, after, moves
							}
						})
					}
					if i == 0 && len(steps.Front) == 0 {
						for _, z := range t.positions() {
							s := c.Steps(z)
							for i, e := range s.Ends {
								steps.Ends[i] = append(steps.Ends[i], tenths(e.Front))
							}
							steps.Front, steps.Shift = append(steps.Front, tenths(s.Front)),
								append(steps.Shift, tenths(s.Shift))
							steps.Roll, steps.Out = append(steps.Roll, int(math.Round(s.Roll*1e7))),
								append(steps.Out, tenths(s.ToolOut))
						}
					}
				}
			}
			cut := compensate.Cut{Feature: work.Feature{From: t.From, To: t.To, Diameter: d}, SetAt: t.To}
			c, err := m.Curve(cut)
			if err != nil {
				return t.Explain(err)
			}
			var down []int
			for _, z := range t.positions() {
				down = append(down, tenths(c.Station(z).ToolDrop))
			}
			steps.Down = append(steps.Down, down)
		}
		ways.Steps = append(ways.Steps, steps)
	}
	p.Ways = append(p.Ways, ways)
	return nil
}

// errors are the diameter errors of a cut at the page's positions, with nothing dialled and with the settings that
// correct lists, and how many those are; −1 where the dial is not known or cannot hold it.
func (t *Numbers) errors(m compensate.Machine, c *compensate.Curve) (before, after []int, moves int) {
	at := t.positions()
	for _, z := range at {
		before = append(before, tenths(c.At(z, 0)))
	}
	s := t.Lathe.CrossSlide
	if s == nil {
		return before, before, -1
	}
	dial := shop.DialOf(s, 0)
	k, err := m.Correct(c.Cut, compensate.Correcting{Dial: dial, Feed: compensate.TowardHeadstock,
		Every: []float64{c.From, c.To}})
	if err != nil {
		return before, before, -1
	}
	held := make([]compensate.Held, len(at))
	for i, z := range at {
		held[i].Position = z
	}
	for _, h := range k.Under(held, dial.Step())[:len(at)] {
		after = append(after, tenths(c.At(h.Position, h.Setting)))
	}
	return before, after, len(k.Moves)
}
