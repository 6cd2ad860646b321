package plan

import (
	"math"
	"testing"

	"wornway/compensate"
	"wornway/compensate/setup"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// hollow is wear of a depth, mm, about a place, with a width, mm.
type hollow struct{ deep, at, wide float64 }

func (h hollow) drop(z float64) float64 {
	return h.deep * math.Exp(-(z-h.at)*(z-h.at)/(2*h.wide*h.wide))
}

// lathe makes a lathe of a point saddle, H = 150 and S = 200 mm, whose front way is worn so and whose curves are known
// to a standard uncertainty of u mm (below zero: none stated).
func lathe(t testing.TB, u float64, worn ...hollow) setup.Lathe {
	t.Helper()
	var knots []float64
	values := map[bed.Curve][]float64{}
	for z := -100.0; z <= 1000; z += 25 {
		knots = append(knots, z)
		d := 0.0
		for _, h := range worn {
			d += h.drop(z)
		}
		values[bed.Front] = append(values[bed.Front], d)
		// not worn, but no surer
		values[bed.Rear], values[bed.Shift] = append(values[bed.Rear], 0), append(values[bed.Shift], 0)
	}
	w, err := wear.New(knots, values)
	if err != nil {
		t.Fatal(err)
	}
	if u >= 0 {
		rows := wear.Stationary{Reach: 75}
		for _, c := range []bed.Curve{bed.Front, bed.Rear, bed.Shift} {
			rows.Place[c][c] = u * u
		}
		w = w.WithCovariance(rows)
	}
	return setup.Lathe{
		Name: "invented",
		Machine: compensate.Machine{Lathe: bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100}, Wear: w,
			Axis: compensate.SpindleAxis()},
		JawsFront: 80, JawsDepth: math.Inf(1), Headstock: 60, Overhang: 5, Travel: [2]float64{200, 950}, SetOver: 10,
		Dials: []setup.Dial{{Dial: compensate.Dial{Diameter: true, Division: 0.02, Finest: 0.5}}},
	}
}

// seat is a feature with size limits of so many µm about its diameter.
func seat(name string, from, to, diameter, lower, upper float64) work.Feature {
	return work.Feature{Name: name, From: from, To: to, Diameter: diameter,
		Size: &work.Limits{Lower: lower / 1000, Upper: upper / 1000}}
}

// shaft is an invented steel shaft of 30 mm with the given features, cut with a light finishing cut.
func shaft(length float64, held []work.Holding, features ...work.Feature) work.Job {
	return work.Job{Name: "invented shaft", Features: features, Part: &work.Part{
		Length: length, Stock: 32, StockLength: length, Held: held, Grip: 25, Modulus: 206000,
		Cut: work.Finish{Depth: 0.2, Feed: 0.1, Radial: 30, URadial: 6},
	}}
}

func search(t testing.TB, q Question) *Result {
	t.Helper()
	r, err := q.Search()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func BenchmarkSearch(b *testing.B) {
	q := Question{Measuring: 0.002, Job: shaft(180, work.AllHoldings(), seat("one", 40, 70, 30, -20, 20),
		seat("two", 140, 175, 25, -20, 20), seat("three", 80, 120, 28, -10, 10))}
	q.Job.Part.EndForEnd = true
	for i := range 10 {
		q.Lathes = append(q.Lathes, lathe(b, 0.002, hollow{0.08 + 0.01*float64(i), 180, 90}))
	}
	for b.Loop() {
		search(b, q)
	}
}
