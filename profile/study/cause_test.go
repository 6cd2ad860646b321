package study

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"wornway/compensate/cause"
	"wornway/profile"
)

// hidden is what is wrong with a machine since it was surveyed, and how its cuts came out. Sizes in the units of
// package cause, but the tail's height in mm.
type hidden struct {
	kinds   []cause.Kind
	size    map[cause.Kind]float64
	cut     int // whose differences are noted on radius
	hump    shape
	aligned float64 // what the centres are out of line beside any cause, mm in 300
}

func (h hidden) has(k cause.Kind) bool { return slices.Contains(h.kinds, k) }

// hide draws causes as usual as package cause takes them to be, and of the sizes that it takes to be usual; strong:
// none so small that it would hardly matter, and none greater than twice the usual.
func hide(r *rand.Rand, strong bool) hidden {
	h := hidden{size: map[cause.Kind]float64{}, cut: -1, aligned: 0.01 * r.NormFloat64()}
	usual := map[cause.Kind]float64{cause.WornOn: 0.5, cause.Twist: 2e-7, cause.Lean: 0.04 / 300, cause.SetOver: 0.1,
		cause.TailHeight: 0.3, cause.PushOff: 0.02}
	kinds := []cause.Kind{cause.WornOn, cause.Twist, cause.Lean, cause.SetOver, cause.PushOff, cause.TailHeight,
		cause.Radius, cause.LevelSign}
	one := func(of int) cause.Kind {
		at := r.Float64() * (10 + 0.5*float64(max(0, of-5)))
		for i, k := range kinds[:of] {
			odds := 2.0
			if i >= 5 {
				odds = 0.5
			}
			if at -= odds; at < 0 {
				return k
			}
		}
		return kinds[0]
	}
	switch x := r.Float64(); {
	case x < 0.25:
		h.kinds = []cause.Kind{cause.AsSurveyed}
	case x < 0.75:
		h.kinds = []cause.Kind{one(len(kinds))}
	case x < 0.90:
		h.kinds = []cause.Kind{one(5)}
		for len(h.kinds) < 2 {
			if k := one(5); k != h.kinds[0] {
				h.kinds = append(h.kinds, k)
			}
		}
	default:
		h.kinds = []cause.Kind{cause.Other}
	}
	for _, k := range h.kinds {
		times := r.NormFloat64()
		if r.Float64() < 0.2 {
			times *= 3
		}
		if strong {
			times = uniform(r, 0.5, 2) * float64(1-2*r.IntN(2))
		}
		if k == cause.WornOn || k == cause.PushOff || k == cause.TailHeight {
			times = math.Abs(times)
		}
		if k == cause.TailHeight && !strong {
			times = math.Sqrt(times) // the square is what is taken as usual
		}
		h.size[k] = usual[k] * times
	}
	if h.has(cause.Other) {
		at, wide, deep := uniform(r, 60, 260), uniform(r, 25, 90), uniform(r, 0.004, 0.05)*float64(1-2*r.IntN(2))
		h.hump = func(z float64) float64 { return deep * math.Exp(-(z-at)*(z-at)/(2*wide*wide)) }
	}
	return h
}

// since changes the machine.
func (h hidden) since(m *machine) {
	for i := range m.scale {
		m.scale[i] *= 1 + h.size[cause.WornOn]
	}
	m.twist += h.size[cause.Twist]
	m.leanOut += h.size[cause.Lean]
}

// made is one way in which a cut is made. Lengths mm.
type made struct {
	centres     bool
	depth       float64
	first, last float64
}

const first, last, centred = 45.0, 250.0, 400.0 // of the cuts

// make writes what was asked for by its name in profile.Further.
func (h hidden) make(b *bench, number int, name string) {
	switch name {
	case "chucked-light":
		h.collars(b, number, made{false, 0.1, first, last})
	case "chucked-deep":
		h.collars(b, number, made{false, 1, first, last})
	case "centres":
		h.collars(b, number, made{true, 0.1, first, centred})
	case "near":
		h.collars(b, number, made{false, 0.1, first, (first + last) / 2})
	case "far":
		h.collars(b, number, made{false, 0.1, (first + last) / 2, last})
	case "saddle-level":
		b.saddleLevel(0.2, 75)
	case "bar-side":
		b.barSide(fine, last-first, 25, true)
	}
}

