package compensate

import (
	"errors"
	"math"

	"wornway/compensate/work"
	"wornway/profile/abreast"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// Capability is what a lathe does to one length: what the spread keeps within, mm on diameter. NaN where it cannot be
// said.
type Capability struct {
	Length                   float64
	Anywhere, Best, BestFrom float64 // as it stands: at the worst place and at the best, and where that begins
	Corrected, BestCorrected float64 // with the cross slide's dial
	Reground                 float64 // with the ways straight again: what the spindle's lean leaves
}

// Trial is what lengths a lathe is tried with, and where. Lengths mm.
type Trial struct {
	Lengths  []float64
	Diameter float64
	From, To float64 // where work can lie
	Dial     *Dial   // of the cross slide; nil: there is none
	Round    float64 // step of a rule along the bed; 0: none
}

// Capabilities works out what each length of a trial that the stretch has room for comes out within. The tool is set at
// the length's tailstock end.
//
// Each length is tried where its computed spread is greatest and least, and, where the wear has a ±, at places all
// along the stretch, as one where nothing was read may look even and be the worst.
func (m Machine) Capabilities(t Trial) ([]Capability, error) {
	reground, err := m.Reground()
	if err != nil {
		return nil, err
	}
	var out []Capability
	for _, n := range t.Lengths {
		if n > t.To-t.From {
			continue
		}
		v := Capability{Length: n, Anywhere: math.Inf(-1), Best: math.Inf(1), Corrected: math.Inf(-1),
			BestCorrected: math.Inf(1), Reground: math.NaN()}
		starts, err := m.tried(t, n)
		if err != nil {
			return nil, err
		}
		stands, corrected, err := m.allKept(t, n, starts)
		if err != nil {
			return nil, err
		}
		for i, a := range starts {
			if stands[i] < v.Best {
				v.Best, v.BestFrom = stands[i], a
			}
			v.Anywhere, v.Corrected, v.BestCorrected = math.Max(v.Anywhere, stands[i]),
				math.Max(v.Corrected, corrected[i]), math.Min(v.BestCorrected, corrected[i])
		}
		if m.leanKnown() {
			if v.Reground, err = reground.Kept(t.cut(t.From, n)); err != nil {
				return nil, err
			}
		}
		out = append(out, v)
	}
	return out, nil
}

func (t Trial) cut(from, n float64) Cut {
	return Cut{Feature: work.Feature{From: from, To: from + n, Diameter: t.Diameter}, SetAt: from + n}
}

// tried returns where a length is tried, mm.
func (m Machine) tried(t Trial, n float64) ([]float64, error) {
	s, err := m.Spans(PlaceOptions{Work: work.Feature{Diameter: t.Diameter}, From: t.From, To: t.To}, n)
	if err != nil {
		return nil, err
	}
	out := []float64{s[0].WorstSpread.From, s[0].BestSpread.From}
	if !m.Wear.Stated() {
		return out, nil
	}
	const places = 20
	for i := range places + 1 {
		out = append(out, math.Min(t.From+(t.To-t.From-n)*float64(i)/places, t.To-n))
	}
	return out, nil
}

// allKept finds what a length keeps within at each start, two at a time.
func (m Machine) allKept(t Trial, n float64, starts []float64) (stands, corrected []float64, err error) {
	stands, corrected = make([]float64, len(starts)), make([]float64, len(starts))
	errs := make([]error, len(starts))
	abreast.Do(len(starts), func(i int) {
		stands[i], corrected[i], errs[i] = m.KeptByDial(t.cut(starts[i], n), t.Dial, t.Round)
	})
	return stands, corrected, errors.Join(errs...)
}

// Kept returns what a cut's spread keeps within, mm, as [Rung.Limit] does with nothing dialled.
func (m Machine) Kept(cut Cut) (float64, error) {
	curve, err := m.Curve(cut)
	if err != nil {
		return 0, err
	}
	r := Rung{Spread: curve.Spread()}
	var s Prospect
	s, r.Stated = curve.Sample(curve.Spaced(), 0)
	r.Promise = s.Promise
	return r.Limit(), nil
}

// KeptByDial returns it as the machine stands, and with a dial turned as [Machine.Correct] would have it; NaN where
// there is none.
func (m Machine) KeptByDial(cut Cut, dial *Dial, round float64) (stands, corrected float64, err error) {
	if dial == nil {
		stands, err = m.Kept(cut)
		return stands, math.NaN(), err
	}
	k, err := m.byDial(cut, *dial, round)
	if err != nil {
		return 0, 0, err
	}
	return k.Ladder[0].Limit(), k.Ladder[k.Chosen].Limit(), nil
}

// byDial is how [Machine.Correct] would have a dial turned, the cut set where it starts.
func (m Machine) byDial(cut Cut, dial Dial, round float64) (*Correction, error) {
	return m.Correct(cut, CorrectOptions{Dial: dial, SetAtStart: true, Round: round})
}

// Sureness is how sure a cut is to keep within its tolerance.
type Sureness struct {
	Probability float64 // that its spread does, as the machine stands or by the dial, whichever is surer
	Spread      float64 // that was computed so, mm: where it is greater than the tolerance, no reading mends that
}

// Sure returns it; false where the wear has no ±. The dial may be nil.
func (m Machine) Sure(cut Cut, dial *Dial, round float64) (Sureness, bool, error) {
	curve, err := m.Curve(cut)
	if err != nil {
		return Sureness{}, false, err
	}
	out := Sureness{Spread: curve.Spread()}
	s, stated := curve.Sample(curve.Spaced(), cut.Tolerance)
	out.Probability = s.Within
	if dial == nil || !stated {
		return out, stated, nil
	}
	k, err := m.byDial(cut, *dial, round)
	if err != nil {
		return out, stated, err
	}
	if s, _ := k.Curve.Sample(k.MovesAt(dial.Step()), cut.Tolerance); s.Within > out.Probability {
		out = Sureness{s.Within, k.MovesSpread}
	}
	return out, stated, nil
}

// leanKnown says whether anything is known of how far the spindle leans: a number, or how far it may be off.
func (m Machine) leanKnown() bool {
	return m.LeanU() > 0 || m.Wear.Scalar(bed.LeanOut) != 0 || m.Wear.Scalar(bed.LeanUp) != 0
}

// LeanU is the standard uncertainty of the spindle's lean outwards, radians; 0 where nothing is known of it.
func (m Machine) LeanU() float64 {
	var w wear.Weights
	m.Wear.Weigh(&w, bed.Of(bed.LeanOut), 1, 1)
	u, _ := m.Wear.Uncertainty(&w)
	return u
}

// UsualLean is what a spindle out by 0.02 mm over 300 mm puts on the diameter over a length, mm: what lathes of normal
// accuracy are allowed, by the textbook that condition.go names.
func UsualLean(span float64) float64 { return 2 * span * 0.02 / 300 }
