package form

import (
	"fmt"
	"math"
	"strings"

	"wornway/profile/document"
	"wornway/profile/length"
)

// The units in which a force may be written, in newtons. A pound-force is exactly 0.45359237 kg · 9.80665 m/s².
var forceUnits = []struct {
	name string
	n    float64
}{{"N", 1}, {"lbf", 4.4482216152605}, {"kgf", 9.80665}}

const forceForms = `write newtons as a plain number, or another unit in quotes: "9 lbf", "4 kgf"`

// Force reads a force: a number of newtons, or a text with a unit such as "9 lbf". The result is newtons, and keeps to
// the limit.
func (r *Reader) Force(t *document.Table, key string, l Limit) (float64, bool) {
	if !t.Has(key) {
		return r.Number(t, key, l)
	}
	v, ok := t.Scalar(key)
	if !ok {
		return 0, false
	}
	text, ok := v.V.(string)
	if !ok {
		return r.Number(t, key, l)
	}
	n, err := parseForce(text)
	if err != nil {
		t.Fault(key, forceForms, "%v", err)
		return 0, false
	}
	if !r.keeps(t, key, n, l) {
		return 0, false
	}
	return n, true
}

// parseForce reads a force with its unit, N, lbf or kgf, and returns newtons.
func parseForce(text string) (float64, error) {
	s := strings.TrimSpace(text)
	for _, u := range forceUnits {
		number, ok := strings.CutSuffix(s, u.name)
		if !ok {
			continue
		}
		x, err := length.ParseNumber(number)
		if err != nil || math.IsInf(x*u.n, 0) {
			return 0, fmt.Errorf("is not a number of %s", u.name)
		}
		return x * u.n, nil
	}
	return 0, fmt.Errorf("is not a force")
}
