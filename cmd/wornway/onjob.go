package main

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/compensate"
	"wornway/compensate/setup"
	"wornway/profile"
)

// compoundAngle is what a compound is turned to, from the bed's axis, so that its slide takes a tenth of its own way
// off the radius, radians.
var compoundAngle = math.Asin(0.1)

// dial returns a slide's dial, the slide turned by an angle from the bed's axis; 0 for the cross slide.
func dialOf(s *profile.Slide, angle float64) compensate.Dial {
	return compensate.Dial{Diameter: s.Diameter, Division: s.Division, Finest: s.Finest, Backlash: s.Backlash,
		Angle: angle}
}

// holding returns what holding work needs to know of the lathe.
func (l *lathe) holding() (setup.Lathe, error) {
	h := l.Lathe.Holding
	if h == nil {
		return setup.Lathe{}, refuse.With(l.File+
			": there is no [lathe.holding], so nothing is known of how work is held",
			"add [lathe.holding] with jaws_front, where the front of the chuck's jaws lies; wornway new shows the "+
				"other keys")
	}
	out := setup.Lathe{
		Name: l.Lathe.Name, Machine: l.machine,
		JawsFront: h.JawsFront, JawsDepth: h.JawsDepth, Turning: h.ChuckTurning, Headstock: h.HeadstockCentre,
		Overhang: h.LongestOverhang, Travel: [2]float64{h.TailstockTravel.From, h.TailstockTravel.To},
		SetOver: h.GreatestSetOver, Steady: h.Steady,
	}
	if out.Name == "" {
		out.Name = l.File
	}
	if t := l.Lathe.Tailstock; t != nil {
		out.Tail = &setup.Tailstock{Offset: t.CentreOffset, AlignedAt: t.AlignedAt}
		out.Tail.Base.FrontSetback, out.Tail.Base.RearSetback, out.Tail.Base.Length = t.FrontSetback, t.RearSetback,
			t.BaseLength
	}
	if s := l.Lathe.CrossSlide; s != nil {
		out.Dials = append(out.Dials, setup.Dial{Dial: dialOf(s, 0)})
	}
	if s := l.Lathe.Compound; s != nil {
		out.Dials = append(out.Dials, setup.Dial{Dial: dialOf(s, compoundAngle), Compound: true})
	}
	return out, nil
}

// holdingWords say what is taken for granted of how work is held.
func (l *lathe) holdingWords(tailed, gripped bool) []string {
	var out []string
	h := l.Lathe.Holding
	if gripped && h.ChuckTurning == 0 {
		out = append(out, "The chuck is taken not to give: chuck_pull, chuck_gave and chuck_pulled_at in "+
			"[lathe.holding] say how much it does.")
	}
	if tailed {
		switch t := l.Lathe.Tailstock; {
		case t == nil || math.IsNaN(t.AlignedAt):
			out = append(out, "The tailstock's centre is taken to stand where it was aligned: aligned_at in "+
				"[lathe.tailstock] says where that was.")
		default:
			out = append(out, fmt.Sprintf("The tailstock's centre was aligned at %s, parallel to the unworn bed; its "+
				"base bears on the two ends of its own worn ways.", l.At(t.AlignedAt)))
		}
		out = append(out, fmt.Sprintf("Aligning and setting over are taken to be sure to %s each, at k = 2 (common "+
			"practice, no source).", l.PlusMinus(setup.AlignedU, true)))
	}
	return out
}
