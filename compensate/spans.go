package compensate

import "math"

// Tapered is a length where it could lie, and what it comes out like there with the tool set at its tailstock end.
type Tapered struct {
	From, To float64 // mm
	Taper    Taper
}

// Span is the most and the least that wear does to a length anywhere within its reach.
type Span struct {
	Length                  float64
	WorstTaper, BestTaper   Tapered // by the size of the least-squares slope
	WorstSpread, BestSpread Tapered
}

// Span returns the worst and the best place of a length, by taper and by spread. Errors as [Machine.Place].
func (m Machine) Span(p Placing) (*Span, error) {
	s, err := m.slide(p)
	if err != nil {
		return nil, err
	}
	worst, best := s.slopes()
	out := &Span{Length: p.Length}
	for _, t := range []struct {
		to *Tapered
		at float64
	}{
		{&out.WorstTaper, worst}, {&out.BestTaper, best},
		{&out.WorstSpread, s.search(true).From}, {&out.BestSpread, s.search(false).From},
	} {
		c, err := m.placed(p, t.at)
		if err != nil {
			return nil, err
		}
		*t.to = Tapered{c.From, c.To, c.Taper()}
	}
	return out, nil
}

// slopes returns the starts of greatest and least slope in size, on the one curve, from running sums of the blocks'
// moments. Where the slope changes sign between two starts the least is taken where a straight line between them passes
// zero.
func (s *slide) slopes() (worst, best float64) {
	middle := (s.From + s.To) / 2
	sums := make([][5]float64, len(s.blocks)+1) // of weight, z, d, z·z, z·d
	for j, k := range s.blocks {
		m := k.moment
		z := m.z - middle
		sums[j+1] = [5]float64{m.weight, m.weight * z, m.weight * m.d, m.zz + m.weight*z*z, m.zd + m.weight*z*m.d}
		for i := range sums[j+1] {
			sums[j+1][i] += sums[j][i]
		}
	}
	parts := int(math.Round(s.Length / s.step))
	greatest, least := math.Inf(-1), math.Inf(1)
	before := math.NaN()
	for j := 0; j+parts <= len(s.blocks); j++ {
		a := s.blocks[j].from
		if a+s.Length > s.To+1e-9 {
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
