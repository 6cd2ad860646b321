package estimate

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"wornway/profile/bed"
)

// HighSpot is a place where a way would stand higher than when it was new, by more than its uncertainty explains. Metal
// is only lost: something has been read wrongly, or the datum is worn itself.
type HighSpot struct {
	Curve    bed.Curve
	Position float64 // mm
	Rise     float64 // mm
	U        float64 // standard, mm
}

// growth is how far, mm, a way may stand higher than its datum and still be taken as unworn.
const growth = 0.005

// highSpots finds the places, one for each carriage way at most, by a point's estimate once it is not held to metal
// being only lost.
func highSpots(p *problem, at point) ([]HighSpot, error) {
	free := *at.space
	free.floors = nil
	at.space = &free
	w, err := p.lone(at)
	if err != nil {
		return nil, err
	}
	var out []HighSpot
	for _, c := range []bed.Curve{bed.Front, bed.Rear} {
		worst := HighSpot{Curve: c}
		far := 0.0
		for _, z := range p.knots {
			s := bed.At(c, 0)
			rise, u := -w.Value(s, z), standard(w, s, z)
			if t := (rise - growth) / u; t > far {
				far, worst.Position, worst.Rise, worst.U = t, z, rise, u
			}
		}
		if far > -distuv.UnitNormal.Quantile(falseNaming/2) {
			out = append(out, worst)
		}
	}
	return out, nil
}

// logNormalCDF returns the logarithm of the standard normal distribution function, far out too: there by the first term
// of its asymptotic series.
func logNormalCDF(t float64) float64 {
	const far = -30
	if t > far {
		return math.Log(distuv.UnitNormal.CDF(t))
	}
	return -t*t/2 - math.Log(-t) - math.Log(2*math.Pi)/2
}
