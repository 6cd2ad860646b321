package compensate_test

import (
	"fmt"
	"math"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
)

// smoothBench is a bed of 1200 mm, worn as beds are: deepest some 200 mm from the headstock, the front most, over n
// knots.
func smoothBench(n int, stated bool, bearing bed.Bearing) compensate.Machine {
	b := bench{lathe: bed.Lathe{CentreHeight: 150, Span: 220, Setback: 110,
		Saddle: bed.Saddle{BearingLength: 280, Bearing: bearing, ToolOffset: -30}},
		values: map[bed.Curve][]float64{}}
	for i := range n {
		z := -200 + 1200*float64(i)/float64(n-1)
		hump := func(at, wide float64) float64 { return math.Exp(-(z - at) * (z - at) / (2 * wide * wide)) }
		b.z = append(b.z, z)
		b.values[bed.Front] = append(b.values[bed.Front], 0.08*hump(200, 150)+0.01*hump(500, 60))
		b.values[bed.Rear] = append(b.values[bed.Rear], 0.02*hump(250, 180))
		b.values[bed.Shift] = append(b.values[bed.Shift], -0.01*hump(180, 140))
	}
	m := b.machine(nobody{})
	if stated {
		m.Wear = m.Wear.WithCovariance(statedTo(0.002, 75))
	}
	return m
}

// nobody stands in for a test where none fails.
type nobody struct{ testing.TB }

func (nobody) Helper()           {}
func (nobody) Fatal(args ...any) { panic(fmt.Sprint(args...)) }

func BenchmarkPredict(b *testing.B) {
	for _, stated := range []bool{false, true} {
		for _, n := range []int{10, 100, 10_000, 1_000_000} {
			b.Run(fmt.Sprintf("knots=%d/stated=%v", n, stated), func(b *testing.B) {
				m := smoothBench(n, stated, bed.Ends)
				for b.Loop() {
					c := mustCurve(b, m, compensate.Cut{Feature: work.Feature{From: 0, To: 400, Diameter: 30},
						SetAt: 400})
					c.Taper()
					for i := range 25 {
						c.Station(float64(i) * 400 / 24)
					}
				}
			})
		}
	}
}

func BenchmarkCorrect(b *testing.B) {
	for _, n := range []int{10, 100, 10_000, 1_000_000} {
		b.Run(fmt.Sprintf("knots=%d", n), func(b *testing.B) {
			m := smoothBench(n, false, bed.Ends)
			cut := compensate.Cut{Feature: work.Feature{From: 0, To: 400, Diameter: 30}, SetAt: 400}
			o := compensate.CorrectOptions{Dial: compensate.Dial{Diameter: true, Division: 0.02, Finest: 0.5,
				Backlash: 0.1}, Round: 1, Every: compensate.Stations(0, 400, 20)}
			for b.Loop() {
				if _, err := m.Correct(cut, o); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkPlace(b *testing.B) {
	for _, n := range []int{10, 100, 10_000, 1_000_000} {
		b.Run(fmt.Sprintf("knots=%d", n), func(b *testing.B) {
			m := smoothBench(n, false, bed.Ends)
			p := compensate.PlaceOptions{Length: 150, From: -100, To: 900,
				Work: work.Feature{Diameter: 30, Tolerance: 0.02}}
			for b.Loop() {
				if _, err := m.Place(p); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// The worst and the best places of the lengths that wear reports.
func BenchmarkSpans(b *testing.B) {
	for _, bearing := range []bed.Bearing{bed.Ends, bed.Full} {
		for _, n := range []int{100, 10_000, 1_000_000} {
			b.Run(fmt.Sprintf("knots=%d/bearing=%v", n, bearing), func(b *testing.B) {
				b.ReportAllocs()
				m := smoothBench(n, false, bearing)
				p := compensate.PlaceOptions{From: 0, To: 900, Work: work.Feature{Diameter: 25}}
				for b.Loop() {
					if _, err := m.Spans(p, 25, 50, 100, 150, 250, 500); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
