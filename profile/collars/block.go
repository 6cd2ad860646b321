package collars

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"wornway/profile/length"
)

// Blocks returns the cuts as [[survey]] tables of a profile in the unit, the diameters in their own.
func (t *Table) Blocks(unit, reading length.Unit, h How) string {
	number := func(x float64) string {
		if v, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 10, 64), 64); err == nil {
			x = v // none of the figures that conversion makes up
		}
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	var b strings.Builder
	for _, c := range t.Cuts {
		b.WriteString("\n[[survey]]\nmethod = \"test-cut\"\n")
		if h.Held == Centres {
			b.WriteString("held = \"centres\"\n")
		} else if !math.IsNaN(h.HeldAt) {
			fmt.Fprintf(&b, "held_at = %s\n", number(unit.From(h.HeldAt)))
		}
		if !math.IsNaN(c.Depth) {
			fmt.Fprintf(&b, "depth = %s\n", number(unit.From(c.Depth)))
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
