package study

import (
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/estimate"
	"wornway/profile/wear"
)

var (
	bedsOut = flag.String("beds-out", "", "write what TestBeds found, a line of JSON for each bed and plan, to a file")
	against = flag.String("beds-against", "", "a file of -beds-out of the same beds to compare with")
	bedsOf  = flag.String("beds-of", "", "files of -beds-out, with commas, to put into testdata/study/wide.md")
	every8  = flag.Bool("beds-all", false, "try all plans on every bed, not two of them at random")
)

// claim is one stated number beside the truth: the stated less the true one, its standard uncertainty, and whether the
// truth lies in the stated 95 %. Lengths mm.
type claim struct {
	Off, U float64
	In     bool
}

// verdict is what was found of one bed under one plan.
type verdict struct {
	Bed                int
	Plan, Way, Kind    string
	Stiff, Depth, Took float64 // depth of the front way in mm, time of the estimate in seconds
	RearWorse, Full    bool

	Front, Shift, Rear []claim // at ten places each
	Headline           claim   // the deepest of the carriage ways' wear; In: the truth is within ± 2 u
	Under              bool    // it lies under the truth by more than its ±
	Diameter           []claim // at three places of three lengths
	Skewed             []claim // those with a range beside the ±
	Spread             []claim // of two lengths; U is a quarter of the stated range
	Stated             []float64
	Kept               []bool // whether the promises of those probabilities were kept
}

// stated returns a curve at a place as the program states it: by its range where that is skewed, else by its ±. A
// range from nothing on says that the way may be as when it was new: it holds ways that were not quite straight then.
func stated(e *estimate.Result, c bed.Curve, z, truth float64) claim {
	s := bed.At(c, 0)
	var g wear.Weights
	e.Wear.Weigh(&g, s, z, 1)
	u, _ := e.Wear.Uncertainty(&g)
	off := e.Wear.Value(s, z) - truth
	if c != bed.Shift {
		if low, high, skewed := e.Range(c, z); skewed {
			return claim{off, u, low <= truth && truth <= high || low == 0 && truth < 0}
		}
	}
	return claim{off, u, math.Abs(off) <= 1.96*u}
}

// headline is the greatest drop of the carriage ways as the command wear has it, beside the true one: a drop and its ±,
// or limits, whichever is printed.
func headline(e *estimate.Result, d drawn) (c claim, under bool) {
	truth := math.Max(greatest(d.front, d.form), greatest(d.rear, d.form))
	way, z, drop := e.Wear.WornDeepest()
	var g wear.Weights
	e.Wear.Weigh(&g, bed.At(way, 0), z, 1)
	u, _ := e.Wear.Uncertainty(&g)
	low, high, open := e.Depth()
	if !open {
		low, high = drop-2*u, drop+2*u
	}
	return claim{drop - truth, (high - low) / 4, low <= truth && truth <= high}, truth > high
}

// assess surveys a bed by a plan, estimates its wear and judges what is stated.
func assess(seed uint64, number int, d drawn, p plan) (verdict, error) {
	v := verdict{Bed: number, Plan: p.name, Way: d.way, Kind: d.kind, Stiff: d.stiff, Depth: d.depth,
		RearWorse: d.rearWorse, Full: d.full}
	b := d.bench(seed, number, p)
	p.read(b, leave{})
	q, err := profile.Parse(nil, "study.toml", []byte(b.text.String()))
	if err != nil {
		return v, fmt.Errorf("bed %d, %s: %w", number, p.name, err)
	}
	start := time.Now()
	e, err := q.Estimate()
	if err != nil {
		return v, fmt.Errorf("bed %d, %s: %w", number, p.name, err)
	}
	v.Took = time.Since(start).Seconds()
	r := rand.New(rand.NewPCG(seed+1, uint64(number)))
	const places = 10
	for i := range places {
		z := d.form.end * 0.8 * (float64(i) + r.Float64()) / places
		v.Front = append(v.Front, stated(e, bed.Front, z, d.front(z)))
		v.Shift = append(v.Shift, stated(e, bed.Shift, z, d.shift(z)))
		v.Rear = append(v.Rear, stated(e, bed.Rear, z, d.rear(z)))
	}
	v.Headline, v.Under = headline(e, d)
	return v, v.works(d, q, e, p, r)
}

