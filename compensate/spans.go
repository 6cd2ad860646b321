package compensate

import "math"

// SpanPlace is a length where it could lie, and what it comes out like there with the tool set at its tailstock end.
// mm.
type SpanPlace struct {
	From, To float64
	Slope    float64 // of the least-squares line, on diameter, per mm
	Spread   float64
}

// Span is the most and the least that wear does to a length anywhere within its reach.
type Span struct {
	Length                  float64
	WorstTaper, BestTaper   SpanPlace // by the size of the slope
	WorstSpread, BestSpread SpanPlace
}

// Spans returns, for each length, the worst and the best place by taper and by spread; the placing's own length is not
// used. Errors as [Machine.Place].
func (m Machine) Spans(p PlaceOptions, lengths ...float64) ([]Span, error) {
	var t *track
	var out []Span
	for _, n := range lengths {
		p.Length = n
		s, err := m.slide(p, t)
		if err != nil {
			return nil, err
		}
		t = s.track
		worst, best := s.slopes()
		out = append(out, Span{n, s.spanned(worst), s.spanned(best), s.spanned(s.search(true).From),
			s.spanned(s.search(false).From)})
	}
	return out, nil
}

// spanned is what the length comes out like when it lies at a.
func (s *slidingLength) spanned(a float64) SpanPlace {
	at := s.place(a)
	fit := s.fit(at.From, at.To, s.setAt(at.To), false)
	return SpanPlace{at.From, at.To, fit.Line().Slope, at.Spread}
}

// slopes returns the starts of greatest and least slope in size, on the one curve with the tool set at the reach's end,
// from running moments. Where the slope changes sign between two starts the least is taken where a straight line
// between them passes zero.
func (s *slidingLength) slopes() (worst, best float64) {
	set := s.setAt(s.To)
	middle := (s.From + s.To) / 2
	parts := int(math.Round(s.Length / s.step))
	// of weight, z, d, z·z, z·d, up to each start and as far behind the last as the length goes
	sums := [][5]float64{{}}
	for a, k := s.From, 0; a < s.To-nearStart; k++ {
		b := math.Min(s.From+float64(k+1)*s.step, s.To)
		m := s.fit(a, b, set, true)
		z := m.z - middle
		next := [5]float64{m.weight, m.weight * z, m.weight * m.d, m.zz + m.weight*z*z, m.zd + m.weight*z*m.d}
		for i := range next {
			next[i] += sums[k][i]
		}
		sums = append(sums, next)
		a = b
	}
	greatest, least := math.Inf(-1), math.Inf(1)
	before := math.NaN()
	for j := 0; j+parts < len(sums); j++ {
		a := s.From + float64(j)*s.step
		if a+s.Length > s.To+nearStart {
			break
		}
		var d [5]float64
		for i := range d {
			d[i] = sums[j+parts][i] - sums[j][i]
		}
		slope := (d[0]*d[4] - d[1]*d[2]) / (d[0]*d[3] - d[1]*d[1])
		if math.Abs(slope) > greatest {
			greatest, worst = math.Abs(slope), a
		}
		if math.Abs(slope) < least {
			least, best = math.Abs(slope), a
		}
		if slope*before < 0 {
			least, best = 0, a-s.step*slope/(slope-before)
		}
		before = slope
	}
	if math.IsInf(greatest, -1) { // the reach is the length: one start only
		return s.From, s.From
	}
	return worst, best
}
