package compensate

import "math"

// RoundStep returns the finest of the round steps 1, 2 and 5 times a power of ten, in the given unit (mm), whose
// multiples divide a length into no more than most parts (two at least) wherever the length begins.
func RoundStep(length, unit float64, most int) float64 {
	if !(length > 0) {
		return unit
	}
	most = max(most, 2)
	at := math.Floor(math.Log10(length / unit / float64(most)))
	for ; ; at++ {
		for _, f := range []float64{1, 2, 5} {
			if step := f * math.Pow(10, at) * unit; length/step < float64(most)-1 {
				return step
			}
		}
	}
}

// Stations returns the multiples of a step between from and to, and these two themselves, ascending.
func Stations(from, to, step float64) []float64 {
	if !(step > 0) {
		return []float64{from, to}
	}
	out := []float64{from}
	const near = 1e-6 // of a step: a multiple so near to an end is that end
	for k := math.Floor(from/step + near); ; k++ {
		z := k * step
		if z > to-near*step {
			break
		}
		if z > from+near*step {
			out = append(out, z)
		}
	}
	return append(out, to)
}
