package estimate

import "math"

// steepness returns how steep the wear is at each knot by a point's estimate: the root mean square, over the carriage
// ways' curves, of the slope in strengths over steepReach. What the readings leave open of a slope counts as slope.
func (p *problem) steepness(at point) ([]float64, error) {
	at.space = newSpace(p, newSystem(p), at.space.manner)
	q, err := at.space.posterior(at.at)
	if err != nil {
		return nil, err
	}
	m := len(p.knots)
	n, _ := q.gained.Dims()
	kernel := at.space.kernel
	out := make([]float64, m)
	for k := range m {
		i, j := max(k-1, 0), min(k+1, m-1)
		sum := 0.0
		for c := range carriage {
			strength := at.at.strength(p.curves[c])
			rise := (q.mean[c*m+j] - q.mean[c*m+i]) / strength
			open := kernel.At(i, i) + kernel.At(j, j) - 2*kernel.At(i, j)
			for r := range n {
				g := (q.gained.At(r, c*m+i) - q.gained.At(r, c*m+j)) / strength
				open -= g * g
			}
			sum += rise*rise + math.Max(0, open)
		}
		out[k] = math.Sqrt(sum/carriage) / (p.knots[j] - p.knots[i]) * steepReach
	}
	return out, nil
}

// carriage is how many curves the carriage rides on: front, shift and rear, the first of a problem's.
const carriage = 3

// places returns the positions with how steep the wear is there: between knots on straight lines, 1 everywhere where it
// has not been looked for.
func (p *problem) places(at []float64) []place {
	out := make([]place, len(at))
	for i, z := range at {
		out[i] = place{z, 1, usualAt(z, p.in.Bed[1])}
		if p.steep == nil {
			continue
		}
		k := 1
		for k < len(p.knots)-1 && p.knots[k] < z {
			k++
		}
		t := math.Max(0, math.Min(1, (z-p.knots[k-1])/(p.knots[k]-p.knots[k-1])))
		out[i].steep = p.steep[k-1]*(1-t) + p.steep[k]*t
	}
	return out
}
