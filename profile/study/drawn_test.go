package study

import (
	"flag"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"strconv"
)

// stiffness is how stiff every drawn saddle is; less than zero: it is drawn.
var stiffness = flag.Float64("sigma", -1, "how stiff the saddles are, 0 to 1; -1: drawn, a third 0, a third 1")

// vees are the V ways that are drawn, outer and inner flank in degrees. The last is a flat way with a guiding edge.
var vees = [...]struct {
	name         string
	outer, inner float64
}{{"V 45/45", 45, 45}, {"V 35/55", 35, 55}, {"V 25/65", 25, 65}, {"flat", 0, 0}}

// drawn is a bed of the wide study, and how it is read.
type drawn struct {
	*machine
	way       string
	rearWorse bool
	depth     float64 // of the front way, mm
	finest    finest
	inch      bool
	datum     bool
	near, end float64
}

// draw makes up a bed of a number: any geometry and unit, any kind of front way, worn softly or sharply, 40 to 190 µm
// deep, on ways that were never quite straight, surveyed to its unworn end or not.
func draw(seed uint64, number int) drawn {
	r := rand.New(rand.NewPCG(seed, uint64(number)))
	kind := kinds[r.IntN(len(kinds))]
	depth := uniform(r, 0.040, 0.190)
	m := newMachine(r, kind, depth)
	d := drawn{machine: m, depth: depth}

	// the lathe
	m.span = uniform(r, 130, 280)
	m.height = m.span * uniform(r, 0.6, 0.85)
	m.setback = m.span * uniform(r, 0.42, 0.55)
	m.saddle = m.span * uniform(r, 0.9, 1.6)
	m.offset = m.saddle * uniform(r, -0.25, 0.1)
	m.tail = [2]float64{m.span * uniform(r, 0.25, 0.35), m.span * uniform(r, 0.65, 0.75)}
	m.rearPost = r.Float64() < 0.3
	m.full = r.Float64() < 0.3
	switch k := r.IntN(3); {
	case *stiffness >= 0:
		m.stiff = *stiffness
	case k == 1:
		m.stiff = r.Float64()
	case k == 2:
		m.stiff = 1
	}

	// its ways and what they have lost
	k := r.IntN(len(vees))
	d.way = vees[k].name
	m.vee = vees[k].outer > 0
	m.outer, m.inner, m.spacing = vees[k].outer*math.Pi/180, vees[k].inner*math.Pi/180, 0
	m.scale[0], m.scale[1] = 1, math.Exp(0.4*r.NormFloat64()) // one flank wears more than the other
	if m.vee {
		m.spacing = uniform(r, 6, 15)
	} else {
		m.scale[1] = uniform(r, -0.4, 0.4) // the guiding edge, on whichever side it is
	}
	scale := depth / greatest(m.front, m.form)
	m.scale[0], m.scale[1] = m.scale[0]*scale, m.scale[1]*scale
	m.scale[2] = depth * uniform(r, 0.2, 0.9)
	if d.rearWorse = r.Float64() < 0.1; d.rearWorse {
		m.scale[2] = depth * uniform(r, 1.05, 1.6)
	}
	for i := range m.crooked {
		m.crooked[i] = crooked(r, uniform(r, 0.001, 0.003))
	}

	// how it is read
	d.inch = r.IntN(2) == 0
	d.finest = finest{0.001, 0.001, 0.1}
	if d.inch {
		d.finest = finest{0.1 * thou, 0.1 * thou, 0.1}
	}
	d.datum = r.IntN(2) == 0
	d.near, d.end = uniform(r, -80, 60), uniform(r, 350, 650)
	if r.IntN(2) == 0 {
		d.end = m.form.end + uniform(r, 20, 80)
	}
	return d
}

// greatest returns the greatest value of a curve on the worn stretch, to a tenth of a millimetre of position or so.
func greatest(curve func(z float64) float64, f form) float64 {
	most := math.Inf(-1)
	for z := f.start; z < f.end; z++ {
		most = math.Max(most, curve(z))
	}
	return most
}

// crooked is how a way stood when it was new: waves of a quarter to a whole metre, most mm high or low at the most.
func crooked(r *rand.Rand, most float64) shape {
	type wave struct{ size, length, phase float64 }
	var waves [3]wave
	sum := 0.0
	for i := range waves {
		waves[i] = wave{uniform(r, 0.2, 1), uniform(r, 250, 1000), uniform(r, 0, 2*math.Pi)}
		sum += waves[i].size
	}
	return func(z float64) float64 {
		v := 0.0
		for _, w := range waves {
			v += w.size * math.Sin(2*math.Pi*z/w.length+w.phase)
		}
		return most * v / sum
	}
}

// bench returns the bench at which the bed is read by a plan: the same readings whatever else is read.
func (d drawn) bench(seed uint64, number int, p plan) *bench {
	h := fnv.New64a()
	h.Write([]byte(p.name + strconv.Itoa(number)))
	b := &bench{machine: d.machine, r: rand.New(rand.NewPCG(seed, h.Sum64())), finest: d.finest, inch: d.inch,
		datum: d.datum, near: d.near, end: d.end}
	b.head(leave{})
	return b
}

// collars turns five to seven collars.
func (b *bench) collars() { b.testCut(0.002, 5+b.r.IntN(3), b.perhaps(b.pushes)) }

// wide are the plans of the wide study.
var wide = []plan{
	{"level", false, true, func(b *bench, _ leave) { b.saddleLevel(0.2, 50) }},
	{"level, lock, light gap", false, true, func(b *bench, _ leave) { tenMinutes(b) }},
	{"indicators, level", false, true, func(b *bench, _ leave) { indicators(b); b.saddleLevel(0.2, 50) }},
	{"bar", true, false, func(b *bench, _ leave) { b.barSide(fine, 254, 12.7, true) }},
	{"bar, level", true, false, func(b *bench, _ leave) { b.barSide(fine, 254, 12.7, false); b.saddleLevel(0.2, 50) }},
	{"collars, level", true, false, func(b *bench, _ leave) { b.collars(); b.saddleLevel(0.2, 50) }},
	{"tailstock, along, edge", false, true, plans[5].read},
	{"nearly all", true, true, func(b *bench, l leave) {
		indicators(b)
		b.saddleLevel(0.2, 50)
		b.barSide(fine, 254, 12.7, true)
		b.collars()
		b.tailstockIndicator(coarse)
		b.levelAlong("rear", 0.2)
		b.wayMicrometer(0.003)
		for _, on := range append(b.fronts(), "rear") {
			b.straightedge(on, l)
		}
	}},
}
