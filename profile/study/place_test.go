package study

import (
	"math"
	"slices"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
)

// byPlace is what lengths came to at the places that were chosen for them: spreads on diameter, mm, summed over the
// lengths.
type byPlace struct {
	lengths int
	blind   float64 // the mean over all places: that of one who does not choose
	chosen  float64 // at the best place, as the program says
	curve   float64 // where the computed spread is least, whatever is promised there
	best    float64 // where the truth is least
}

// gain returns the share of what could be gained over a blind choice that the chosen places gain, and the share of what
// those of least computed spread gain.
func (k byPlace) gain() (possible, curve float64) {
	return (k.blind - k.chosen) / (k.blind - k.best), (k.blind - k.chosen) / (k.blind - k.curve)
}

// Where lengths may lie on a made-up bed, mm, and how near to each other the places are that they are compared at.
const placeFrom, placeTo, placeStep = 60.0, 550.0, 10.0

// place looks for the best place of a length.
func (k *byPlace) place(m *machine, tool compensate.Machine, length float64) error {
	p := compensate.PlaceOptions{Length: length, Work: work.Feature{Diameter: collarsBar}, From: placeFrom, To: placeTo,
		Starts: compensate.Stations(placeFrom, placeTo-length, placeStep)}
	got, err := tool.Place(p)
	if err != nil {
		return err
	}
	truth := func(from float64) float64 {
		to := from + length
		least, greatest := math.Inf(1), math.Inf(-1)
		for i := range 101 {
			e := m.diameterError(from+length*float64(i)/100, to, collarsBar, m.leanOut, m.leanUp)
			least, greatest = math.Min(least, e), math.Max(greatest, e)
		}
		return greatest - least
	}
	curve := got.Starts[0]
	best, sum := math.Inf(1), 0.0
	for _, s := range got.Starts {
		is := truth(s.From)
		best, sum = math.Min(best, is), sum+is
		if s.Spread < curve.Spread {
			curve = s
		}
	}
	k.lengths++
	k.blind += sum / float64(len(got.Starts))
	k.chosen += truth(got.Best.From)
	k.curve += truth(curve.From)
	k.best += best
	return nil
}

// placeStudy makes up beds and places lengths on each. The saddle sits on each as it happens to, from springy to stiff.
func placeStudy(t *testing.T, p plan, number int, of []float64) (k byPlace) {
	all := beds(t, number, func(i int) (byPlace, error) {
		var k byPlace
		m, tool, _, err := p.surveyed(33, i)
		if err != nil {
			return k, err
		}
		for _, length := range of {
			if err := k.place(m, tool, length); err != nil {
				return k, err
			}
		}
		return k, nil
	})
	for _, o := range all {
		k.lengths += o.lengths
		k.blind, k.chosen, k.curve, k.best = k.blind+o.blind, k.chosen+o.chosen, k.curve+o.curve, k.best+o.best
	}
	return k
}

// A length lies better where place puts it than where it happens to lie: of what could be gained by choosing, most is
// gained, and nearly what the least computed spread gains. Seeds: seed+33 and seed+34 with the bed's number. Judged
// once, on twenty beds of -seed 20270811: 70 and 75 % of what choosing could gain, 98 and 103 % of what the least
// computed spread gains. The ordinary run has the longest of three lengths on one bed that
// indicators and a level have seen, and catches a choice that is turned round.
func TestPlaceGains(t *testing.T) {
	lengths := []float64{180}
	if *full {
		lengths = []float64{60, 120, 180}
	}
	number := cases(1, 1, 20)
	for _, name := range []string{"indicators, level", "bar, level"}[:cases(1, 1, 2)] {
		p := plans[slices.IndexFunc(plans, func(p plan) bool { return p.name == name })]
		k := placeStudy(t, p, number, lengths)
		possible, curve := k.gain()
		n := float64(k.lengths) / 1000
		t.Logf("%s: %d lengths, spread %.1f µm blind, %.1f as chosen, %.1f at the least computed, %.1f at best: gain "+
			"%.0f %% of possible, %.0f %% of that by the curve alone", name, k.lengths, k.blind/n, k.chosen/n,
			k.curve/n,
			k.best/n, 100*possible, 100*curve)
		if *full && possible < 0.85 && curve < 0.95 || possible < 0.3 {
			t.Errorf("%s: %.0f %% of the gain, %.0f %% of that by the curve", name, 100*possible, 100*curve)
		}
	}
}
