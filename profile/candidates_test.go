package profile

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"wornway/profile/bed"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

// oddLathes are lathes without readings, in mm: as text with lengths to be put into a unit, and two positions of work.
var oddLathes = []struct {
	name     string
	from, to float64 // of the bed
	rest     string
	a, b     float64
}{
	{"V, tailstock", -200, 1000, "[lathe.front_way]\nouter_angle = 45\ninner_angle = " +
		"45\n[lathe.saddle]\nbearing_length = %[1]v\ntool_offset = %[2]v\n[lathe.tailstock]\n", 100, 300},
	{"flat, no tailstock", -200, 1000, "[lathe.saddle]\nbearing_length = %[1]v\n", 20, 150},
	{"tool offset, to the end", -200, 1000, "[lathe.saddle]\nbearing_length = %[1]v\ntool_offset = " +
		"-%[1]v\n[lathe.tailstock]\n", 500, 1000},
	{"a point", 0, 1000, "[lathe.saddle]\nbearing_length = 0\n", 0, 30},
}

// texts returns the odd lathes in a unit, as long as they are, as short as 0.3 m and as long as 8 m.
func oddProfiles() map[string]struct {
	text string
	a, b float64 // mm
} {
	out := map[string]struct {
		text string
		a, b float64
	}{}
	for _, unit := range []string{"mm", "in"} {
		for _, scale := range []float64{0.25, 1, 7} {
			for _, o := range oddLathes {
				in := func(mm float64) float64 {
					if unit == "in" {
						return mm / 25.4
					}
					return mm
				}
				size := math.Min(scale, 2)
				text := fmt.Sprintf("format = 1\nunit = %q\n[lathe]\ncentre_height = %v\nway_span = %v\nbed = [%v, "+
					"%v]\n", unit, in(150*size), in(200*size), in(o.from*scale), in(o.to*scale)) +
					strings.Split(fmt.Sprintf(o.rest+"\x00", in(200*size), in(-25*size)), "\x00")[0]
				out[fmt.Sprintf("%s, %s, × %v", o.name, unit, scale)] = struct {
					text string
					a, b float64
				}{text, o.a * scale, o.b * scale}
			}
		}
	}
	return out
}

func parsed(t testing.TB, text string) *Profile {
	t.Helper()
	p, err := Parse(nil, "odd.toml", []byte(text))
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return p
}

// filled puts readings into the places that a block leaves open, as a person would.
func filled(block string) string {
	reading := map[string]string{"carriage-lock": "1", "light-gap": `"some"`, "straightedge": "0.04, 0.05",
		"test-cut": "30"}
	var out []string
	method := ""
	for _, line := range strings.Split(block, "\n") {
		if _, m, ok := strings.Cut(line, "method = "); ok {
			method = strings.Trim(m, `"`)
		}
		if head, ok := strings.CutSuffix(line, ", ],"); ok {
			v := reading[method]
			if v == "" {
				v = "0"
			}
			line = head + ", " + v + "],"
		}
		out = append(out, line)
	}
	return strings.Join(out, "\n")
}

// aimsFor are the tool's way out at some places against the far end.
func aimsFor(p *Profile, a, b float64) [][]bed.Addend {
	var out [][]bed.Addend
	sum := p.Lathe.Bed.ToolOut().Plus(bed.Of(bed.LeanOut).Times(-1))
	for i := range 3 {
		z := a + (b-a)*float64(i)/3
		out = append(out, []bed.Addend{{Sum: sum, At: z, Factor: 2}, {Sum: sum, At: b, Factor: -2}})
	}
	return out
}

