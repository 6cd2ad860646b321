package estimate

import (
	"fmt"
	"math"
	"testing"

	"wornway/profile/bed"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

// made is a bed of usual lathes, mm: a hollow in front, a shallower one behind, no shift.
func made(c bed.Curve, z float64) float64 {
	switch c {
	case bed.Front:
		return 0.09 * math.Exp(-math.Pow((z-200)/140, 2))
	case bed.Rear:
		return 0.03 * math.Exp(-math.Pow((z-260)/180, 2))
	}
	return 0
}

// levelled returns what the level across a saddle of that seating reads on the bed, by the definition of a seating.
func levelled(z, sits float64) float64 {
	lean := func(z float64) float64 { return (made(bed.Front, z) - made(bed.Rear, z)) / usual.Span }
	p, q := lean(z+25-140), lean(z+25+140)
	return -((p+q)/2 + sits*math.Abs(p-q)/2)
}

// waysOf are readings of both ways by themselves, exact to a micrometre; seen is what the level on the saddle reads.
func waysOf(t *testing.T) []survey.Set {
	t.Helper()
	var rows [][]float64
	for z := -180.0; z <= 780; z += 20 {
		rows = append(rows, []float64{z, made(bed.Front, z), made(bed.Rear, z)})
	}
	const keys = "method = 'stated'\nuncertainty = 0.001\ncolumns = ['position', 'front', 'rear']"
	return []survey.Set{read(t, usual, keys, rows)}
}

func onSaddle(t *testing.T, keys string, of func(z float64) float64) survey.Set {
	t.Helper()
	var rows [][]float64
	for z := 20.0; z <= 500; z += 30 {
		rows = append(rows, []float64{z, of(z)})
	}
	return read(t, usual, keys+"\ncolumns = ['position', 'reading']", rows)
}

func open(surveys ...survey.Set) Input {
	return Input{Bed: [2]float64{-200, 800}, Unworn: [][2]float64{{-200, -150}, {720, 800}}, Surveys: surveys,
		OnlyLost: true,
		SeatingU: 1 / math.Sqrt(3)}
}

// Where the ways are read and the saddle too, the estimate finds how it sits, from a level and from the corners that
// are pressed. Without the saddle nothing is known of it, and the prediction is that of one which gives.
func TestSeatingIsFound(t *testing.T) {
	seating := func(in Input) (float64, float64, *wear.Wear) {
		t.Helper()
		r, err := Estimate(in)
		if err != nil {
			t.Fatal(err)
		}
		// the seating's own ±: that of the corner pressed, over what the ways differ under the ends
		rocked := usual.Saddle.Rocked(usual.Saddle.ToolOffset)
		apart := math.Abs(r.Wear.Value(rocked.Rocks[0].Apart(), 150))
		var g wear.Weights
		r.Wear.WithScalar(bed.Seating, 0).WithAbout(r.Wear.WithScalar(bed.Seating, 0)).Weigh(&g, rocked, 150, 1/apart)
		u, _ := r.Wear.Uncertainty(&g)
		return r.Wear.Scalar(bed.Seating), u, r.Wear
	}
	for _, sits := range []float64{0, 0.4, 1} {
		level := onSaddle(t, "method = 'saddle-level'\nper_division = 1e-5\nuncertainty = 0.2",
			func(z float64) float64 { return levelled(z, sits) / 1e-5 })
		rock := onSaddle(t, "method = 'saddle-rock'", func(z float64) float64 {
			return (math.Abs(levelled(z, 1)-levelled(z, 0)) * 2 * usual.Span) * sits
		})
		for name, of := range map[string]survey.Set{"level": level, "rock": rock} {
			got, u, _ := seating(open(append(waysOf(t), of)...))
			t.Logf("%s: seating %.3f ± %.3f, truly %g", name, got, 2*u, sits)
			near(t, fmt.Sprintf("seating by the %s", name), got, sits, math.Max(0.05, 3*u))
			if u > 0.1 {
				t.Errorf("%s: u of the seating is %.3f", name, u)
			}
		}
	}
	got, u, w := seating(open(waysOf(t)...))
	near(t, "seating that nothing tells", got, 0, 1e-12)
	near(t, "its uncertainty", u, 1/math.Sqrt(3), 1e-6)
	even, err := Estimate(func() Input { in := open(waysOf(t)...); in.SeatingU = 0; return in }())
	if err != nil {
		t.Fatal(err)
	}
	for z := -100.0; z <= 600; z += 50 {
		near(t, "roll", w.Value(usual.Roll(), z), even.Wear.Value(usual.Roll(), z), 1e-12)
	}
}

// A saddle known to be stiff is predicted as it sits: with both ways read to a micrometre, as the greater of the two
// rolls.
func TestKnownSeatingIsPredicted(t *testing.T) {
	in := open(waysOf(t)...)
	in.SeatingU, in.Seating = 0, 1
	r, err := Estimate(in)
	if err != nil {
		t.Fatal(err)
	}
	for z := 0.0; z <= 500; z += 50 {
		near(t, "roll", r.Wear.Value(usual.Roll(), z), -levelled(z, 1), 2e-3/usual.Span)
	}
}

// A level on the saddle says how it rolls, however it sits: the prediction is what was read, and its ± hardly larger
// than where the seating is stated, though neither the ways' difference nor the seating is known alone.
func TestSaddleAloneIsTakenAsRead(t *testing.T) {
	for _, sits := range []float64{0, 1} {
		level := onSaddle(t, "method = 'saddle-level'\nper_division = 1e-5\nuncertainty = 0.2",
			func(z float64) float64 { return levelled(z, sits) / 1e-5 })
		in := open(level)
		with, err := Estimate(in)
		if err != nil {
			t.Fatal(err)
		}
		in.SeatingU, in.Seating = 0, sits
		stated, err := Estimate(in)
		if err != nil {
			t.Fatal(err)
		}
		rolls := usual.RollAt(usual.Saddle.ToolOffset)
		at := func(w *wear.Wear, z float64) (v, u float64) {
			var g wear.Weights
			w.Weigh(&g, rolls, z, 1)
			w.Weigh(&g, rolls, 500, -1)
			u, _ = w.Uncertainty(&g)
			return w.Value(rolls, z) - w.Value(rolls, 500), u
		}
		for z := 20.0; z <= 470; z += 30 {
			v, u := at(with.Wear, z)
			_, least := at(stated.Wear, z)
			// rolls are positive where the front goes down, the level's readings where it stands high
			truth := levelled(500, sits) - levelled(z, sits)
			const alike = 1.25
			if math.Abs(v-truth) > 3*u || u > alike*least {
				t.Errorf("saddle that sits at %g, at %g mm: it rolls by %.3g ± %.2g, truly %.3g; ± %.2g where it is "+
					"known", sits, z, v, 2*u, truth, 2*least)
			}
		}
	}
}
