package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
)

// bench writes what is read at a machine, with errors of reading, as the text of a profile. Lengths mm.
type bench struct {
	*machine
	r     *rand.Rand
	text  strings.Builder
	made  int                                      // surveys so far
	spoil func(survey int, row int, cell []string) // changes what is written, the positions in the first cells
}

// leave is what a bench may leave out of what the profile ought to say.
type leave struct {
	saddle bool // the saddle's length
	bow    bool // the straightedge's bow
}

func newBench(m *machine, r *rand.Rand, l leave) *bench {
	b := &bench{machine: m, r: r}
	post, bearing := "front", m.saddle
	if m.rearPost {
		post = "rear"
	}
	if l.saddle {
		bearing = 0
	}
	b.printf("# An invented lathe.\nformat = 1\nunit = \"mm\"\n[lathe]\ncentre_height = %.6f\nway_span = "+
		"%.6f\naxis_setback = %.6f\ntool_post = %q\n", m.height, m.span, m.setback, post)
	b.printf("bed = [%.6f, %.6f]\nunworn = [[%.6f, %.6f], [%.6f, %.6f]]\n", m.from, m.to, m.from, m.form.start,
		m.form.end, m.to)
	if m.vee {
		b.printf("[lathe.front_way]\nouter_angle = %.9f\ninner_angle = %.9f\ncontact_spacing = %.6f\n",
			m.outer*180/math.Pi, m.inner*180/math.Pi, m.spacing)
	}
	b.printf("[lathe.saddle]\nbearing_length = %.6f\ntool_offset = %.6f\n", bearing, m.offset)
	b.printf("[lathe.tailstock]\nfront_way_setback = %.6f\nrear_way_setback = %.6f\nbase_length = %.6f\n", m.tail[0],
		m.tail[1], m.base)
	return b
}

func (b *bench) printf(format string, args ...any) { fmt.Fprintf(&b.text, format, args...) }

// survey writes one survey: its keys and rows.
func (b *bench) survey(method, keys string, columns []string, rows []string) {
	b.printf("[[survey]]\nmethod = %q\n%scolumns = [\"%s\"]\nrows = [\n", method, keys, strings.Join(columns, `", "`))
	for i, r := range rows {
		if b.spoil != nil {
			cells := strings.Split(r, ", ")
			b.spoil(b.made, i, cells)
			if r = strings.Join(cells, ", "); cells[0] == "" {
				continue // not read
			}
		}
		b.printf("  [%s],\n", r)
	}
	b.printf("]\n")
	b.made++
}

func (b *bench) normal(u float64) float64 { return u * b.r.NormFloat64() }

// run reads an indicator at positions: an arbitrary zero, each reading's error, and the mount's slow drift of a
// micrometre, standard, in a hundred rows. Half of the runs are read on the way back as well, where the drift goes on;
// they are longer in time and their mean is free of it.
func (b *bench) run(method, keys string, at []float64, u float64, reading func(z float64) float64) {
	zero, drift := uniform(b.r, -0.2, 0.2), b.normal(0.001)
	back := b.r.IntN(2) == 0
	columns := []string{"position", "reading"}
	if back {
		columns = append(columns, "back")
	}
	var rows []string
	for i, z := range at {
		true_ := zero + reading(z)
		row := fmt.Sprintf("%.6f, %.4f", z, 1000*(true_+drift*float64(i)/100+b.normal(u)))
		if back {
			row += fmt.Sprintf(", %.4f", 1000*(true_+drift*float64(2*len(at)-i)/100+b.normal(u)))
		}
		rows = append(rows, row)
	}
	b.survey(method, fmt.Sprintf("%sreading_unit = \"um\"\nuncertainty = %g\n", keys, 1000*u), columns, rows)
}

// every returns positions from a to b, step apart.
func every(a, b, step float64) []float64 {
	var out []float64
	for z := a; z <= b+1e-9; z += step {
		out = append(out, z)
	}
	return out
}

