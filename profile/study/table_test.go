package study

import (
	"fmt"
	"math"
	"strings"
)

// coverage is the share of claims whose truth lies in the stated 95 %, its standard error, and the median error and ±.
// The claims of one bed go together: the standard error is that of the beds' shares, a ratio of two sums (W. G.
// Cochran, Sampling Techniques, 3rd ed. 1977, section 6.4, from memory), which for one claim a bed is the binomial one.
type coverage struct {
	beds, claims int
	share, se    float64
	off, u       float64 // medians of the error's size and of twice its standard uncertainty, mm
}

func covered(of [][]claim) coverage {
	c := coverage{beds: len(of)}
	var sizes, us []float64
	hits := 0.0
	for _, bed := range of {
		c.claims += len(bed)
		for _, k := range bed {
			sizes, us = append(sizes, math.Abs(k.Off)), append(us, 2*k.U)
			hits += one(k.In)
		}
	}
	c.off, c.u, c.share = median(sizes), median(us), hits/float64(c.claims)
	squares := 0.0
	for _, bed := range of {
		d := 0.0
		for _, k := range bed {
			d += one(k.In) - c.share
		}
		squares += d * d
	}
	c.se = math.Sqrt(squares) / float64(c.claims)
	return c
}

func one(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// column is one thing that is judged.
type column struct {
	name string
	of   func(v verdict) []claim
}

var columns = []column{
	{"front", func(v verdict) []claim { return v.Front }},
	{"shift", func(v verdict) []claim { return v.Shift }},
	{"rear", func(v verdict) []claim { return v.Rear }},
	{"headline", func(v verdict) []claim { return []claim{v.Headline} }},
	{"not under", func(v verdict) []claim {
		return []claim{{v.Headline.Off, v.Headline.U, !v.Under}}
	}},
	{"diameter", func(v verdict) []claim { return v.Diameter }},
	{"skewed", func(v verdict) []claim { return v.Skewed }},
	{"spread", func(v verdict) []claim { return v.Spread }},
}

func (c column) among(of []verdict) coverage {
	var all [][]claim
	for _, v := range of {
		all = append(all, c.of(v))
	}
	return covered(all)
}

// group is some of the verdicts.
type group struct {
	name string
	has  func(v verdict) bool
}

func groups() []group {
	var out []group
	for _, p := range wide {
		out = append(out, group{p.name, func(v verdict) bool { return v.Plan == p.name }})
	}
	for _, k := range vees {
		out = append(out, group{k.name, func(v verdict) bool { return v.Way == k.name }})
	}
	return append(out,
		group{"springy saddle, or bearing all along", func(v verdict) bool { return v.Full || v.Stiff == 0 }},
		group{"stiff saddle", func(v verdict) bool { return !v.Full && v.Stiff == 1 }},
		group{"rear worn more", func(v verdict) bool { return v.RearWorse }},
		group{"pooled", func(verdict) bool { return true }})
}

func (g group) of(all []verdict) []verdict {
	var out []verdict
	for _, v := range all {
		if g.has(v) {
			out = append(out, v)
		}
	}
	return out
}

func wideTable(all []verdict) string {
	var b strings.Builder
	b.WriteString("Within the stated 95 %, in percent ± its standard error; median error, median ± in µm.\n\n" +
		"| | beds |")
	for _, c := range columns {
		fmt.Fprintf(&b, " %s |", c.name)
	}
	b.WriteString(" s |\n|---|---|" + strings.Repeat("---|", len(columns)+1) + "\n")
	for _, g := range groups() {
		of := g.of(all)
		if len(of) == 0 {
			continue
		}
		fmt.Fprintf(&b, "| %s | %d |", g.name, len(of))
		for _, c := range columns {
			k := c.among(of)
			if k.claims == 0 {
				b.WriteString(" – |")
				continue
			}
			if fmt.Fprintf(&b, " %.1f ± %.1f", 100*k.share, 100*k.se); c.name != "not under" {
				fmt.Fprintf(&b, "; %.1f, %.1f", 1000*k.off, 1000*k.u)
			}
			b.WriteString(" |")
		}
		took := 0.0
		for _, v := range of {
			took += v.Took / float64(len(of))
		}
		fmt.Fprintf(&b, " %.2f |\n", took)
	}
	b.WriteString("\nStated probabilities of keeping a tolerance on the spread: stated → kept (number; difference in " +
		"standard errors).\n\n| | 0 to 0.2 | to 0.4 | to 0.6 | to 0.8 | to 1 |\n|---|---|---|---|---|---|\n")
	for _, g := range groups() {
		fmt.Fprintf(&b, "| %s |", g.name)
		for _, x := range promised5(g.of(all)) {
			fmt.Fprintf(&b, " %.2f → %.2f (%d; %+.1f) |", x.stated, x.kept, x.count, x.sigma)
		}
		b.WriteString("\n")
	}
	return b.String()
}

// promised5 puts what was promised into five bins. Promises of one bed are kept or broken together: where that makes
// the standard error larger it is the beds' own.
func promised5(of []verdict) [5]bin {
	var all []promise
	var variance, squares [5]float64
	for _, v := range of {
		var d [5]float64
		for i, p := range v.Stated {
			all = append(all, promise{p, v.Kept[i]})
			k := min(int(p*5), 4)
			d[k] += one(v.Kept[i]) - p
			variance[k] += p*(1-p) + 0.001
		}
		for k := range d {
			squares[k] += d[k] * d[k]
		}
	}
	out := bins(all)
	for k := range out {
		if squares[k] > variance[k] {
			out[k].sigma *= math.Sqrt(variance[k] / squares[k])
		}
	}
	return out
}

type trial struct {
	bed  int
	plan string
}

// matching returns those of the earlier verdicts that are of the same beds and plans as the later ones.
func matching(before, after []verdict) []verdict {
	now := map[trial]bool{}
	for _, v := range after {
		now[trial{v.Bed, v.Plan}] = true
	}
	return group{has: func(v verdict) bool { return now[trial{v.Bed, v.Plan}] }}.of(before)
}

// ratios says what has become of the median error and the median ± on the same beds.
func ratios(before, after []verdict) string {
	before, after = matching(before, after), matching(after, before)
	var b strings.Builder
	b.WriteString("\nMedian error / median ±, each over that before.\n\n| | beds |")
	for _, c := range columns {
		fmt.Fprintf(&b, " %s |", c.name)
	}
	b.WriteString("\n|---|---|" + strings.Repeat("---|", len(columns)) + "\n")
	for _, g := range groups() {
		fmt.Fprintf(&b, "| %s | %d |", g.name, len(g.of(after)))
		for _, c := range columns {
			x, y := c.among(g.of(before)), c.among(g.of(after))
			fmt.Fprintf(&b, " %.3f / %.3f |", y.off/x.off, y.u/x.u)
		}
		b.WriteString("\n")
	}
	return b.String()
}
