package main

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"wornway/cmd/wornway/internal/ask"
	"wornway/cmd/wornway/internal/blank"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// Whatever decimals the ends of the bed have, the stations that record offers and that blank prints lie on it, and so
// do those from one end to the other at a distance; and both ends are taken as stations where somebody writes them as
// they stand in the file.
func TestSpreadStationsLieOnTheBed(t *testing.T) {
	alongside(t)
	lathes := 200
	if testing.Short() {
		lathes = 40
	}
	r := rand.New(rand.NewPCG(64, 2))
	for _, unit := range []length.Unit{length.Inch, length.Millimetre} {
		for range lathes {
			inch := unit.From(25.4)
			written := func(inches float64) float64 { // 128ths of an inch, or whatever decimals
				if r.IntN(2) == 0 {
					return float64(int(inches*128)) / 128 * inch
				}
				return inches * inch
			}
			a := written(-10 + 12*r.Float64())
			b := a + written(12+60*r.Float64())
			text := fmt.Sprintf("format = 1\nunit = %q\n[lathe]\ncentre_height = %v\nway_span = %v\nbed = [%v, %v]\n"+
				"[lathe.saddle]\nbearing_length = %v\n[lathe.tailstock]\n", unit.String(), 6*inch, 8*inch, a, b, 7*inch)
			p, err := profile.Parse(nil, "odd.toml", []byte(text))
			if err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
			for _, m := range survey.Methods() {
				on := &ask.Recording{Profile: p, Method: m, Units: word.Units{In: unit}}
				s := shop.NewSpread(p, m)
				if m.Name == "straightedge" || m.Name == "light-gap" {
					s.Contacts = [2]float64{p.Lathe.Ways.From, p.Lathe.Ways.To}
				}
				spread := s.Stations()
				if _, err := on.OnBed(spread); err != nil {
					t.Errorf("%s: offered %v: %v\n%s", m.Name, spread, err, text)
				}
				for _, row := range blank.Stations(s) {
					for _, z := range row {
						if z < a-1e-8*inch || z > b+1e-8*inch {
							t.Errorf("%s: %v on the sheet, bed %v to %v", m.Name, z, a, b)
						}
					}
				}
				long := p.Lathe.Ways.To - p.Lathe.Ways.From
				for _, step := range []float64{long / 4, long / 7.3} {
					if _, err := on.Stepped(p.Lathe.Ways.From, p.Lathe.Ways.To, step); err != nil {
						t.Errorf("%s: every %v mm: %v\n%s", m.Name, step, err, text)
					}
				}
				if _, err := on.Listed(fmt.Sprintf("%v,%v", a, b)); err != nil {
					t.Errorf("%s: from end to end: %v\n%s", m.Name, err, text)
				}
			}
		}
	}
}