// reach returns the positions of something on the saddle, so far from its middle, at which the saddle stays on the
// ways.
func (b *bench) reach(from, to, step, fromMiddle float64) []float64 {
	return every(math.Max(from, b.from+b.saddle/2+fromMiddle+1), math.Min(to, b.to-b.saddle/2+fromMiddle-1), step)
}

const far = 700.0 // where surveys along the bed end

// carriageIndicator is carried by the saddle along a tailstock way.
func (b *bench) carriageIndicator(way int, u float64) {
	tip := uniform(b.r, -50, 80)
	name := []string{"tail-front", "tail-rear"}[way]
	b.run("carriage-indicator", fmt.Sprintf("touch = %q\ntip_offset = %.6f\n", name, tip), b.reach(50, far, 25, tip), u,
		func(z float64) float64 {
			s := b.seated(z, tip)
			return s.drop - s.roll*b.tail[way] - b.tailway(way, z)
		})
}

// tailstockIndicator is carried by the tailstock along each carriage way or flank.
func (b *bench) tailstockIndicator(u float64) {
	const tip = -100
	sunk := func(z, behind float64) float64 {
		middle := z - tip
		mean, there := rides(func(p float64) float64 { return b.tailway(0, p) }, middle, b.base, tip)
		other, _ := rides(func(p float64) float64 { return b.tailway(1, p) }, middle, b.base, tip)
		return there - (mean-other)/(b.tail[1]-b.tail[0])*(behind-b.tail[0])
	}
	at := every(30, far, 25)
	touch := func(name string, reading func(z float64) float64) {
		b.run("tailstock-indicator", fmt.Sprintf("touch = %q\ntip_offset = %d\n", name, tip), at, u, reading)
	}
	if b.vee {
		touch("outer", func(z float64) float64 { o, _ := b.flanks(z); return sunk(z, 0)*math.Cos(b.outer) - o })
		touch("inner", func(z float64) float64 { _, i := b.flanks(z); return sunk(z, 0)*math.Cos(b.inner) - i })
	} else {
		touch("front", func(z float64) float64 { return sunk(z, 0) - b.front(z) })
	}
	touch("rear", func(z float64) float64 { return sunk(z, b.span) - b.rear(z) })
}

const division = 0.02e-3 // of a level

// level writes a level's rows; u is in divisions.
func (b *bench) level(method, keys string, u float64, columns []string, at []string, slope func(i int) float64) {
	zero := uniform(b.r, -3, 3)
	rows := make([]string, len(at))
	for i, a := range at {
		rows[i] = fmt.Sprintf("%s, %.5f", a, zero+slope(i)/division+b.normal(u))
	}
	b.survey(method, fmt.Sprintf("%sper_division = \"0.02 mm/m\"\nuncertainty = %g\n", keys, u),
		append(columns, "reading"), rows)
}

func texts(at []float64) []string {
	out := make([]string, len(at))
	for i, z := range at {
		out[i] = fmt.Sprintf("%.6f", z)
	}
	return out
}

func (b *bench) saddleLevel(u, apart float64) {
	at := b.reach(50, far, apart, b.offset)
	b.level("saddle-level", "", u, []string{"position"}, texts(at), func(i int) float64 {
		return -b.seated(at[i], b.offset).roll - b.twist*at[i]
	})
}

func (b *bench) levelAcross(u float64) {
	at := every(-60, far, 50)
	b.level("level-across", "", u, []string{"position"}, texts(at), func(i int) float64 {
		return -(b.front(at[i])-b.rear(at[i]))/b.span - b.twist*at[i]
	})
}

func (b *bench) levelAlong(way string, u float64) {
	drop := b.rear
	if way == "front" {
		drop = b.front
	}
	const feet = 150
	at := every(b.from+10, far, 75)
	rows := make([]string, len(at))
	for i, z := range at {
		rows[i] = fmt.Sprintf("%.6f, %.6f", z, z+feet)
	}
	b.level("level-along", fmt.Sprintf("on = %q\n", way), u, []string{"from", "to"}, rows,
		func(i int) float64 { return -(drop(at[i]+feet) - drop(at[i])) / feet })
}

