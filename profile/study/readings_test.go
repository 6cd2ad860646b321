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

	finest    finest
	inch      bool    // the profile is written in inches
	datum     bool    // the profile does not name the unworn stretches
	near, end float64 // surveys along the bed begin and end there, as far as the saddle allows
}

// finest is what is read from an instrument: to the next of these. 0: as it is. Lengths mm, a level's in divisions.
type finest struct{ dial, micrometer, level float64 }

// long writes a length in the profile's unit, small a reading of an indicator in its own.
func (b *bench) long(mm float64) string {
	if b.inch {
		mm /= 25.4
	}
	return fmt.Sprintf("%.6f", mm)
}

func (b *bench) small(mm float64) string {
	if mm = nearest(mm, b.finest.dial); b.inch {
		return fmt.Sprintf("%.4f", mm/thou)
	}
	return fmt.Sprintf("%.4f", 1000*mm)
}

func nearest(v, of float64) float64 {
	if of == 0 {
		return v
	}
	return of * math.Round(v/of)
}

// leave is what a bench may leave out of what the profile ought to say.
type leave struct {
	saddle bool // the saddle's length
	bow    bool // the straightedge's bow
}

func newBench(m *machine, r *rand.Rand, l leave) *bench {
	b := &bench{machine: m, r: r, near: 50, end: 700}
	b.head(l)
	return b
}

// head writes what the profile says of the lathe.
func (b *bench) head(l leave) {
	post, bearing, unit := "front", b.saddle, "mm"
	if b.rearPost {
		post = "rear"
	}
	if b.inch {
		unit = "in"
	}
	if l.saddle {
		bearing = 0
	}
	b.printf("# An invented lathe.\nformat = 1\nunit = %q\n[lathe]\ncentre_height = %s\nway_span = "+
		"%s\naxis_setback = %s\ntool_post = %q\n", unit, b.long(b.height), b.long(b.span), b.long(b.setback), post)
	b.printf("bed = [%s, %s]\n", b.long(b.from), b.long(b.to))
	if !b.datum {
		b.printf("unworn = [[%s, %s], [%s, %s]]\n", b.long(b.from), b.long(b.form.start), b.long(b.form.end),
			b.long(b.to))
	}
	if b.vee {
		b.printf("[lathe.front_way]\nouter_angle = %.9f\ninner_angle = %.9f\ncontact_spacing = %s\n",
			b.outer*180/math.Pi, b.inner*180/math.Pi, b.long(b.spacing))
	}
	b.printf("[lathe.saddle]\nbearing_length = %s\ntool_offset = %s\n", b.long(bearing), b.long(b.offset))
	if b.full {
		b.printf("bearing = \"full\"\n")
	}
	b.printf("[lathe.tailstock]\nfront_way_setback = %s\nrear_way_setback = %s\nbase_length = %s\n",
		b.long(b.tail[0]), b.long(b.tail[1]), b.long(b.base))
}

func (b *bench) printf(format string, args ...any) { fmt.Fprintf(&b.text, format, args...) }

// survey writes one survey: its keys and rows. One that found no place to read is none.
func (b *bench) survey(method, keys string, columns []string, rows []string) {
	if len(rows) == 0 {
		return
	}
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
		row := b.long(z) + ", " + b.small(true_+drift*float64(i)/100+b.normal(u))
		if back {
			row += ", " + b.small(true_+drift*float64(2*len(at)-i)/100+b.normal(u))
		}
		rows = append(rows, row)
	}
	unit, per := "um", 1000.0
	if b.inch {
		unit, per = "thou", 1/thou
	}
	b.survey(method, fmt.Sprintf("%sreading_unit = %q\nuncertainty = %g\n", keys, unit, per*u), columns, rows)
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

