package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/estimate"
)

const results = "../../testdata/study/results.md"

// TestStudy is the full study. It prints a table and keeps it.
func TestStudy(t *testing.T) {
	if !*full {
		t.Skip("-study runs it")
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# Honesty of the estimate on made-up beds\n\nMade by `go test ./profile/study -run Study -study "+
		"-timeout 4h`, seed %d. All data are invented.\n", seed)
	all := beds(t, *number, func(i int) ([]score, error) { return try(seed, i, plans, leave{}, true) })
	coverages(&b, all)
	shapes(&b, all)
	kept(&b, all)
	leftOut(t, &b)
	dials(t, &b)
	fmt.Print(b.String())
	if *number == 2000 && seed == fixed {
		if err := os.WriteFile(results, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// of returns the scores of one plan, of one shape of wear where it is named.
func of(all [][]score, plan int, kind string) []score {
	var out []score
	for _, s := range all {
		if len(s[plan].samples) > 0 && (kind == "" || s[plan].kind == kind) {
			out = append(out, s[plan])
		}
	}
	return out
}

func percent(x float64) string {
	if math.IsNaN(x) {
		return "–"
	}
	return fmt.Sprintf("%.1f", 100*x)
}

func micron(x float64) string {
	if math.IsNaN(x) {
		return "–"
	}
	return fmt.Sprintf("%.2f", 1000*x)
}

func coverages(b *strings.Builder, all [][]score) {
	b.WriteString("\n## How often the true diameter error lies within ± 1.96 u\n\nIn percent, with the middle 95 % " +
		"when the beds are drawn again. Sizes in µm on diameter, medians.\n\n")
	b.WriteString("| plan | beds | coverage | band | bends most | slender | to mid-bed | scatter | error near the " +
		"chuck | u there | error to mid-bed |\n|---|---|---|---|---|---|---|---|---|---|---|\n")
	row := func(name string, s []score) {
		c := count(s)
		fmt.Fprintf(b, "| %s | %d | %s | %s to %s | %s | %s | %s | %.2f | %s | %s | %s |\n", name, len(s),
			percent(c.coverage), percent(c.band[0]), percent(c.band[1]),
			percent(c.sharp), percent(c.small), percent(c.long), c.scatter, micron(c.median), micron(c.medianU),
			micron(c.medianAll))
	}
	var pooled []score
	for i, p := range plans {
		row(p.name, of(all, i, ""))
		pooled = append(pooled, of(all, i, "")...)
	}
	row("pooled", pooled)
}

func shapes(b *strings.Builder, all [][]score) {
	fmt.Fprintf(b, "\n## The same by the shape of the wear\n\nCoverage in percent / scatter of error over u.\n\n| "+
		"plan | %s |\n|---|%s\n", strings.Join(kinds, " | "), strings.Repeat("---|", len(kinds)))
	for i, p := range plans {
		fmt.Fprintf(b, "| %s |", p.name)
		for _, k := range kinds {
			c := count(of(all, i, k))
			fmt.Fprintf(b, " %s / %.2f |", percent(c.coverage), c.scatter)
		}
		b.WriteString("\n")
	}
}

func kept(b *strings.Builder, all [][]score) {
	b.WriteString("\n## Stated probabilities of keeping a tolerance on the spread\n\nStated → kept (number; " +
		"difference in standard errors).\n\n| plan | 0 to 0.2 | to 0.4 | to 0.6 | to 0.8 | to 1 " +
		"|\n|---|---|---|---|---|---|\n")
	row := func(name string, p []promise) {
		fmt.Fprintf(b, "| %s |", name)
		for _, x := range bins(p) {
			fmt.Fprintf(b, " %.2f → %.2f (%d; %+.1f) |", x.stated, x.kept, x.count, x.sigma)
		}
		b.WriteString("\n")
	}
	var pooled []promise
	for i, p := range plans {
		var ps []promise
		for _, s := range of(all, i, "") {
			ps = append(ps, s.promises...)
		}
		row(p.name, ps)
		pooled = append(pooled, ps...)
	}
	row("pooled", pooled)
}

// dials reports the perfect dial.
func dials(t *testing.T, b *strings.Builder) {
	b.WriteString("\n## How many times smaller a perfect dial makes the tool's radial error\n\n" +
		"Root mean square over the worn stretch, before by after, median of beds. Read: a bar's side to 2 µm, a " +
		"level on the saddle to 1 µm over the way span, five collars to 1.5 µm.\n" +
		"The reference is a simpler model's. Of the front way's drop the tool feels a part only: saddle, rear way " +
		"and shift take from it.\n\n" +
		"| depth, µm | beds | where it is the tool's error | where it is the front way's drop | reference " +
		"|\n|---|---|---|---|---|\n")
	for _, d := range []struct{ depth, reference float64 }{{25, 8}, {50, 13}, {100, 21}} {
		n := *number / 4
		times := func(bed func(i int) *machine) float64 {
			return improvement(beds(t, n, func(i int) ([2]float64, error) {
				before, after, err := dialled(i, bed(i))
				return [2]float64{before, after}, err
			}))
		}
		tool := times(func(i int) *machine { return onTool(i, d.depth/1000) })
		drop := times(func(i int) *machine {
			return newMachine(rand.New(rand.NewPCG(seed+2, uint64(i))), kinds[i%len(kinds)], d.depth/1000)
		})
		fmt.Fprintf(b, "| %.0f | %d | %.1f | %.1f | %.0f |\n", d.depth, n, tool, drop, d.reference)
	}
}

// leftOut reports what the ± is worth where part of the model is left out.
func leftOut(t *testing.T, b *strings.Builder) {
	b.WriteString("\n## Where part of the model is left out\n\nCoverage in percent, scatter of error over u, median " +
		"error near the chuck in µm.\n\n| left out | plan | beds | coverage | scatter | error " +
		"|\n|---|---|---|---|---|---|\n")
	n := max(*number/10, 12)
	for _, x := range []struct {
		what   string
		leave  leave
		single bool
		plans  []int
	}{
		{"nothing", leave{}, false, []int{1, 2, 3, 4, 5, 6}},
		{"the saddle's length", leave{saddle: true}, false, []int{1, 2, 5, 6}},
		{"the straightedge's bow", leave{bow: true}, false, []int{5}},
		{"averaging over strengths and reach", leave{}, true, []int{1, 2, 3, 4}},
	} {
		for _, k := range x.plans {
			got := beds(t, n, func(i int) ([]score, error) {
				if x.single {
					return trySingle(i, plans[k])
				}
				return try(seed, i, plans[k:k+1], x.leave, false)
			})
			c := count(of(got, 0, ""))
			fmt.Fprintf(b, "| %s | %s | %d | %s | %.2f | %s |\n", x.what, plans[k].name, n, percent(c.coverage),
				c.scatter, micron(c.median))
		}
	}
}

// trySingle judges a plan where only the most probable strengths and reach are used.
func trySingle(number int, p plan) ([]score, error) {
	tool := func(text string) (*profile.Profile, estimate.Input, error) {
		q, err := profile.Parse(nil, "study.toml", []byte(text))
		if err != nil {
			return nil, estimate.Input{}, err
		}
		in := estimate.Input{Bed: [2]float64{q.Lathe.Ways.From, q.Lathe.Ways.To}, TwistU: 5e-8, Single: true}
		for _, u := range q.Lathe.Unworn {
			in.Unworn = append(in.Unworn, [2]float64{u.From, u.To})
		}
		for _, s := range q.Surveys {
			in.Surveys = append(in.Surveys, s.Set)
			for _, e := range s.Set.Equations {
				for _, part := range e.Parts {
					for i, k := range []bed.Scalar{bed.LeanOut, bed.LeanUp} {
						if part.Sum.PerLength[k] != 0 {
							in.LeanU[i] = 2e-4
						}
					}
				}
			}
		}
		return q, in, nil
	}
	return tryBy(seed, number, []plan{p}, leave{}, false, func(text string) (compensate.Machine, error) {
		q, in, err := tool(text)
		if err != nil {
			return compensate.Machine{}, err
		}
		e, err := estimate.Estimate(in)
		if err != nil {
			return compensate.Machine{}, err
		}
		return machineOf(q, e.Wear), nil
	})
}
