package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var (
	firstLathe = flag.Int("first-lathe", 0, "with -study, the first of the made-up lathes that are tried")
	lathes     = flag.Int("lathes", 2000, "with -study, how many made-up lathes are tried")
)

// wildLathe makes up a lathe of any size: a bed of 200 mm to 20 m, worn by up to 2 mm, in 2 to 500 rows.
func wildLathe(r *rand.Rand) someLathe {
	digits := func(x float64) float64 { return math.Round(x*1000) / 1000 } // as a person would write it
	spread := func(from, to float64) float64 { return digits(from * math.Exp(r.Float64()*math.Log(to/from))) }
	bed := spread(200, 20000)
	l := someLathe{height: spread(40, math.Min(1000, bed)), rear: r.IntN(3) == 0, full: r.IntN(2) == 0,
		division: []float64{0.005, 0.01, 0.02, 0.0254, 0.1}[r.IntN(5)], backlash: 0.1,
		dial:        []string{"radius", "diameter"}[r.IntN(2)],
		uncertainty: []float64{0, 0.0005, 0.002, 0.01, 0.1}[r.IntN(5)]}
	l.span = digits(l.height / (0.6 + 0.5*r.Float64()))
	l.setback = digits(l.span * (0.4 + 0.2*r.Float64()))
	if r.IntN(4) > 0 {
		l.bearing = digits(math.Min(bed/3, l.span*(0.6+r.Float64())))
		l.offset = digits(l.bearing * (r.Float64() - 0.5) / 2)
	}
	if r.IntN(3) > 0 {
		l.outer, l.inner = digits(20+r.Float64()*50), digits(20+r.Float64()*50)
		l.spacing = digits(l.span * 0.08 * r.Float64())
	}
	if r.IntN(2) == 0 {
		l.leanOut, l.leanUncertainty = digits(r.NormFloat64()*100)/1e6, 2e-5
	}
	depth := []float64{0, spread(0.001, 2)}[min(1, r.IntN(10))]
	n := 2 + r.IntN([]int{8, 30, 500}[r.IntN(3)])
	start := digits(-bed / 5 * r.Float64())
	at, wide, rough := bed*r.Float64(), bed*(0.05+0.3*r.Float64()), depth*0.05*r.Float64()
	for i := range n {
		z := start + bed*float64(i)/float64(n-1)
		worn := depth * math.Exp(-math.Pow((z-at)/wide, 2)/2)
		row := func(share float64) float64 { return digits(share*worn + rough*r.NormFloat64()) }
		l.positions = append(l.positions, digits(z))
		l.front, l.back, l.shift = append(l.front, row(1)), append(l.back, row(0.4)), append(l.shift, row(0.2))
	}
	return l
}

// eachNumber calls f with every number of a JSON value, and the key that it stands under.
func eachNumber(key string, v any, f func(key string, x float64)) {
	switch v := v.(type) {
	case map[string]any:
		for k, e := range v {
			eachNumber(k, e, f)
		}
	case []any:
		for _, e := range v {
			eachNumber(key, e, f)
		}
	case float64:
		f(key, v)
	}
}

// tally counts command lines by their command.
type tally struct{ asked, answered map[string]int }

func (y tally) String() string {
	var out []string
	for _, command := range slices.Sorted(maps.Keys(y.asked)) {
		out = append(out, fmt.Sprintf("%s %d of %d", command, y.answered[command], y.asked[command]))
	}
	return strings.Join(out, ", ")
}

