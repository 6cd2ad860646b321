package collars

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"wornway/profile/bar"
	"wornway/profile/length"
)

// Blocks returns the cuts as [[survey]] tables of a profile in the unit, the diameters in their own.
func (t *Table) Blocks(unit, reading length.Unit, h Conditions) string {
	number := func(x float64) string {
		if v, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 10, 64), 64); err == nil {
			x = v // none of the figures that conversion makes up
		}
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	var b strings.Builder
	for _, c := range t.Cuts {
		b.WriteString("\n[[survey]]\nmethod = \"test-cut\"\n")
		if h.Held != bar.Chuck {
			fmt.Fprintf(&b, "held = %q\n", h.Held)
		}
		for _, k := range []struct {
			key string
			mm  float64
		}{{"held_at", h.HeldAt}, {"centre_at", h.CentreAt}, {"depth", c.Depth}} {
			if !math.IsNaN(k.mm) {
				fmt.Fprintf(&b, "%s = %s\n", k.key, number(unit.From(k.mm)))
			}
		}
		if reading != unit {
			name := map[length.Unit]string{length.Inch: "in", length.Thou: "thou", length.Millimetre: "mm",
				length.Micrometre: "um"}[reading]
			fmt.Fprintf(&b, "reading_unit = %q\n", name)
		}
		if h.U > 0 {
			fmt.Fprintf(&b, "uncertainty = %s\n", number(reading.From(h.U)))
		}
		b.WriteString("columns = [\"position\", \"diameter\"]\nrows = [\n")
		for i, z := range c.Positions {
			fmt.Fprintf(&b, "  [%s, %s],\n", number(unit.From(z)), number(reading.From(c.Diameters[i])))
		}
		b.WriteString("]\n")
	}
	return b.String()
}
