package plan

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"wornway/compensate/work"
	"wornway/testdata/steady"
)

// Whatever part is asked for, on whatever lathes: the search ends, each plan turns each feature of which something is
// asked once and in a set-up that can be, probabilities are such, the best comes first, and the size that is aimed at
// lies within what the feature allows as far as that can be.
func TestAnyPart(t *testing.T) {
	parts := 20 // each is a search of its own
	if *study {
		parts = 40
	}
	steady.Some(t, parts)
	rapid.Check(t, func(r *rapid.T) {
		length := rapid.Float64Range(20, 500).Draw(r, "length")
		j := work.Job{Part: &work.Part{Length: length, Stock: rapid.Float64Range(12, 80).Draw(r, "stock"),
			Modulus: 206000, EndForEnd: rapid.Bool().Draw(r, "end for end")}}
		p := j.Part
		p.StockLength = length + rapid.SampledFrom([]float64{0, 40, 300}).Draw(r, "spare")
		p.Grip = math.Min(p.Stock, p.StockLength/3)
		p.Held = rapid.SliceOfNDistinct(rapid.SampledFrom(work.AllHoldings()), 1, 3,
			func(h work.Holding) work.Holding { return h }).Draw(r, "held")
		if rapid.Bool().Draw(r, "cut") {
			p.Cut = work.Finish{Depth: 0.2, Radial: rapid.Float64Range(1, 200).Draw(r, "force"),
				SpringPasses: rapid.IntRange(0, 2).Draw(r, "springs")}
			p.Cut.URadial = p.Cut.Radial / 5
		}
		asked := 0
		at := 0.0
		for i := range rapid.IntRange(1, 4).Draw(r, "features") {
			from := at + rapid.Float64Range(0, length/5).Draw(r, "gap")
			to := from + rapid.Float64Range(1, length/5).Draw(r, "long")
			if to > length {
				break
			}
			at = to
			f := work.Feature{Name: fmt.Sprint(i), From: from, To: to,
				Diameter: p.Stock * rapid.Float64Range(0.4, 0.95).Draw(r, "diameter"),
				Sized:    rapid.SampledFrom([]work.Sizing{"", work.InPlace, work.Once}).Draw(r, "sized")}
			f.Bore = rapid.IntRange(0, 5).Draw(r, "bore") == 0
			switch rapid.IntRange(0, 4).Draw(r, "asked") {
			case 0:
				f.Tolerance = rapid.Float64Range(0.001, 0.1).Draw(r, "tolerance")
			case 1:
				f.Taper = rapid.Float64Range(0.001, 0.1).Draw(r, "taper")
			case 2, 3:
				lower := rapid.Float64Range(-0.05, 0.02).Draw(r, "lower")
				f.Size = &work.Limits{Lower: lower, Upper: lower + rapid.Float64Range(0.002, 0.1).Draw(r, "width")}
			}
			if f.Asked() {
				asked++
			}
			j.Features = append(j.Features, f)
		}
		if len(j.Features) == 0 {
			return
		}
		if last := len(j.Features) - 1; last > 0 && rapid.Bool().Draw(r, "runout") {
			j.Features[0].Runout = rapid.Float64Range(0.001, 0.1).Draw(r, "runs")
			j.Features[0].RunoutTo, j.Features[last].Datum = j.Features[last].Name, true
			asked = 0
			for _, f := range j.Features {
				if f.Asked() {
					asked++
				}
			}
			p.Jaws = rapid.SampledFrom(work.AllJaws()).Draw(r, "jaws")
		}
		q := Question{Job: j, Measuring: rapid.Float64Range(0, 0.01).Draw(r, "measuring")}
		for range rapid.IntRange(1, 2).Draw(r, "lathes") {
			l := lathe(t, rapid.SampledFrom([]float64{-1, 0, 0.001, 0.01}).Draw(r, "u"),
				hollow{rapid.Float64Range(0, 0.2).Draw(r, "deep"), rapid.Float64Range(0, 600).Draw(r, "at"),
					rapid.Float64Range(20, 200).Draw(r, "wide")})
			l.Steady, l.SetOver = rapid.Bool().Draw(r, "steady"), rapid.SampledFrom([]float64{0, 5}).Draw(r, "set over")
			switch rapid.IntRange(0, 2).Draw(r, "dials") {
			case 0:
				l.Dials = nil
			case 1:
				fine := l.Dials[0]
				fine.Angle, fine.Compound = math.Asin(0.1), true
				l.Dials = append(l.Dials, fine)
			}
			if rapid.Bool().Draw(r, "no centre") {
				l.Headstock = math.NaN()
			}
			q.Lathes = append(q.Lathes, l)
		}
		result, err := q.Search()
		if asked == 0 {
			if !errors.Is(err, ErrNothingAsked) {
				r.Fatalf("nothing is asked: %v", err)
			}
			return
		}
		if err != nil {
			r.Fatal(err)
		}
		for n, k := range result.Plans {
			if n > 0 && compare(&result.Plans[n-1], &k) > 0 {
				r.Fatalf("plan %d is better than the one before", n)
			}
			if !(k.Probability >= 0 && k.Probability <= 1) || len(k.Features) != asked {
				r.Fatalf("probability %v, %d features of %d", k.Probability, len(k.Features), asked)
			}
			turned := map[int]int{}
			for i, u := range k.SetUps {
				if _, err := q.Lathes[k.Lathe].Set(j, u.Setup); err != nil {
					r.Fatalf("a set-up that cannot be: %v", err)
				}
				for _, f := range u.Features {
					turned[f]++
					if u.Mounting.Features[f].Hidden != "" {
						r.Fatalf("feature %d is turned in set-up %d: %s", f, i, u.Mounting.Features[f].Hidden)
					}
				}
			}
			for _, o := range k.Features {
				if turned[o.Number] != 1 || !(o.Low <= o.High) || math.IsNaN(o.Uncertainty) ||
					!(o.Probability >= 0 && o.Probability <= 1) {
					r.Fatalf("%+v, turned %d times", o, turned[o.Number])
				}
				if s := o.Size; s != nil && math.Abs((o.Low+o.High)/2-o.Diameter-(s.Lower+s.Upper)/2) > 1e-9 {
					r.Fatalf("not in the middle of its limits: %v to %v", o.Low, o.High)
				}
			}
			for _, h := range k.HeldBack {
				if !(h.Without >= 0 && h.Without <= 1) {
					r.Fatalf("%+v", h)
				}
			}
		}
	})
}
