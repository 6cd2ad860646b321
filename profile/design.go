package profile

import (
	"fmt"
	"math"
	"strings"

	"wornway/profile/length"
	"wornway/profile/wear"
)

// designer chooses stations for surveys of a length of work, mm.
type designer struct {
	*Profile
	wear               *wear.Wear // as it is expected
	from, to, diameter float64
}

// design is a candidate before it is read.
type design struct {
	method, touches, tools string
	how                    string // more of what is done
	power                  bool
	minutes                int     // to set up
	each                   float64 // minutes for a reading
	parts                  []block
}

// block is one [[survey]] of it.
type block struct {
	keys  string
	reads []string // columns beside the position
	rows  []station
	rests [2]float64 // contacts of a straightedge, mm
}

// station is where something is read, mm, with readings that stand in for those to come.
type station struct {
	at, to   float64
	readings []string
}

// What hands and tools reach, mm: common practice, no source.
const (
	barReach  = 300.0 // a test bar in the spindle, from its nose
	cutReach  = 250.0 // a bar in the chuck, turned without support
	edgeReach = 450.0 // a straightedge that does not sag of itself to speak of
	fewest    = 4     // stations that show more than a straight line
	most      = 13    // stations in one run; more takes patience, not skill
)

// all returns every method with its stations. Those that this lathe or this length has no place for have no parts.
func (d *designer) all() []design {
	metric := d.Unit != length.Inch
	level := "per_division = \"0.0005 in/ft\"\n"
	if metric {
		level = "per_division = \"0.02 mm/m\"\n"
	}
	saddle := d.saddle()
	ways := d.ways()
	touched := "front and rear way"
	if d.Lathe.Bed.V != nil {
		touched = "both flanks of the V and rear way"
	}
	out := []design{
		{method: "carriage-lock", tools: "none", minutes: 3, each: 0.4,
			parts: plain(fmt.Sprintf("tightened_at = %s\n", d.number(saddle[0])), "feel", "1", saddle)},
		{method: "light-gap", touches: touched, tools: "straightedge, lamp", minutes: 3, each: 0.4,
			parts: d.edges([]string{"light"}, `"some"`)},
		{method: "straightedge", touches: touched, tools: "straightedge, leaves", minutes: 4, each: 1,
			parts: d.edges([]string{"goes", "stops"}, d.leaves(0)...)},
	}
	if d.Lathe.Tailstock != nil {
		out = append(out,
			design{method: "carriage-indicator", touches: "both tailstock ways", tools: "indicator", minutes: 10,
				each:  0.5,
				parts: d.both("touch", []string{"tail-front", "tail-rear"}, "reading", saddle)},
			design{method: "tailstock-indicator", touches: touched, tools: "indicator", minutes: 12, each: 0.5,
				parts: d.both("touch", d.flanks(), "reading", ways)})
	}
	flat := []string{"rear"}
	micrometers := "rear way"
	if d.Lathe.Bed.V == nil {
		flat, micrometers = []string{"front", "rear"}, "front and rear way"
	}
	along := "front and rear way"
	if d.Lathe.Bed.V != nil {
		along = "front way on a vee block, and rear way"
	}
	out = append(out,
		design{method: "way-micrometer", touches: micrometers, tools: "deep micrometer", minutes: 5, each: 1,
			parts: d.both("on", flat, "reading", ways)},
		design{method: "level-along", touches: along, tools: "precision level", minutes: 8, each: 1,
			parts: d.along(level)},
		design{method: "level-across", tools: "precision level, bridge", minutes: 10, each: 1,
			parts: plain(level, "reading", "0", ways)},
		design{method: "saddle-level", tools: "precision level", minutes: 6, each: 0.7,
			parts: plain(level, "reading", "0", saddle)})
	if d.Lathe.Bed.Saddle.Rocks() && d.Lathe.Seating == nil {
		out = append(out, design{method: "saddle-rock", tools: "indicator", minutes: 4, each: 0.7,
			parts: plain("", "reading", "0", saddle)})
	}
	out = append(out, d.held()...)
	return out
}

