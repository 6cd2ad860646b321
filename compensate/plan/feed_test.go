package plan

import (
	"testing"

	"wornway/compensate"
	"wornway/compensate/setup"
	"wornway/compensate/work"
)

// A bed that is worn before the chuck leaves the headstock's end bigger: fed toward the headstock the dial goes in and
// in. One that is worn beyond the seat leaves the tailstock's end bigger: fed toward the headstock every setting would
// be a turn back that has to take out the backlash; fed toward the tailstock the dial goes in here too, and is set, as
// the seat is measured, where that cut begins.
func TestCorrectionsGoIn(t *testing.T) {
	for _, c := range []struct {
		at   float64
		feed compensate.Feed
	}{{60, compensate.TowardHeadstock}, {255, compensate.TowardTailstock}} {
		j := shaft(180, []work.Holding{work.Chuck}, work.Feature{Name: "seat", From: 30, To: 175, Diameter: 30,
			Tolerance: 0.04})
		j.Part.Cut = work.Finish{}
		l := lathe(t, 0.0005, hollow{0.08, c.at, 60})
		l.Overhang = 10
		found := false
		for _, p := range search(t, Question{Measuring: 0.002, Lathes: []setup.Lathe{l}, Job: j}).Plans {
			o := p.Features[0]
			if o.Correction == nil {
				continue
			}
			found = true
			if o.Feed != c.feed || o.SetAt != o.Start() || o.End() == o.Start() {
				t.Errorf("worn at %v: feed %v from %v to %v, set at %v", c.at, o.Feed, o.Start(), o.End(), o.SetAt)
			}
			for _, m := range o.Correction.Moves {
				if m.Change < 0 || m.TakeUp {
					t.Errorf("worn at %v: %+v", c.at, m)
				}
			}
		}
		if !found {
			t.Errorf("worn at %v: nothing is corrected", c.at)
		}
	}
}