// On whatever lathe, stations ascend, lie on the ways and where hands and tools reach; a block is refused while its
// readings are open, and read once they are written, as the same equations; what is in the profile is not suggested
// again; and what is foreseen is finite.
func TestCandidates(t *testing.T) {
	for name, o := range oddProfiles() {
		if testing.Short() && strings.Contains(name, ", mm, ") {
			continue
		}
		p := parsed(t, o.text)
		for _, w := range []*wear.Wear{nil, usualWear(p.Lathe.Ways)} {
			cs, err := p.Candidates(w, o.a, o.b, 25)
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			var methods []string
			for _, c := range cs {
				methods = append(methods, c.Method)
				checkCandidate(t, name, p, o.text, c, o.a, o.b)
			}
			slices.Sort(methods)
			if m := slices.Compact(slices.Clone(methods)); len(m) != len(methods) {
				t.Errorf("%s: a method twice in %v", name, methods)
			}
			want := len(survey.Methods()) - 1 // stated drops are no survey to be made
			if p.Lathe.Tailstock == nil {
				want -= 2
			}
			if !p.Lathe.Bed.Saddle.Rocks() || p.Lathe.Seating != nil { // no corners to press, or known what they do
				want--
			}
			if !slices.Contains(methods, "level-along") && o.b-o.a < 150 { // too short to set a level foot to foot
				want--
			}
			if len(cs) != want {
				t.Errorf("%s: %d of %d methods: %v", name, len(cs), want, methods)
			}
			out, err := p.Foresee(aimsFor(p, o.a, o.b), cs, 0)
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			for i, u := range out.After {
				if !(u > 0) || math.IsInf(u, 0) || !cs[i].Spindle() && u > out.Now {
					t.Errorf("%s: %s leaves %g mm of %g", name, cs[i].Method, u, out.Now)
				}
			}
		}
	}
}

func checkCandidate(t *testing.T, name string, p *Profile, text string, c Candidate, a, b float64) {
	t.Helper()
	name += ", " + c.Method
	if len(c.At) == 0 || c.Minutes <= 0 || c.Tools == "" || c.What == "" || c.Power != (c.Method == "test-cut") {
		t.Errorf("%s: %d stations, %d minutes, tools %q, power %v", name, len(c.At), c.Minutes, c.Tools, c.Power)
	}
	ways := p.Lathe.Ways
	for i, z := range c.At {
		if i > 0 && z <= c.At[i-1] || z < ways.From-1e-9 || z > ways.To+1e-9 {
			t.Errorf("%s: stations %v on ways from %g to %g", name, c.At, ways.From, ways.To)
			break
		}
	}
	if held := strings.HasPrefix(c.Method, "bar-") || c.Method == "test-cut"; held &&
		!strings.Contains(c.Block, "held = ") && c.At[len(c.At)-1] > barReach*1.1+1 {
		t.Errorf("%s: reads at %v what only the spindle holds", name, c.At)
	}
	if _, err := Parse(nil, "open.toml", []byte(text+c.Block)); err == nil {
		t.Errorf("%s: is read without readings\n%s", name, c.Block)
	}
	done := text + filled(c.Block)
	q, err := Parse(nil, "filled.toml", []byte(done))
	if err != nil {
		t.Errorf("%s: %v\n%s", name, err, done)
		return
	}
	if len(q.Surveys) != len(c.Sets) {
		t.Errorf("%s: %d surveys, %d sets", name, len(q.Surveys), len(c.Sets))
		return
	}
	for i, s := range q.Surveys {
		if s.Set.Method.Name != c.Method || len(s.Set.Equations) != len(c.Sets[i].Equations) {
			t.Errorf("%s: survey %d is %s with %d equations, not %d", name, i, s.Set.Method.Name, len(s.Set.Equations),
				len(c.Sets[i].Equations))
			continue
		}
		for k, e := range s.Set.Equations {
			if math.Abs(e.Position-c.Sets[i].Equations[k].Position) > 0.002 {
				t.Errorf("%s: is read at %g mm, not %g", name, e.Position, c.Sets[i].Equations[k].Position)
			}
		}
	}
	again, err := q.Candidates(nil, a, b, 25)
	if err != nil {
		t.Errorf("%s: %v", name, err)
	}
	if slices.ContainsFunc(again, func(d Candidate) bool { return d.Method == c.Method }) {
		t.Errorf("%s: is suggested again once it is made", name)
	}
}

