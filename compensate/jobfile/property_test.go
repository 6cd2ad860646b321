package jobfile

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wornway/compensate/work"
	"wornway/profile/length"
	_ "wornway/testdata/steady"
)

// draw makes a job that a file may hold, its lengths multiples of 0.05 mm so that they are the same in either unit to
// all digits that count.
func draw(t *rapid.T) work.Job {
	grid := func(name string, least, most int) float64 {
		return float64(rapid.IntRange(least, most).Draw(t, name)) * 0.05
	}
	p := &work.Part{Stock: grid("stock", 400, 2000), EndForEnd: rapid.Bool().Draw(t, "end for end"),
		Held: work.AllHoldings()}
	j := work.Job{Name: "Shaft (invented)", Part: p, ToolHeight: grid("tool height", -20, 20)}
	at := 0.0
	for i := range rapid.IntRange(1, 5).Draw(t, "features") {
		f := work.Feature{Name: fmt.Sprintf("seat %d", i), From: at + grid("gap", 0, 400),
			Diameter: p.Stock - grid("less", 0, 200)}
		f.To = f.From + grid("long", 20, 2000)
		at = f.To
		if rapid.Bool().Draw(t, "limits") {
			lower := grid("lower", -3, 3)
			f.Size = &work.Limits{Lower: lower, Upper: lower + grid("room", 1, 4)}
		}
		if rapid.Bool().Draw(t, "spread") {
			f.Tolerance = grid("wide", 1, 4)
		}
		if rapid.Bool().Draw(t, "taper") {
			f.Taper = grid("tapers", 1, 4)
		}
		f.Sized = rapid.SampledFrom([]work.Sizing{"", work.InPlace, work.Once}).Draw(t, "sized")
		j.Features = append(j.Features, f)
	}
	p.Length = at + grid("end", 0, 400)
	p.StockLength = p.Length + grid("more", 0, 1000)
	p.Grip = min(grid("grip", 20, 1000), p.StockLength)
	if n := rapid.IntRange(0, 3).Draw(t, "ways of holding"); n > 0 {
		p.Held, p.HeldStated = rapid.Permutation(work.AllHoldings()).Draw(t, "held")[:n], true
	}
	p.Cut.Source = NotCalculated
	if rapid.Bool().Draw(t, "cut") {
		p.Modulus = float64(rapid.IntRange(10, 300).Draw(t, "modulus")) * 1000
		n := float64(rapid.IntRange(1, 400).Draw(t, "force"))
		p.Cut = work.Finish{Depth: grid("depth", 1, 10), Feed: grid("feed", 1, 8), Radial: n, URadial: n / 4,
			Source: pushed + "as the job file states it", SpringPasses: rapid.IntRange(0, 3).Draw(t, "spring passes")}
	}
	return j
}

// text writes a job as a person would, in a unit.
func text(j work.Job, u length.Unit) string {
	var b strings.Builder
	line := func(key string, v any) { fmt.Fprintf(&b, "%s = %v\n", key, v) }
	size := func(key string, mm float64) { line(key, strconv.FormatFloat(u.From(mm), 'f', -1, 64)) }
	p := j.Part
	fmt.Fprintf(&b, "format = 1\nunit = %q\n[job]\nname = %q\n", u.String(), j.Name)
	size("length", p.Length)
	size("stock_diameter", p.Stock)
	size("stock_length", p.StockLength)
	size("grip", p.Grip)
	size("tool_height", j.ToolHeight)
	line("end_for_end", p.EndForEnd)
	if p.HeldStated {
		var names []string
		for _, h := range p.Held {
			names = append(names, strconv.Quote(string(h)))
		}
		line("held", "["+strings.Join(names, ", ")+"]")
	}
	if p.Cut.Radial > 0 {
		line("modulus", p.Modulus)
		b.WriteString("[job.cut]\n")
		size("depth", p.Cut.Depth)
		size("feed", p.Cut.Feed)
		line("radial_force", p.Cut.Radial)
		line("radial_force_uncertainty", p.Cut.URadial)
		line("spring_passes", p.Cut.SpringPasses)
	}
	for _, f := range j.Features {
		fmt.Fprintf(&b, "[[feature]]\nname = %q\n", f.Name)
		if f.Sized != "" {
			fmt.Fprintf(&b, "sized = %q\n", f.Sized)
		}
		size("from", f.From)
		size("to", f.To)
		size("diameter", f.Diameter)
		if f.Size != nil {
			size("lower", f.Size.Lower)
			size("upper", f.Size.Upper)
		}
		if f.Tolerance > 0 {
			size("spread", f.Tolerance)
		}
		if f.Taper > 0 {
			size("taper", f.Taper)
		}
	}
	return b.String()
}

// near15 rounds all lengths of a job to what a person's digits carry: sums of multiples of 0.05 are not multiples
// themselves.
func near15(j work.Job) work.Job {
	mm := length.Inch // From and ToMM round to 15 digits
	r := func(x float64) float64 { return mm.ToMM(mm.From(x)) }
	out := j
	p := *j.Part
	p.Length, p.StockLength, p.Grip = r(p.Length), r(p.StockLength), r(p.Grip)
	out.Part, out.Features = &p, nil
	for _, f := range j.Features {
		f.From, f.To = r(f.From), r(f.To)
		out.Features = append(out.Features, f)
	}
	return out
}

// What is written is what is read, and a job in inches is the same as the job in millimetres.
func TestJobsComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := near15(draw(t))
		for _, u := range []length.Unit{length.Inch, length.Millimetre} {
			f, err := Parse("job.toml", []byte(text(j, u)))
			if err != nil {
				t.Fatalf("%v\nof\n%s", err, text(j, u))
			}
			if f.Unit != u || !alike(reflect.ValueOf(f.Job), reflect.ValueOf(j)) {
				t.Fatalf("written was\n%+v %+v\nread is\n%+v %+v\nfrom\n%s", j, *j.Part, f.Job, *f.Job.Part, text(j, u))
			}
		}
	})
}

// The order of features in the file changes nothing but their order.
func TestOrderOfFeatures(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := near15(draw(t))
		j.Features = rapid.Permutation(j.Features).Draw(t, "order")
		f, err := Parse("job.toml", []byte(text(j, length.Millimetre)))
		if err != nil || !alike(reflect.ValueOf(f.Job), reflect.ValueOf(j)) {
			t.Fatalf("%v\n%+v\nfrom\n%s", err, f, text(j, length.Millimetre))
		}
	})
}

// Two features that share a length are refused, in whichever order they are written, and the fault stands at the later
// one on the part.
func TestOverlapIsFound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := near15(draw(t))
		k := rapid.IntRange(0, len(j.Features)-1).Draw(t, "which")
		other := j.Features[k]
		other.Name = "another"
		other.From += (other.To - other.From) * rapid.Float64Range(0.1, 0.9).Draw(t, "from")
		j.Features = rapid.Permutation(append(j.Features, other)).Draw(t, "order")
		_, err := Parse("job.toml", []byte(text(j, length.Inch)))
		if err == nil || !strings.Contains(err.Error(), "the feature begins before") {
			t.Fatalf("%v\nof\n%s", err, text(j, length.Inch))
		}
	})
}
