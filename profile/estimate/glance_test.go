package estimate

import (
	"math"
	"testing"
)

// How a stiff saddle sits hangs on the wear itself, so that its readings are not linear. A glance takes them at the wear
// that they make: its score is nearer to where scores settle, look by look, than that of readings taken where no way is
// worn, to a tenth of the distance.
func TestGlanceTakesReadingsAtTheirWear(t *testing.T) {
	level := onSaddle(t, "method = 'saddle-level'\nper_division = 1e-5\nuncertainty = 0.2",
		func(z float64) float64 { return levelled(z, 1) / 1e-5 })
	in := open(waysOf(t)[0], level)
	in.SeatingU, in.Seating = 0, 1
	p := mustProblem(t, in)
	from := fix(t, p, 200, 0.05, 0.025, 0.015).point
	unworn, err := p.first(from)
	if err != nil {
		t.Fatal(err)
	}
	var scores []float64
	for range 8 {
		g, use, err := p.glance(from, unlikely, nil)
		if err != nil || !use {
			t.Fatal(use, err)
		}
		scores = append(scores, g.score())
	}
	settled := scores[len(scores)-1]
	off := math.Abs(unworn.score() - settled)
	t.Logf("unworn %.4g from where it settles, then %.4g", unworn.score()-settled, scores)
	if !(off > 1) {
		t.Fatalf("the readings are as linear as can be: the score changes by %.3g", off)
	}
	near(t, "score of a glance", scores[0], settled, off/10)
}
