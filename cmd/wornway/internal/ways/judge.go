package ways

import (
	"errors"
	"math"
	"sync"

	"wornway/cmd/wornway/internal/shop"
	"wornway/compensate"
	"wornway/compensate/work"
)

// Judged is what the lathe does to one length: what the spread keeps within, mm on diameter. NaN where it cannot be
// said.
type Judged struct {
	Length                   float64
	Anywhere, Best, bestFrom float64 // as it stands: at the worst place and at the best
	Corrected, BestCorrected float64 // with the cross slide's dial
	reground                 float64 // with the ways straight again: what the spindle's lean leaves
}

// Judge works out what each usual length comes out within.
func Judge(l *shop.Bench) ([]Judged, error) {
	from, to := l.Reach()
	reground, err := l.Machine.Reground()
	if err != nil {
		return nil, err
	}
	var out []Judged
	for _, n := range shop.UsualLengths(l.In) {
		if n > to-from {
			continue
		}
		v := Judged{Length: n, Anywhere: math.Inf(-1), Best: math.Inf(1), Corrected: math.Inf(-1),
			BestCorrected: math.Inf(1), reground: math.NaN()}
		starts, err := starts(l, n, from, to)
		if err != nil {
			return nil, err
		}
		stands, corrected, err := allWithin(l, n, starts)
		if err != nil {
			return nil, err
		}
		for i, a := range starts {
			if stands[i] < v.Best {
				v.Best, v.bestFrom = stands[i], a
			}
			v.Anywhere, v.Corrected, v.BestCorrected = math.Max(v.Anywhere, stands[i]),
				math.Max(v.Corrected, corrected[i]), math.Min(v.BestCorrected, corrected[i])
		}
		if l.LeanKnown() {
			if v.reground, err = SpreadWithin(l, reground, judgedCut(l, from, n)); err != nil {
				return nil, err
			}
		}
		out = append(out, v)
	}
	return out, nil
}

// judgedCut is a length as it is judged: the tool is set at its tailstock end.
func judgedCut(l *shop.Bench, from, n float64) compensate.Cut {
	return compensate.Cut{Feature: work.Feature{From: from, To: from + n, Diameter: shop.UsualDiameter(l.In)},
		SetAt: from + n}
}

// starts returns where a length is tried, mm: where the computed spread is greatest and least, and where the wear has a
// ± at places all along the reach, as one where nothing was read may look even and be the worst.
func starts(l *shop.Bench, n, from, to float64) ([]float64, error) {
	s, err := l.Machine.Spans(compensate.Placing{Work: work.Feature{Diameter: shop.UsualDiameter(l.In)}, From: from,
		To: to}, n)
	if err != nil {
		return nil, l.Explain(err)
	}
	out := []float64{s[0].WorstSpread.From, s[0].BestSpread.From}
	if !l.Machine.Wear.Stated() {
		return out, nil
	}
	const places = 20
	for i := range places + 1 {
		out = append(out, math.Min(from+(to-from-n)*float64(i)/places, to-n))
	}
	return out, nil
}

// allWithin finds what a length keeps within at each start, two at a time.
func allWithin(l *shop.Bench, n float64, starts []float64) (stands, corrected []float64, err error) {
	stands, corrected = make([]float64, len(starts)), make([]float64, len(starts))
	errs := make([]error, len(starts))
	var wait sync.WaitGroup
	const two = 2
	for first := range two {
		wait.Go(func() {
			for i := first; i < len(starts); i += two {
				stands[i], corrected[i], errs[i] = Within(l, judgedCut(l, starts[i], n))
			}
		})
	}
	wait.Wait()
	return stands, corrected, errors.Join(errs...)
}

// SpreadWithin finds what a cut's spread keeps within on a machine: the upper end of the interval that holds it with 95
// % probability, or where the wear has no ± what was computed.
func SpreadWithin(l *shop.Bench, m compensate.Machine, cut compensate.Cut) (float64, error) {
	curve, err := m.Curve(cut)
	if err != nil {
		return 0, l.Explain(err)
	}
	spread := curve.Spread()
	if s, ok := curve.Sample(curve.Spaced(), 0); ok {
		spread = math.Max(spread, s.Spread[1])
	}
	return spread, nil
}

// Within finds it as the machine stands, and with the cross slide's dial turned as correct would have it; NaN where
// there is no dial.
func Within(l *shop.Bench, cut compensate.Cut) (stands, corrected float64, err error) {
	if stands, err = SpreadWithin(l, l.Machine, cut); err != nil {
		return 0, 0, err
	}
	slide := l.Lathe.CrossSlide
	if slide == nil {
		return stands, math.NaN(), nil
	}
	dial := compensate.Dial{Diameter: slide.Diameter, Division: slide.Division, Finest: slide.Finest,
		Backlash: slide.Backlash}
	k, err := l.Machine.Correct(cut, compensate.Correcting{Dial: dial, SetAtStart: true,
		Every: []float64{cut.From, cut.To}, Round: l.RoundSteps()})
	if err != nil {
		return 0, 0, l.Explain(err)
	}
	corrected = k.MovesSpread
	if s, ok := k.Curve.Sample(k.MovesAt(dial.Step()), 0); ok {
		corrected = math.Max(corrected, s.Spread[1])
	}
	return stands, math.Min(corrected, stands), nil // nobody has to turn the dial
}