// manyLathes tries one made-up lathe with every command that answers of one; what must be so whatever the lathe is.
func manyLathes(t *testing.T, number int, y tally) {
	r := rand.New(rand.NewPCG(20261129, uint64(number)))
	l := wildLathe(r)
	folder := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	inMM, inInch := file("mm.toml", l.toml("mm", 1)), file("inch.toml", l.toml("in", 25.4))
	ask := func(args ...string) map[string]any {
		t.Helper()
		a := tell("", args...)
		y.asked[args[0]]++
		if a.status != 0 && a.status != 3 {
			if a.status != 1 || a.stderr == "" || a.stdout != "" {
				t.Errorf("lathe %d: %v: exit status %d\n%s%s", number, args, a.status, a.stdout, a.stderr)
			}
			return nil // refused, with a reason
		}
		y.answered[args[0]]++
		for _, bad := range []string{"NaN", "Inf", "%!"} {
			if strings.Contains(a.stdout+a.stderr, bad) {
				t.Errorf("lathe %d: %v answers %s", number, args, bad)
			}
		}
		if args[len(args)-1] != "--json" {
			return nil
		}
		var v map[string]any
		if err := json.Unmarshal([]byte(a.stdout), &v); err != nil { // beside it plan may say why nothing can be held
			t.Fatalf("lathe %d: %v: %v\n%s", number, args, err, a.stdout)
		}
		eachNumber("", v, func(key string, x float64) {
			if strings.Contains(key, "probability") && !(x >= 0 && x <= 1) {
				t.Errorf("lathe %d: %v: %s is %g", number, args, key, x)
			}
		})
		return v
	}
	mm := func(x float64) string { return strconv.FormatFloat(x, 'f', 3, 64) + "mm" }
	alike := func(what string, a, b any) {
		t.Helper()
		x, ok1 := a.(float64)
		y, ok2 := b.(float64)
		if ok1 != ok2 || math.Abs(x-25.4*y) > 1e-9*math.Max(1, math.Abs(x)) {
			t.Errorf("lathe %d: %s is %v mm, and %v in of the file in inches", number, what, a, b)
		}
	}
	first, last := l.positions[0], l.positions[len(l.positions)-1]
	from := first + (last-first)*0.5*r.Float64()
	to := from + math.Max(1, (last-from)*r.Float64())
	diameter := math.Min(0.5*math.Exp(r.Float64()*math.Log(1000)), l.height)
	cut := []string{"--from", mm(from), "--to", mm(to), "--diameter", mm(diameter), "--tolerance", "0.02mm",
		"--every", mm(math.Max(0.5, (to-from)/20))}
	if r.IntN(3) == 0 {
		cut = append(cut, "--bore")
	} else if r.IntN(2) == 0 {
		cut = append(cut, "--tool-height", mm(diameter*(r.Float64()-0.5)/3))
	}
	with := func(command, profile string, more ...string) []string {
		return append(append(append([]string{command, profile}, cut...), more...), "--json")
	}

	if a, b := ask(with("predict", inMM)...), ask(with("predict", inInch)...); a != nil && b != nil {
		alike("the spread", a["spread"], b["spread"])
		for i, s := range a["stations"].([]any) {
			s := s.(map[string]any)
			if s["position"] == a["set_at"] && s["diameter_error"].(float64) != 0 {
				t.Errorf("lathe %d: the error where the dial is set is %v", number, s["diameter_error"])
			}
			other := b["stations"].([]any)
			if len(other) == len(a["stations"].([]any)) {
				alike("an error", s["diameter_error"], other[i].(map[string]any)["diameter_error"])
			}
		}
	}
	var before []float64
	for _, feed := range []string{"headstock", "tailstock"} {
		c := ask(with("correct", inMM, "--set-at", mm(to), "--feed", feed)...)
		if c == nil {
			continue
		}
		left, nothing := c["moves_spread_left"].(float64), c["spread_before"].(float64)
		before = append(before, nothing)
		if left > nothing+1e-9 {
			t.Errorf("lathe %d, toward the %s: the list leaves %g of %g", number, feed, left, nothing)
		}
	}
	if len(before) == 2 && math.Abs(before[0]-before[1]) > 1e-9 {
		t.Errorf("lathe %d: with nothing dialled %g and %g, by the feed", number, before[0], before[1])
	}
	length := (last - first) * (0.02 + 0.3*r.Float64())
	if p := ask("place", inMM, "--length", mm(length), "--diameter", mm(diameter), "--tolerance", "0.02mm",
		"--json"); p != nil {
		best, worst := p["best"].(map[string]any), p["worst"].(map[string]any)
		key := "spread_95"
		if best[key] == nil {
			key = "spread"
		}
		if best[key].(float64) > worst[key].(float64)+1e-5 {
			t.Errorf("lathe %d: best %v, worst %v", number, best[key], worst[key])
		}
		// By default the saddle lies wholly on the bed: it bears so far to either side of the tool.
		tail, head := l.bearing/2-l.offset, l.bearing/2+l.offset
		for what, k := range map[string]map[string]any{"best": best, "worst": worst} {
			if k["from"].(float64)-head < first-1e-6 || k["to"].(float64)+tail > last+1e-6 {
				t.Errorf("lathe %d: the saddle hangs off the bed at the %s place, %v to %v; it bears from %g to %g "+
					"about the tool, on %g to %g", number, what, k["from"], k["to"], -head, tail, first, last)
			}
		}
	}
	job := file("job.toml", fmt.Sprintf("format = 1\nunit = \"mm\"\n[job]\nname = \"seat (invented)\"\nlength = %.3f\n"+
		"stock_diameter = %.3f\n[[feature]]\nname = \"seat\"\nfrom = %.3f\nto = %.3f\ndiameter = %.3f\nupper = 0.01\n"+
		"lower = -0.01\n", length, diameter*1.1+1, length*0.5, length*0.9, diameter))
	jaws := math.Round(math.Max(0, first) + (last-first)*0.03)
	planned := func(unit string, mm float64) map[string]any {
		v := func(x float64) string { return strconv.FormatFloat(x/mm, 'g', -1, 64) } // the same place in either unit
		return ask("plan", job, file("held-"+unit+".toml", l.toml(unit, mm)+fmt.Sprintf("[lathe.holding]\njaws_front "+
			"= %s\nheadstock_centre = %s\n", v(jaws), v(jaws/2))), "--json")
	}
	const some = 20
	if a := planned("mm", 1); number%some < 5 && a != nil {
		b := planned("in", 25.4)
		if b == nil || len(a["plans"].([]any)) == 0 != (len(b["plans"].([]any)) == 0) {
			t.Errorf("lathe %d: planned in millimetres, and not in inches", number)
		} else if len(a["plans"].([]any)) > 0 {
			chance := func(v map[string]any) (p float64, known bool) {
				p, known = v["plans"].([]any)[0].(map[string]any)["probability"].(float64)
				return p, known
			}
			p, one := chance(a)
			q, other := chance(b)
			if one != other || math.Abs(p-q) > 1e-9 {
				t.Errorf("lathe %d: the best plan keeps with %g, of the file in inches with %g", number, p, q)
			}
		}
	}
	ask("explain", inMM, "--at", mm((from+to)/2), "--from", mm(from), "--to", mm(to), "--diameter", mm(diameter))
	ask("show", inMM, "--json")
	ask("wear", inMM, "--json")
	ask("correct", inInch, "--from", mm(from), "--to", mm(to), "--diameter", mm(diameter))
	if number%some != 0 { // the others take seconds
		return
	}
	ask("wear", inMM, "--verdict", "--json")
	ask("compare", inMM, inInch, "--json")
	ask("chart", inMM, "-o", filepath.Join(folder, "card.pdf"), "--from", mm(from), "--to", mm(to), "--diameter",
		mm(diameter))
	ask("lesson", inMM, "-o", filepath.Join(folder, "lesson.html"))
}

// Every command on made-up lathes of any size: no number that is none, no error where the dial is set, probabilities
// that are some, lists that never leave more than nothing dialled, the best place no worse than the worst, the saddle
// on the bed, both feeds and both units alike. Two thousand with -study, which -first-lathe and -lathes divide; the
// seed is in the code, with the lathe's number.
func TestManyLathes(t *testing.T) {
	alongside(t)
	first, number := 0, howOften(2, *lathes, 1)
	if *study {
		first = *firstLathe
	}
	y := tally{map[string]int{}, map[string]int{}}
	for i := first; i < first+number; i++ {
		manyLathes(t, i, y)
		if *study && i%10 == 9 {
			t.Logf("lathes %d to %d, answered: %s", first, i, y)
		}
	}
	t.Logf("%d lathes from %d on, answered: %s; the others were refused with a reason", number, first, y)
	for command, asked := range y.asked {
		if asked > 2 && y.answered[command] < asked/2 {
			t.Errorf("%s: too few answers to tell", command)
		}
	}
}
