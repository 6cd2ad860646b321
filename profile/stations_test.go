package profile

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// study makes the long forms of tests run in full.
var study = flag.Bool("study", false, "try all lathes of the long forms")

// randomBed returns a lathe as text, in a unit, whose bed ends wherever somebody's rule said: on 64ths or 128ths of an
// inch, in whole numbers, or with whatever decimals, in either unit; with the bed's ends as they are written, and two
// positions of work, mm.
func randomBed(r *rand.Rand, unit string) (text string, ends [2]float64, a, b float64) {
	mm := map[string]float64{"in": 25.4, "mm": 1}[unit]
	written := func(inches float64) float64 { // as it stands in the file
		switch r.IntN(5) {
		case 0:
			return float64(int(inches*64)) / 64 * 25.4 / mm
		case 1:
			return float64(int(inches*128)) / 128 * 25.4 / mm
		case 2:
			return float64(int(inches * 25.4 / mm))
		case 3:
			v, _ := strconv.ParseFloat(fmt.Sprintf("%.*f", r.IntN(8), inches*25.4/mm), 64)
			return v
		}
		return inches * 25.4 / mm
	}
	ends[0] = written(-10 + 12*r.Float64())
	ends[1] = ends[0] + written(12+60*r.Float64())
	long := ends[1] - ends[0]
	text = fmt.Sprintf("format = 1\nunit = %q\n[lathe]\ncentre_height = %v\nway_span = %v\nbed = [%v, %v]\n", unit,
		150/mm, 200/mm, ends[0], ends[1])
	if r.IntN(2) == 0 {
		text += "[lathe.front_way]\nouter_angle = 45\ninner_angle = 30\n"
	}
	text += fmt.Sprintf("[lathe.saddle]\nbearing_length = %v\n", []float64{0, long * (0.2 + r.Float64()/3)}[r.IntN(2)])
	if r.IntN(2) == 0 {
		text += "[lathe.tailstock]\n"
	}
	a, b = ends[0], ends[1]
	if r.IntN(3) > 0 { // otherwise the work lies along the whole bed
		a += long * r.Float64() / 2
	}
	if r.IntN(3) > 0 {
		b = a + (ends[1]-a)*(0.1+0.9*r.Float64())
	}
	return text, ends, a * mm, b * mm
}

// Whatever decimals the ends of the bed have, and whatever work is asked about, a survey that is proposed is one that
// can be written down: none of its positions, as they are written in its block, lies outside the bed as that is
// written, and the profile's own reader takes it.
func TestProposedStationsLieOnTheBed(t *testing.T) {
	lathes := 100
	switch {
	case *study:
		lathes = 200
	case testing.Short():
		lathes = 30
	}
	row := regexp.MustCompile(`(?m)^  \[([^\]]*), \],$|^(?:tightened_at|contacts) = \[?([^\]\n]*)\]?$`)
	r := rand.New(rand.NewPCG(64, 1))
	for _, unit := range []string{"in", "mm"} {
		for range lathes {
			text, ends, a, b := randomBed(r, unit)
			p := parsed(t, text)
			all, err := p.Candidates(nil, a, b, 25)
			if err != nil {
				t.Errorf("work from %v to %v mm: %v\n%s", a, b, err, text)
				continue
			}
			quick, err := p.Quick(nil, a, b, 25)
			if err != nil {
				t.Errorf("work from %v to %v mm, the quick ones: %v\n%s", a, b, err, text)
				continue
			}
			for _, c := range append(all, quick...) {
				found := row.FindAllStringSubmatch(c.Block, -1)
				if len(found) == 0 {
					t.Errorf("%s: no position in\n%s", c.Method, c.Block)
				}
				for _, f := range found {
					before := ends[0]
					for _, s := range strings.Split(f[1]+f[2], ", ") {
						z, err := strconv.ParseFloat(s, 64)
						if err != nil || z < ends[0] || z > ends[1] {
							t.Errorf("%s: %q lies outside the bed\n%s\n%s", c.Method, s, text, c.Block)
						}
						if z < before {
							t.Errorf("%s: %q does not ascend", c.Method, f[0])
						}
						before = z
					}
				}
				if _, err := Parse(nil, "filled.toml", []byte(text+filled(c.Block))); err != nil {
					t.Errorf("%s: %v\n%s", c.Method, err, text+filled(c.Block))
				}
			}
		}
	}
}
