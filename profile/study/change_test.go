package study

import (
	"fmt"
	"math"
	"math/rand/v2"

	"wornway/profile"
	"wornway/profile/bed"
)

// changes are the surveys that are made of a bed and, years later, made again.
var changes = []plan{
	{"bar, level", true, false, func(b *bench, _ leave) { b.barSide(fine, 254, 12.7, true); b.saddleLevel(0.2, 50) }},
	{"across, micrometer, along", false, true, func(b *bench,
		_ leave) {
		b.levelAcross(0.2)
		b.wayMicrometer(0.003)
		b.levelAlong("front", 0.2)
	}},
	{"indicators, level", false, true, func(b *bench, _ leave) { indicators(b); b.saddleLevel(0.2, 50) }},
}

// compared is what a comparison of two surveys of one bed found.
type compared struct {
	probability float64
	off, u      []float64 // of the wear between the two, where it was made up, mm
	twist       float64   // error of the twist between the two over its standard uncertainty
}

// again surveys the bed of a number by a plan, twice; between the two the whole of its wear grows by the share, and it
// is levelled anew.
func again(number int, p plan, share float64) (compared, error) {
	r := rand.New(rand.NewPCG(seed+7, uint64(number)))
	m := newMachine(r, kinds[number%len(kinds)], uniform(r, 0.05, 0.18))
	read := func(text uint64) (*profile.Profile, error) {
		b := newBench(m, rand.New(rand.NewPCG(seed+text+uint64(len(p.name)), uint64(number))), leave{})
		p.read(b, leave{})
		return profile.Parse(nil, "study.toml", []byte(b.text.String()))
	}
	old, err := read(100)
	if err != nil {
		return compared{}, err
	}
	front, rear, shift := m.front, m.rear, m.shift
	at := every(60, 240, 30)
	var was [][3]float64
	for _, z := range at {
		was = append(was, [3]float64{front(z), rear(z), shift(z)})
	}
	twist := m.twist
	m.scale[0] *= 1 + share
	m.scale[1] *= 1 + share
	m.scale[2] *= 1 + share
	m.twist = uniform(r, -5e-8, 5e-8)
	later, err := read(200)
	if err != nil {
		return compared{}, err
	}
	c, err := profile.Compare(old, later)
	if err != nil {
		return compared{}, fmt.Errorf("bed %d, %s: %w", number, p.name, err)
	}
	if !c.Judged {
		return compared{}, fmt.Errorf("bed %d, %s: not judged", number, p.name)
	}
	out := compared{probability: c.Whole.Probability}
	for i, z := range at {
		for k, now := range []float64{m.front(z), m.rear(z), m.shift(z)} {
			g, u := c.Of(bed.At([]bed.Curve{bed.Front, bed.Rear, bed.Shift}[k], 0), z)
			out.off, out.u = append(out.off, g-(now-was[i][k])), append(out.u, u)
		}
	}
	more, u := c.Twist()
	out.twist = (more - (m.twist - twist)) / u
	return out, nil
}

// tallied is what was found over beds.
type tallied struct{ called, coverage, twist float64 }

func (t tallied) String() string {
	return fmt.Sprintf("called worn on %.3f, growth within its 95 %% %.3f, twist scatters by %.2f", t.called,
		t.coverage, t.twist)
}

func tallyChanges(of []compared) (t tallied) {
	n, samples := float64(len(of)), 0.0
	for _, c := range of {
		if c.probability < 0.05 {
			t.called += 1 / n
		}
		t.twist += c.twist * c.twist / n
		for i, off := range c.off {
			samples++
			if math.Abs(off) <= 1.96*c.u[i] {
				t.coverage++
			}
		}
	}
	t.coverage /= samples
	t.twist = math.Sqrt(t.twist)
	return t
}
