package answer

import "math"

// Null is a float for JSON, null where it is not known.
func Null(x float64, known bool) *float64 {
	if !known || math.IsNaN(x) {
		return nil
	}
	return &x
}