// collars turns one cut on the machine as it is now, by the geometry of this package.
func (h hidden) collars(b *bench, number int, c made) {
	const jaws, count, u = 30.0, 6, 0.002
	d := 32.0
	m := *b.machine
	out, up := m.leanOut, m.leanUp
	// the axis goes from the spindle's own centre to where the tailstock's base, twisted with the bed, has its point
	if c.centres {
		out = (h.size[cause.SetOver]+h.aligned+b.normal(0.005))/300 + m.guide()*m.twist
		up = m.setback*m.twist - h.size[cause.TailHeight]/300
	}
	cut := func(z float64) float64 {
		v := m.diameterError(z, c.last, d, out, up)
		// the load at its own place: x³/3EI held at one end, x²(L−x)²/3EIL on two; as a share of the deep chucked cut's
		// at its last collar
		if p := h.size[cause.PushOff]; p != 0 {
			x := z - jaws
			give := x * x * x
			if c.centres {
				x = z
				give = x * x * (c.last + 20 - x) * (c.last + 20 - x) / (c.last + 20)
			}
			v += p * c.depth * give / math.Pow(250-jaws, 3)
		}
		if h.hump != nil {
			v += h.hump(z)
		}
		return v
	}
	factor := 1.0
	if h.has(cause.Radius) && (h.cut < 0 || h.cut == number) {
		factor = 0.5
	}
	keys := fmt.Sprintf("held_at = %g\ndepth = %g\n", jaws, c.depth)
	if c.centres {
		keys = fmt.Sprintf("held = \"centres\"\ndepth = %g\n", c.depth)
	}
	var rows []string
	for i := range count {
		z := c.last + (c.first-c.last)*float64(i)/(count-1)
		rows = append(rows, fmt.Sprintf("%.6f, %.6f", z, d+factor*cut(z)+b.normal(u)))
	}
	b.survey("test-cut", fmt.Sprintf("%sreading_unit = \"mm\"\nuncertainty = %g\n", keys, u),
		[]string{"position", "diameter"}, rows)
}

// causing is what the finder made of one machine.
type causing struct {
	hidden        hidden
	names         []string // of what was cut and read, in turn
	causes        []cause.Found
	soon, decided bool // after two cuts, and in the end
}

// right says whether the first cause is one that was hidden.
func (c causing) right() bool { return c.hidden.has(c.causes[0].Kind) }

// causeOnce surveys a bed, changes the machine, makes two cuts, and asks for the cause; as long as that is not decided,
// the cut or reading that would tell most is made as well.
func causeOnce(number int, strong bool) (causing, error) {
	r := rand.New(rand.NewPCG(seed+91, uint64(number)))
	m := newMachine(r, kinds[number%len(kinds)], uniform(r, 0.05, 0.18))
	h := hide(r, strong)
	plan := plans[3]
	if r.Float64() < 0.4 { // no survey sees the lean: then the profile says that there is none
		plan = plans[6]
		m.leanOut, m.leanUp = 0, 0
	}
	b := newBench(m, r, leave{})
	if h.has(cause.LevelSign) {
		b.spoil = func(s, _ int, cell []string) {
			if level := 1; plan.name == plans[3].name && s == level || plan.name != plans[3].name && s == 0 {
				changeCells(cell, func(v float64) float64 { return -v })
			}
		}
	}
	plan.read(b, leave{})
	text := b.text.String()
	b.spoil = nil
	h.since(m)
	p, e, err := readProfile(text)
	if err != nil {
		return causing{}, err
	}
	q := cause.Question{Bed: cause.Bed{Lathe: p.Lathe.Bed, Wear: e.Wear, Headstock: math.NaN()}}
	mistaken, err := p.Mistaken(e)
	if err != nil {
		return causing{}, err
	}
	for _, s := range mistaken {
		q.Mistaken = append(q.Mistaken, cause.Misreading{Survey: s.Number, Wear: s.Wear, Odds: s.Odds})
	}
	further, err := p.Further(profile.Practice{From: first, To: last, Diameter: 32, U: 0.002, HeldAt: 30, Light: 0.1,
		Deep: 1, Feed: math.NaN()})
	if err != nil {
		return causing{}, err
	}
	var of []cause.Proposal
	for _, f := range further {
		of = append(of, cause.Proposal{Name: f.Name, Set: f.Set})
	}
	out := causing{hidden: h}
	if r.IntN(2) == 0 {
		h.cut = 0
	}
	names := []string{"chucked-light", []string{"chucked-deep", "centres"}[r.IntN(2)]}
	const most = 5 // cuts and readings in all
	for number := 0; ; number++ {
		b.text.Reset()
		h.make(b, number, names[number])
		c, err := p.ReadLater(nil, "later.toml", []byte(b.text.String()))
		if err != nil {
			return out, err
		}
		q.Readings = append(q.Readings, c.Set)
		if number+1 < len(names) {
			continue
		}
		found, err := cause.Find(q)
		if err != nil {
			return out, err
		}
		out.names, out.causes, out.decided = names, found.Causes, found.Decided
		out.soon = out.soon || found.Decided && len(names) == 2
		if found.Decided || len(names) == most {
			return out, nil
		}
		told, err := found.Tell(of)
		if err != nil {
			return out, err
		}
		names = append(names, slices.MaxFunc(told, func(a, b cause.Distinction) int {
			return cmp.Compare(a.Separation,
				b.Separation)
		}).Name)
	}
}

