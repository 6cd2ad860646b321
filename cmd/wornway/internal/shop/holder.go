package shop

import (
	"errors"
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/compensate"
	"wornway/compensate/setup"
	"wornway/compensate/work"
	"wornway/profile"
)

// CompoundAngle is what a compound is turned to, from the bed's axis, so that its slide takes a tenth of its own way
// off the radius, radians.
var CompoundAngle = math.Asin(0.1)

// dial returns a slide's dial, the slide turned by an angle from the bed's axis; 0 for the cross slide.
func DialOf(s *profile.Slide, angle float64) compensate.Dial {
	return compensate.Dial{Diameter: s.Diameter, Division: s.Division, Finest: s.Finest, Backlash: s.Backlash,
		Angle: angle}
}

// Holder returns what holding work needs to know of the lathe.
func (l *Bench) Holder() (setup.Lathe, error) {
	if l.Lathe.Holding == nil {
		return setup.Lathe{}, refuse.With(l.File+
			": there is no [lathe.holding], so nothing is known of how work is held",
			"add [lathe.holding] with jaws_front, where the front of the chuck's jaws lies; wornway new shows the "+
				"other keys")
	}
	return l.holder(*l.Lathe.Holding), nil
}

// Anyhow is the holder of a lathe that may say nothing of how it holds work: then a chuck's jaws are taken to begin at
// the nose, and the tailstock to reach anywhere.
func (l *Bench) Anyhow() setup.Lathe {
	if h := l.Lathe.Holding; h != nil {
		return l.holder(*h)
	}
	return l.holder(profile.Workholding{JawsDepth: math.Inf(1), HeadstockCentre: math.NaN(),
		LongestOverhang: profile.UsualOverhang, TailstockTravel: profile.Range{From: math.Inf(-1), To: math.Inf(1)}})
}

// Tailstock is where the point of the tailstock's centre can stand. Where the file does not say (base > 0) its base, of
// that length, is taken to lie wholly on the bed.
func (l *Bench) Tailstock() (travel profile.Range, base float64) {
	if h := l.Lathe.Holding; h != nil && h.TravelStated {
		return h.TailstockTravel, 0
	}
	base = l.Machine.Lathe.Span
	if t := l.Lathe.Tailstock; t != nil {
		base = t.BaseLength
	}
	return profile.Range{From: l.Lathe.Ways.From, To: l.Lathe.Ways.To - base}, base
}

// Hold puts one length on the lathe.
func (l *Bench) Hold(c compensate.Cut, way work.Holding) (setup.Bar, error) {
	b, err := l.Anyhow().Bar(c, way)
	var cannot setup.Refusal
	if errors.As(err, &cannot) {
		return b, refuse.With(fmt.Sprintf("held %s: %s", way.Words(), cannot.Words(l.At)),
			"give another --held, or turn the length elsewhere; [lathe.holding] says what the lathe has: jaws_front "+
				"for the chuck, headstock_centre for centres")
	}
	return b, err
}

func (l *Bench) holder(h profile.Workholding) setup.Lathe {
	out := setup.Lathe{
		Name: l.Lathe.Name, Machine: l.Machine,
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
		out.Dials = append(out.Dials, setup.Dial{Dial: DialOf(s, 0)})
	}
	if s := l.Lathe.Compound; s != nil {
		out.Dials = append(out.Dials, setup.Dial{Dial: DialOf(s, CompoundAngle), Compound: true})
	}
	return out
}