// The short look takes lock, level and lamp on every lathe, few stations each.
func TestQuick(t *testing.T) {
	for name, o := range oddProfiles() {
		p := parsed(t, o.text)
		cs, err := p.Quick(nil, o.a, o.b, 25)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		var methods []string
		for _, c := range cs {
			methods = append(methods, c.Method)
			if len(c.At) > 5 || len(c.At) < 1 || (len(c.Rests) == 1) != (c.Method == "light-gap") {
				t.Errorf("%s, %s: at %v, the edge rests at %v", name, c.Method, c.At, c.Rests)
			}
		}
		if got := strings.Join(methods, " "); got != "carriage-lock light-gap saddle-level" {
			t.Errorf("%s: %s", name, got)
		}
		all := Together(cs)
		if q := parsed(t, o.text+filled(all.Block)); len(q.Surveys) != len(all.Sets) {
			t.Errorf("%s: %d surveys, %d sets", name, len(q.Surveys), len(all.Sets))
		}
	}
}

// Limits are chosen as the expected wear would give them, and the lock is tightened where the saddle stands lowest.
func TestExpectedLimits(t *testing.T) {
	p := parsed(t, "format = 1\nunit = \"mm\"\n[lathe]\ncentre_height = 150\nway_span = 200\nbed = [-200, "+
		"1000]\n[lathe.saddle]\nbearing_length = 0\n")
	knots := []float64{-200, 0, 100, 200, 1000}
	deep := func(mm float64) *wear.Wear {
		d := []float64{0, mm * 0.75, mm, mm * 0.75, 0}
		w, err := wear.New(knots, map[bed.Curve][]float64{bed.Front: d, bed.Rear: d})
		if err != nil {
			t.Fatal(err)
		}
		return w
	}
	find := func(w *wear.Wear, method string) Candidate {
		cs, err := p.Candidates(w, 0, 300, 25)
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(cs, func(c Candidate) bool { return c.Method == method })
		return cs[i]
	}
	lock := find(deep(0.1), "carriage-lock")
	// the stations on either side of 100
	if !strings.Contains(lock.Block, "tightened_at = 85\n") && !strings.Contains(lock.Block, "tightened_at = 115\n") {
		t.Errorf("the lock is not tightened at the deepest place:\n%s", lock.Block)
	}
	limits := map[survey.Side]int{}
	for _, e := range lock.Sets[0].Equations {
		limits[e.Side]++
	}
	// Over the first 200 mm the saddle rises by 0.025 mm or less, a step of feel; at 345 mm, where the stations end, by
	// 0.05 or so.
	if limits[survey.Between] < len(lock.At)-3 {
		t.Errorf("lock: %v", limits)
	}
	if lock = find(deep(0.4), "carriage-lock"); lock.Sets[0].Equations[len(lock.At)-1].Side != survey.AtLeast {
		t.Error("over a bed that is worn by 0.4 mm the lock will not move at the far end")
	}
	for depth, want := range map[float64][2]float64{0.001: {0, 0.04}, 0.4: {0.07, 0.4}} {
		for _, e := range find(deep(depth), "straightedge").Sets[0].Equations {
			low, high := e.Reading-e.Half, e.Reading+e.Half
			if e.Side == survey.AtMost {
				low, high = 0, e.Reading
			}
			if low < want[0]-1e-9 && math.Abs(e.Position-100) < 60 || high > want[1]+1e-9 {
				t.Errorf("%g mm deep: between leaves of %g and %g at %g", depth, low, high, e.Position)
			}
			if e.Side == survey.Between && math.Abs(e.Half-0.005) > 1e-9 {
				t.Errorf("leaves %g apart", 2*e.Half)
			}
		}
	}
}