// held returns what is read on work or a bar: in the spindle as far as that reaches; further out a bar between centres,
// and collars on the tailstock's centre.
func (d *designer) held() []design {
	bar := design{method: "bar-side", tools: "test bar, indicator", minutes: 12, each: 1}
	top := design{method: "bar-top", tools: "test bar, indicator", minutes: 12, each: 1}
	keys := "turned = true\n"
	if d.to > barReach+d.slack() {
		bar.tools, keys = "bar between centres, indicator", "held = \"centres\"\n"
		top.tools = bar.tools
	}
	at := d.stations(math.Max(d.from, d.least()), d.to)
	bar.parts, top.parts = plain(keys, "reading", "0", at), plain(keys, "reading", "0", at)
	if d.to <= 0 { // behind the spindle's nose, where nothing is turned
		return []design{bar, top}
	}

	cut := design{method: "test-cut", tools: "bar in the chuck, micrometer", power: true, minutes: 15, each: 2}
	keys = fmt.Sprintf("held_at = %s\n", d.number(max(0, min(d.from, 25, at[0]))))
	if d.to > cutReach+d.slack() {
		cut.tools, cut.how = "bar on the centre, micrometer", ", the bar in the chuck and on the "+
			"tailstock's centre"
		keys += "held = \"chuck-and-centre\"\n"
	}
	collars := thin(at, 6)
	thick := math.Max(d.diameter, (d.to-math.Min(d.from, 25))/6) // so that it hardly gives
	cut.parts = plain(keys, "diameter", d.number(thick), collars)
	return []design{bar, top, cut}
}

// slack is what a reach may be passed by: a length that ends a little beyond is not held otherwise for that.
func (d *designer) slack() float64 { return 0.1 * barReach }

// least is the position nearest to the headstock that the tool gets to.
func (d *designer) least() float64 { return math.Max(d.Lathe.Ways.From, 0) }

// saddle returns stations for what rides on the saddle: over the length, and a little beyond so that its ends are as
// sure as its middle.
func (d *designer) saddle() []float64 {
	beyond := math.Max(0.15*(d.to-d.from), 20)
	return d.stations(math.Max(d.from-beyond, math.Min(d.from, d.least())), math.Min(d.to+beyond, d.Lathe.Ways.To))
}

// stretch is what the saddle bears on while the tool passes over the length.
func (d *designer) stretch() (from, to float64) {
	left, right := d.Lathe.Bed.Saddle.Reach()
	return math.Max(d.from+left, d.Lathe.Ways.From), math.Min(d.to+right, d.Lathe.Ways.To)
}

// ways returns stations for what reads a way itself.
func (d *designer) ways() []float64 { return d.stations(d.stretch()) }

// stations spreads positions over a stretch of the ways: round where it is long, on which a shop's rule can be read,
// its ends among them as nearly as that can be. They are what [designer.number] writes, so that none is rounded off the
// bed when it is written down.
func (d *designer) stations(from, to float64) []float64 {
	grain, least, apart := 5.0, 8.0, 25.0 // mm
	if d.Unit == length.Inch {
		grain, least, apart = d.Unit.MM()/4, d.Unit.MM(), 25.4
	}
	a, b := d.onWays(from, grain), d.onWays(to, grain)
	if b-a < least {
		grain = d.finest()
		a, b = d.onWays(from, grain), d.onWays(to, grain)
	}
	n := max(fewest, min(most, int(math.Ceil((b-a)/apart))+1))
	out := []float64{a}
	for i := 1; i < n-1; i++ {
		if z := d.onWays(a+(b-a)*float64(i)/float64(n-1), grain); z > out[len(out)-1] && z < b {
			out = append(out, z)
		}
	}
	return append(out, b)
}

// onWays returns the multiple of a grain on the ways that is nearest to a position, mm.
func (d *designer) onWays(z, grain float64) float64 {
	const rounding = 1e-9 // of a grain: what the conversion of units makes
	least, most := math.Ceil(d.Lathe.Ways.From/grain-rounding), math.Floor(d.Lathe.Ways.To/grain+rounding)
	return math.Max(least, math.Min(math.Round(z/grain), most)) * grain
}

// decimals is how many a position is written with in the file's unit.
func (d *designer) decimals() int {
	if d.Unit == length.Inch {
		return 4
	}
	return 3
}

// finest is the smallest step of a position as it is written, mm.
func (d *designer) finest() float64 { return d.Unit.ToMM(math.Pow(10, -float64(d.decimals()))) }