// carriageIndicator is carried by the saddle along a tailstock way.
func (b *bench) carriageIndicator(way int, u float64) {
	tip := uniform(b.r, -50, 80)
	name := []string{"tail-front", "tail-rear"}[way]
	b.run("carriage-indicator", fmt.Sprintf("touch = %q\ntip_offset = %s\n", name, b.long(tip)),
		b.reach(b.near, b.end, 25, tip), u,
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
	at := every(b.near-20, b.end, 25)
	touch := func(name string, reading func(z float64) float64) {
		b.run("tailstock-indicator", fmt.Sprintf("touch = %q\ntip_offset = %s\n", name, b.long(tip)), at, u, reading)
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
		rows[i] = fmt.Sprintf("%s, %.5f", a, nearest(zero+slope(i)/division+b.normal(u), b.finest.level))
	}
	b.survey(method, fmt.Sprintf("%sper_division = \"0.02 mm/m\"\nuncertainty = %g\n", keys, u),
		append(columns, "reading"), rows)
}

func (b *bench) texts(at []float64) []string {
	out := make([]string, len(at))
	for i, z := range at {
		out[i] = b.long(z)
	}
	return out
}

func (b *bench) saddleLevel(u, apart float64) {
	at := b.reach(b.near, b.end, apart, b.offset)
	b.level("saddle-level", "", u, []string{"position"}, b.texts(at), func(i int) float64 {
		return -b.seated(at[i], b.offset).roll - b.twist*at[i]
	})
}

func (b *bench) levelAcross(u float64) {
	at := every(b.near-110, b.end, 50)
	b.level("level-across", "", u, []string{"position"}, b.texts(at), func(i int) float64 {
		return -(b.front(at[i])-b.rear(at[i]))/b.span - b.twist*at[i]
	})
}

func (b *bench) levelAlong(way string, u float64) {
	drop := b.rear
	if way == "front" {
		drop = b.front
	}
	const feet = 150
	at := every(b.from+10, math.Min(b.end, b.to-feet), 75)
	rows := make([]string, len(at))
	for i, z := range at {
		rows[i] = b.long(z) + ", " + b.long(z+feet)
	}
	b.level("level-along", fmt.Sprintf("on = %q\n", way), u, []string{"from", "to"}, rows,
		func(i int) float64 { return -(drop(at[i]+feet) - drop(at[i])) / feet })
}

func (b *bench) wayMicrometer(u float64) {
	slope := b.normal(5e-5)
	b.run("way-micrometer", "on = \"rear\"\n", every(math.Max(b.near-200, b.from), b.end, 50), u,
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
	keys, end := "", 0.0
	if push != nil {
		keys, end = fmt.Sprintf("held_at = %s\n", b.long(cutJaws)), push()
	}
	b.turn(u, collars, uniform(b.r, 28, 40), keys, func(z float64) float64 {
		return end * math.Pow((z-cutJaws)/(cutLast-cutJaws), 3)
	})
}

// where the collars of a test cut lie, and the jaws, mm
const cutJaws, cutFirst, cutLast = 30.0, 45.0, 250.0

// centredCut turns collars on a bar whose far end, a diameter beyond the last of them, runs on the tailstock's centre.
// Nobody knows where that stands: some tenths to a side. It bends the bar, and so does the cut, by a force of 60 N,
// standard, either way: as beam tables have a beam that is clamped and propped (from memory).
func (b *bench) centredCut(u float64, collars int) {
	d := uniform(b.r, 28, 40)
	l := cutLast + d - cutJaws
	stands, force := b.normal(0.2), b.normal(60)
	b.turn(u, collars, d, fmt.Sprintf("held = \"chuck-and-centre\"\nheld_at = %s\n", b.long(cutJaws)),
		func(z float64) float64 {
			a := z - cutJaws
			follows := a * a * (3*l - a) / (2 * l * l * l)
			gives := math.Pow(a, 3) * math.Pow(l-a, 2) * (4*l - a) /
				(12 * 206e3 * math.Pi / 64 * math.Pow(d, 4) * math.Pow(l, 3))
			return 2 * ((stands-b.leanOut*(cutLast+d))*follows + force*gives)
		})
}

// turn turns a bar at one setting; more is by how much it is bigger somewhere than the bed makes it.
func (b *bench) turn(u float64, collars int, d float64, keys string, more func(z float64) float64) {
	var rows []string
	for i := range collars {
		z := cutLast + (cutFirst-cutLast)*float64(i)/float64(collars-1)
		cut := d + b.diameterError(z, cutLast, d, b.leanOut, b.leanUp) + more(z) - more(cutLast)
		rows = append(rows, fmt.Sprintf("%s, %.6f", b.long(z), nearest(cut+b.normal(u), b.finest.micrometer)))
	}
	b.survey("test-cut", fmt.Sprintf("%sreading_unit = \"mm\"\nuncertainty = %g\n", keys, u),
		[]string{"position", "diameter"}, rows)
}

// carriageLock feels how the saddle rises, in steps whose size is known within a factor of two.
func (b *bench) carriageLock() {
	size := 0.0254 * math.Exp(uniform(b.r, -math.Ln2, math.Ln2))
	low := func(z float64) float64 {
		s := b.seated(z, b.offset)
		front, _ := b.lies(b.front, z-b.offset, 0)
		return front - s.roll*b.span/2
	}
	at := b.reach(b.near, b.end, 50, b.offset)
	var rows []string
	for _, z := range at {
		feel := math.Round(1 + (low(b.form.deepest)-low(z))/size + b.normal(0.15))
		rows = append(rows, fmt.Sprintf("%s, %.0f", b.long(z), math.Max(0, math.Min(3, feel))))
	}
	b.survey("carriage-lock", fmt.Sprintf("tightened_at = %s\n", b.long(b.form.deepest)),
		[]string{"position", "feel"}, rows)
}