func (b *bench) wayMicrometer(u float64) {
	slope := b.normal(5e-5)
	b.run("way-micrometer", "on = \"rear\"\n", every(-150, far, 50), u,
		func(z float64) float64 { return slope*z - b.rear(z) })
}

// barSide is read along a bar of the given length; turned: the mean of two readings half a turn apart, otherwise the
// bar stands askew.
func (b *bench) barSide(u, length, step float64, turned bool) {
	keys, tilt := "turned = true\n", 0.0
	if !turned {
		keys, tilt = "", b.normal(3e-5)
	}
	b.run("bar-side", keys, b.reach(20, 20+length, step, b.offset), u, func(z float64) float64 {
		s := b.seated(z, b.offset)
		return -(s.shift + b.guide()*(s.roll+b.twist*z)) + (b.leanOut+tilt)*z
	})
}

func (b *bench) barTop(u, length float64) {
	tilt := b.normal(3e-5)
	b.run("bar-top", "", b.reach(20, 20+length, 25, b.offset), u, func(z float64) float64 {
		s := b.seated(z, b.offset)
		return s.drop - (s.roll+b.twist*z)*b.setback + (b.leanUp+tilt)*z
	})
}

// pushes is how far the end of a bar in the chuck gives way to a cut, mm on diameter: away from the tool, as bars do,
// and by less than a survey allows for.
func (b *bench) pushes() float64 { return math.Abs(b.normal(0.015)) }

// perhaps leaves it out in one case of two.
func (b *bench) perhaps(push func() float64) func() float64 {
	if b.r.IntN(2) == 0 {
		return push
	}
	return nil
}

// testCut turns collars at one setting. push draws by how much the furthest collar is bigger since the bar gives way
// there; toward the jaws it falls off with the cube of the distance. nil: the bar is stiff, and the survey does not say
// where the jaws are.
func (b *bench) testCut(u float64, collars int, push func() float64) {
	const jaws, first, last = 30.0, 45.0, 250.0
	d := uniform(b.r, 28, 40)
	keys, end := "", 0.0
	if push != nil {
		keys, end = fmt.Sprintf("held_at = %g\n", jaws), push()
	}
	var rows []string
	for i := range collars {
		z := last + (first-last)*float64(i)/float64(collars-1)
		cut := d + b.diameterError(z, last, d, b.leanOut, b.leanUp) + end*math.Pow((z-jaws)/(last-jaws), 3)
		rows = append(rows, fmt.Sprintf("%.6f, %.6f", z, cut+b.normal(u)))
	}
	b.survey("test-cut", fmt.Sprintf("%sreading_unit = \"mm\"\nuncertainty = %g\n", keys, u),
		[]string{"position", "diameter"}, rows)
}

// carriageLock feels how the saddle rises, in steps whose size is known within a factor of two.
func (b *bench) carriageLock() {
	size := 0.0254 * math.Exp(uniform(b.r, -math.Ln2, math.Ln2))
	low := func(z float64) float64 {
		front, _ := rides(b.front, z-b.offset, b.saddle, 0)
		rear, _ := rides(b.rear, z-b.offset, b.saddle, 0)
		return (front + rear) / 2
	}
	at := b.reach(50, far, 50, b.offset)
	var rows []string
	for _, z := range at {
		feel := math.Round(1 + (low(b.form.deepest)-low(z))/size + b.normal(0.15))
		rows = append(rows, fmt.Sprintf("%.6f, %.0f", z, math.Max(0, math.Min(3, feel))))
	}
	b.survey("carriage-lock", fmt.Sprintf("tightened_at = %.6f\n", b.form.deepest), []string{"position", "feel"}, rows)
}