// thin keeps so many of the positions, the ends among them.
func thin(at []float64, n int) []float64 {
	if len(at) <= n {
		return at
	}
	var out []float64
	for i := range n {
		out = append(out, at[i*(len(at)-1)/(n-1)])
	}
	return out
}

// quick is what can be done in ten minutes with the carriage lock, a level on the saddle and a straightedge before a
// lamp, few stations each.
func (d *designer) quick() []design {
	const few = 5
	var out []design
	for _, c := range d.all() {
		switch c.method {
		case "carriage-lock", "saddle-level":
			c.parts[0].rows = some(c.parts[0].rows, few)
		case "light-gap": // one length of the edge on each way, at its middle and either side of it
			var kept []block
			for i, q := range c.parts {
				if i == 0 || !sameWay(q, kept[len(kept)-1]) {
					q.rows = some(q.rows, 3)
					kept = append(kept, q)
				}
			}
			c.parts = kept
		default:
			continue
		}
		out = append(out, c)
	}
	return out
}

// sameWay says whether two lengths of an edge lie on one way.
func sameWay(a, b block) bool {
	on := func(q block) string { s, _, _ := strings.Cut(q.keys, "\n"); return s }
	return on(a) == on(b)
}

// some keeps so many of the stations, the ends among them.
func some(rows []station, n int) []station {
	if len(rows) <= n {
		return rows
	}
	var out []station
	for i := range n {
		out = append(out, rows[i*(len(rows)-1)/(n-1)])
	}
	return out
}

// plain is one run with one reading at each station.
func plain(keys, column, reading string, at []float64) []block {
	q := block{keys: keys, reads: []string{column}}
	for _, z := range at {
		q.rows = append(q.rows, station{at: z, readings: []string{reading}})
	}
	return []block{q}
}

// both is a run for each of several ways.
func (d *designer) both(key string, names []string, column string, at []float64) []block {
	var out []block
	for _, n := range names {
		out = append(out, plain(fmt.Sprintf("%s = %q\n", key, n), column, "0", at)...)
	}
	return out
}

// flanks returns what the front way and the rear one are read on.
func (d *designer) flanks() []string {
	if d.Lathe.Bed.V != nil {
		return []string{"outer", "inner", "rear"}
	}
	return []string{"front", "rear"}
}

// along is a level set foot to foot along each way.
func (d *designer) along(keys string) []block {
	from, to := d.stretch()
	at := d.stations(from, to)
	var out []block
	for _, on := range []string{"front", "rear"} {
		q := block{keys: keys + fmt.Sprintf("on = %q\n", on), reads: []string{"reading"}}
		// a level's two feet are some 100 mm (4 in) apart
		feet := max(1, int(math.Round(100*float64(len(at)-1)/math.Max(to-from, 1))))
		for i := 0; i+feet < len(at); i++ {
			q.rows = append(q.rows, station{at: at[i], to: at[i+feet], readings: []string{"0"}})
		}
		if len(q.rows) > 0 {
			out = append(out, q)
		}
	}
	return out
}

// edges lays a straightedge along each way: once where it spans the stretch, otherwise in lengths that overlap by half.
func (d *designer) edges(reads []string, readings ...string) []block {
	from, to := d.stretch()
	const longest = 3 // lengths in one evening, on each way
	span := math.Min(to-from, edgeReach)
	lays := 1
	if to-from > span {
		lays = min(longest, int(math.Ceil((to-from-span)/(span/2)))+1)
	}
	var out []block
	for _, on := range d.flanks() {
		for i := range lays {
			a := from
			if lays > 1 {
				a += (to - from - span) * float64(i) / float64(lays-1)
			}
			at := d.stations(a, a+span)
			first, last := at[0], at[len(at)-1]
			q := block{keys: fmt.Sprintf("on = %q\ncontacts = [%s, %s]\n", on, d.number(first), d.number(last)),
				reads: reads, rests: [2]float64{first, last}}
			for _, z := range thin(at[1:len(at)-1], 5) {
				q.rows = append(q.rows, station{at: z, readings: readings})
			}
			if len(q.rows) > 0 {
				out = append(out, q)
			}
		}
	}
	return out
}
