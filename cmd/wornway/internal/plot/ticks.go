package plot

import (
	"math"
	"strconv"
	"strings"

	gonum "gonum.org/v1/plot"
)

// roundTicks marks an axis at round numbers: multiples of 1, 2 or 5 times a power of ten, with 0 among them where the
// axis has it, and unlabelled marks between.
type roundTicks struct{ most int } // labels

// Ticks implements gonum's plot.Ticker.
func (r roundTicks) Ticks(low, high float64) []gonum.Tick {
	step, between := roundStep((high - low) / float64(r.most))
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	var out []gonum.Tick
	small := step / float64(between)
	for i := math.Ceil(low/small - 1e-9); i*small <= high+1e-9*step; i++ {
		t := gonum.Tick{Value: i * small}
		if math.Mod(math.Abs(i), float64(between)) == 0 {
			t.Label = strconv.FormatFloat(t.Value+0, 'f', decimals, 64)
			if strings.Trim(t.Label, "-0.") == "" {
				t.Label = "0"
			}
		}
		out = append(out, t)
	}
	return out
}

// roundStep returns the least round step that is not under a given one, and into how many it is divided.
func roundStep(least float64) (step float64, between int) {
	if !(least > 0) || math.IsInf(least, 1) {
		return 1, 5
	}
	power := math.Pow(10, math.Floor(math.Log10(least)))
	switch share := least / power; {
	case share <= 1+1e-9:
		return power, 5
	case share <= 2:
		return 2 * power, 4
	case share <= 5:
		return 5 * power, 5
	}
	return 10 * power, 5
}