// A hidden cause is the first answer in nine of ten cases that count as decided, whether the strengths are as they
// come, many of them so small that they cannot be told from none, or between half as strong as usual and twice as
// strong. Of machines with a cause that has a name at least half are decided; that nothing is wrong is never sure. What
// is stated with a probability comes true as often, within three standard errors in each of five bins: that is asked of
// strengths as they come, since those are what the finder allows for; strong ones are its own selection, and there
// the bins are told only. The finder was tuned on beds of the seeds 4711 and 9001; 5150 and 6226 were tried after that,
// and so was the usual one, on which an earlier form of it had been tuned. The ordinary run takes four of each; there
// chance has 1.4 standard errors' room: of six decided ones one may be wrong, of two none.
func TestCauseFound(t *testing.T) {
	n := cases(2, 4, 300)
	for _, strong := range []bool{false, true} {
		got := beds(t, n, func(i int) (causing, error) { return causeOnce(i, strong) })
		decided, right, soon := 0, 0, 0
		hidden, found := 0, 0 // machines with a cause that has a name
		var stated []float64
		var came []bool
		wrong := map[string]int{}
		for i, c := range got {
			for _, f := range c.causes {
				stated, came = append(stated, f.Probability), append(came, c.hidden.has(f.Kind))
			}
			if c.soon {
				soon++
			}
			named := !c.hidden.has(cause.AsSurveyed) && !c.hidden.has(cause.Other)
			if named {
				hidden++
			}
			if !c.decided {
				continue
			}
			decided++
			if named {
				found++
			}
			if c.right() {
				right++
				continue
			}
			wrong[fmt.Sprint(c.hidden.kinds, " called ", c.causes[0].Kind)]++
			t.Log(i, c.hidden.kinds, c.hidden.size, c.names, c.causes[0])
		}
		t.Logf("strong %v: %d of %d decided after two cuts, %d of %d after five at most, %d of them right; wrong: %v",
			strong, soon, n, decided, n, right, wrong)
		t.Logf("strong %v: of %d machines with a cause that has a name %d are decided", strong, hidden, found)
		for _, k := range []cause.Kind{cause.AsSurveyed, cause.WornOn, cause.Twist, cause.Lean, cause.SetOver,
			cause.TailHeight, cause.PushOff, cause.Radius, cause.LevelSign, cause.Other} {
			sum, was := 0.0, 0
			for _, c := range got {
				if c.hidden.has(k) {
					was++
				}
				for _, f := range c.causes {
					if f.Kind == k {
						sum += f.Probability
					}
				}
			}
			t.Logf("strong %v: %s stated %.1f times, was there %d times", strong, k, sum, was)
		}
		least := 0.9
		if !*full {
			least -= room(0.24, 3, float64(decided))
		}
		if decided == 0 && !testing.Short() || float64(right) < least*float64(decided) {
			t.Errorf("strong %v: %d of %d decided ones are right", strong, right, decided)
		}
		if *full && 2*found < hidden {
			t.Errorf("strong %v: %d of %d with a cause decided", strong, found, hidden)
		}
		for k := range 5 {
			var sum, kept, spread, count float64
			for i, p := range stated {
				if min(int(5*p), 4) == k {
					count++
					sum += p
					spread += p * (1 - p)
					if came[i] {
						kept++
					}
				}
			}
			if count == 0 {
				continue
			}
			sigma := (kept - sum) / math.Sqrt(math.Max(spread, 1e-9))
			t.Logf("strong %v: stated with %.3f, came true in %.3f of %.0f (%+.1f standard errors)", strong, sum/count,
				kept/count, count, sigma)
			if *full && !strong && math.Abs(sigma) > 3 {
				t.Errorf("stated with %.3f, came true in %.3f of %.0f", sum/count, kept/count, count)
			}
		}
	}
}