// works judges what is said of three lengths of work, two of which a bar or collars in the spindle cover.
func (v *verdict) works(d drawn, q *profile.Profile, e *estimate.Result, p plan, r *rand.Rand) error {
	tool := machineOf(q, e.Wear)
	leanOut, leanUp := d.leanOut, d.leanUp
	if !p.lean {
		leanOut, leanUp = 0, 0 // the ± is of the bed alone, as the program says
	}
	for i, long := range []float64{60, 150, 250} {
		from := uniform(r, 50, 245-math.Min(long, 180))
		if i == 2 && p.far {
			from = uniform(r, 60, 350)
		}
		if i == 2 && !p.far {
			long = 180
		}
		to, diameter := from+long, uniform(r, 6, 40)
		c, err := tool.Curve(compensate.Cut{Feature: work.Feature{From: from, To: to, Diameter: diameter}, SetAt: to})
		if err != nil {
			return err
		}
		truth := func(z float64) float64 { return d.diameterError(z, to, diameter, leanOut, leanUp) }
		for k := range 3 {
			z := from + long*float64(k)/3
			st := c.Station(z)
			off := st.DiameterError - truth(z)
			v.Diameter = append(v.Diameter, claim{off, st.Uncertainty, math.Abs(off) <= 1.96*st.Uncertainty})
			if low, high, skewed := c.Skewed(z); skewed {
				v.Skewed = append(v.Skewed, claim{off, (high - low) / 4, low <= truth(z) && truth(z) <= high})
			}
		}
		if i > 0 {
			v.spread(c, truth, r)
		}
	}
	return nil
}

// spread judges the stated range of a length's spread, and the stated probability of keeping a tolerance on it that is
// chosen by what the program believes.
func (v *verdict) spread(c *compensate.Curve, truth func(z float64) float64, r *rand.Rand) {
	at := c.Spaced()
	least, most := math.Inf(1), math.Inf(-1)
	for i := range 101 {
		t := truth(c.From + (c.To-c.From)*float64(i)/100)
		least, most = math.Min(least, t), math.Max(most, t)
	}
	width := most - least
	tolerance := math.Max(0.002, c.Taper().Spread+uniform(r, -1, 2.5)*c.Station(c.From).Uncertainty)
	got, _ := c.Sample(at, tolerance)
	v.Stated, v.Kept = append(v.Stated, got.Within), append(v.Kept, width <= tolerance)
	v.Spread = append(v.Spread, claim{(got.Spread[0]+got.Spread[1])/2 - width, (got.Spread[1] - got.Spread[0]) / 4,
		width >= got.Spread[0] && width <= got.Spread[1]})
}

// assessed judges every bed by two plans, or all.
func assessed(t *testing.T, seed uint64, n int) []verdict {
	t.Helper()
	return slices.Concat(beds(t, n, func(i int) ([]verdict, error) {
		d := draw(seed, i)
		of := rand.New(rand.NewPCG(seed+2, uint64(i))).Perm(len(wide))
		if !*every8 {
			of = of[:2]
		}
		var out []verdict
		for _, k := range of {
			v, err := assess(seed, i, d, wide[k])
			if err != nil {
				return nil, err
			}
			out = append(out, v)
		}
		return out, nil
	})...)
}

// TestBeds tries the estimate on beds of all kinds, and judges the curves of the ways and the headline beside the
// diameter. What several runs found, each with its seed, is put together and kept by the second command:
//
//	go test ./profile/study -run TestBeds -study -beds 250 -seed 7101 -v -beds-out FILE
//	go test ./profile/study -run TestBeds -v -beds-of FILE,FILE
func TestBeds(t *testing.T) {
	if *bedsOf != "" {
		gathered(t)
		return
	}
	n := cases(1, 1, *number) // the table is for the eye; what fails an ordinary run is a bed that ends with an error
	of := assessed(t, seed, n)
	if *bedsOut != "" {
		var b strings.Builder
		for _, v := range of {
			line, err := json.Marshal(v)
			if err != nil {
				t.Fatal(err)
			}
			b.Write(append(line, '\n'))
		}
		if err := os.WriteFile(*bedsOut, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Log("\n" + wideTable(of))
	if *against != "" {
		before, err := readVerdicts(*against)
		if err != nil {
			t.Fatal(err)
		}
		t.Log("\nbefore, on the same beds and plans\n" + wideTable(matching(before, of)) + ratios(before, of))
	}
}

const wideResults = "../../testdata/study/wide.md"

// gathered keeps the table of what several runs found.
func gathered(t *testing.T) {
	t.Helper()
	var of []verdict
	for _, f := range strings.Split(*bedsOf, ",") {
		more, err := readVerdicts(f)
		if err != nil {
			t.Fatal(err)
		}
		of = append(of, more...)
	}
	text := fmt.Sprintf("# Honesty of the estimate on made-up beds of all kinds\n\nMade by `go test ./profile/study "+
		"-run TestBeds -beds-of FILES` of %d estimates. All data are invented.\n\n%s", len(of), wideTable(of))
	if err := os.WriteFile(wideResults, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	t.Log("\n" + text)
}

func readVerdicts(file string) ([]verdict, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	var out []verdict
	for line := range strings.Lines(string(text)) {
		var v verdict
		if err := json.Unmarshal([]byte(line), &v); err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}
