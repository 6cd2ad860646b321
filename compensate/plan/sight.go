package plan

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"

	"wornway/compensate"
	"wornway/compensate/setup"
	"wornway/compensate/work"
)

// sight is what the features come out like in one set-up, in closed form: the first pass's view.
type sight struct {
	held   *setup.Mounting
	shown  []bool // which can be turned, by their number in the job
	inHere []view // each measured at itself
	byDial []view // each set by the dial from the first one
	// by [correctionKey]: what was found to be dialled along features
	corrections sync.Map
	first       int // the one nearest to the tailstock, from which the dial goes on
}

// view is the error of one feature against that where it was set: least and greatest, that of the headstock's end less
// that of the tailstock's, and the greatest standard uncertainty. All mm.
type view struct{ least, greatest, ends, u float64 }

// looked is how many places of a feature the first pass looks at.
const looked = 7

// see looks at a part as it is held.
func see(h *setup.Mounting) (*sight, error) {
	n := len(h.Features)
	s := &sight{held: h, shown: make([]bool, n), inHere: make([]view, n), byDial: make([]view, n), first: -1}
	for i, f := range h.Features {
		s.shown[i] = f.Hidden == ""
		if s.shown[i] && f.Asked() && (s.first < 0 || f.To > h.Features[s.first].To) {
			s.first = i
		}
	}
	for i, f := range h.Features {
		if !s.shown[i] || !f.Asked() {
			continue
		}
		var err error
		if s.inHere[i], err = viewed(h, i, f.To); err != nil {
			return nil, err
		}
		s.byDial[i] = s.inHere[i]
		if i != s.first {
			if s.byDial[i], err = viewed(h, i, h.Features[s.first].To); err != nil {
				return nil, err
			}
		}
	}
	return s, nil
}

func viewed(h *setup.Mounting, feature int, setAt float64) (view, error) {
	c, err := h.Curve(feature, setAt)
	if err != nil {
		return view{}, err
	}
	j := compensate.NewJoint(c.Wear)
	j.Add(c, evenly(c.From, c.To, looked))
	v := view{least: math.Inf(1), greatest: math.Inf(-1)}
	for k, e := range j.Mean() {
		v.least, v.greatest = math.Min(v.least, e), math.Max(v.greatest, e)
		if u, stated := j.Uncertainty(k); stated {
			v.u = math.Max(v.u, u)
		}
	}
	v.ends = j.Mean()[0] - j.Mean()[looked-1]
	return v, nil
}

// evenly returns so many places from end to end, nothing being dialled there.
func evenly(from, to float64, n int) []compensate.Spot {
	at := make([]compensate.Spot, n)
	for i := range at {
		at[i].Position = from + (to-from)*float64(i)/float64(n-1)
	}
	return at
}

// manner is how features are brought to size in one set-up.
type manner struct {
	dial      *setup.Dial
	corrected bool
	sizing    work.Sizing // where the job leaves it open
}

// sized returns how a feature is sized.
func (m manner) sized(f work.Feature) work.Sizing {
	if f.Sized != "" {
		return f.Sized
	}
	return m.sizing
}

// setting returns what the dial leaves open on diameter: the full width of the finest setting, mm.
func (m manner) setting() float64 {
	if m.dial == nil {
		return 0
	}
	return m.dial.Limit()
}

// allow returns by how much a corrected feature's diameter strays to either side, about, mm: what the finest setting
// makes of it, or a quarter of what the feature allows where that is less, but never less than the dial can hold.
func (m manner) allow(f work.Feature) float64 {
	const holdable = 0.51 // of the finest setting: half of it, and a little for rounding
	return math.Min(m.setting(), math.Max(holdable*m.setting(), allowed(f)/4))
}

// score returns how probable it is, about, that a feature is held.
func (s *sight) score(i int, f work.Feature, m manner, measuring float64) float64 {
	if !s.shown[i] {
		return 0
	}
	v := s.inHere[i]
	byDial := m.sized(f) == work.Once && i != s.first
	if byDial {
		v = s.byDial[i]
	}
	half := (v.greatest - v.least) / 2
	ends := math.Abs(v.ends)
	if m.corrected {
		half, ends = math.Min(half, m.allow(f)), math.Min(ends, 2*m.allow(f))
	}
	p := 1.0
	if f.Size != nil {
		u := math.Hypot(v.u, setU(measuring, m.setting(), byDial))
		p *= kept((f.Size.Upper-f.Size.Lower)/2-half, u)
	}
	if f.Tolerance > 0 {
		p *= kept(f.Tolerance/2-half, v.u)
	}
	if f.Taper > 0 {
		p *= kept(f.Taper-ends, v.u)
	}
	return p
}

// kept returns about how probable it is that something stays within limits from either of which it is a margin away. It
// falls without end, so that hopeless ways are told apart too.
func kept(margin, u float64) float64 {
	const least = 1e-5 // mm: nothing is surer than that
	p := distuv.UnitNormal.CDF(margin / math.Max(u, least))
	return math.Max(p*p, math.Exp(-30+math.Min(0, margin)))
}
