package estimate

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"wornway/profile/bed"
	"wornway/profile/document"
	"wornway/profile/length"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

// usual is a lathe in mm.
var usual = bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100,
	Saddle: bed.Saddle{BearingLength: 280, ToolOffset: -25}}

// read returns a survey of a lathe in mm. keys are TOML lines with columns among them.
func read(t testing.TB, l bed.Lathe, keys string, rows [][]float64) survey.Set {
	t.Helper()
	var b strings.Builder
	b.WriteString(keys + "\nrows = [\n")
	for _, r := range rows {
		b.WriteString("[")
		for _, v := range r {
			fmt.Fprintf(&b, "%.17g, ", v)
		}
		b.WriteString("],\n")
	}
	b.WriteString("]\n")
	d, err := document.Parse("survey.toml", []byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	name, _ := d.Root().Text("method")
	m, ok := survey.Find(name.V)
	if !ok {
		t.Fatalf("no method %q", name.V)
	}
	columns, _ := d.Root().Texts("columns")
	opts := document.RowOptions{Columns: columns.V}
	table, ok := d.Root().Rows("rows", opts)
	if !ok {
		t.Fatal(d.Faults())
	}
	k := survey.Keys{Machine: survey.Machine{
		Lathe: l, Base: &bed.Base{FrontSetback: 60, RearSetback: 160, Length: 150}, Unit: length.Millimetre,
		Ways: [2]float64{-1e4, 1e4},
	}, Table: d.Root(), Warn: func(string, string, string, ...any) {}}
	s := survey.Read(m, k, table, d.Add)
	if err := d.Faults(); err != nil {
		t.Fatal(err)
	}
	return s
}

// at is the estimate for one reach and known strengths.
type fixed struct {
	p     *problem
	point point
	post  *posterior
}

// fix makes the estimate as if the reach (mm) and the strengths (mm) were known.
func fix(t testing.TB, p *problem, reach, front, rear, shift float64) fixed {
	t.Helper()
	s := newSpace(p, newSystem(p), manner{reach, 0.002})
	at := strengths{math.Log(front), math.Log(rear / front), math.Log(shift / front), 0, math.Atanh(0.6)}
	q, err := s.posterior(at)
	if err != nil {
		t.Fatal(err)
	}
	return fixed{p, point{space: s, at: at, weight: 1}, q}
}

// weigh returns a sum's weights on the unknowns.
func (f fixed) weigh(s bed.Sum, z float64) []float64 {
	var w wear.Weights
	f.p.about.Weigh(&w, s, z, 1)
	out := make([]float64, f.p.wanted())
	w.Each(func(u wear.Unknown, weight float64) {
		if u.Knot < 0 {
			out[f.p.scalarAt()+int(u.Scalar)] += weight
		} else {
			out[f.p.curveAt(u.Curve)+u.Knot] += weight
		}
	})
	return out
}

func (f fixed) value(w []float64) float64 { return dot(w, f.post.mean) }

// covariance of two weighted sums: the prior's less what the readings gained.
func (f fixed) covariance(a, b []float64) float64 {
	m := len(f.p.knots)
	v := 0.0
	for c, one := range f.p.curves {
		for d, other := range f.p.curves {
			between := f.p.between(f.point.at, one, other)
			if between == 0 {
				continue
			}
			for i := range m {
				if a[c*m+i] != 0 {
					v += a[c*m+i] * between * dot(f.point.space.kernel.RawRowView(i), b[d*m:(d+1)*m])
				}
			}
		}
	}
	for k, u := range f.p.scalar {
		v += a[f.p.scalarAt()+k] * b[f.p.scalarAt()+k] * u * u
	}
	n, _ := f.post.gained.Dims()
	for i := range n {
		v -= dot(f.post.gained.RawRowView(i), a) * dot(f.post.gained.RawRowView(i), b)
	}
	return v
}

func near(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.12g, want %.12g within %.3g", what, got, want, within)
	}
}

func mustProblem(t testing.TB, in Input) *problem {
	t.Helper()
	p, err := newProblem(in)
	if err != nil {
		t.Fatal(err)
	}
	return p
}
