package survey

import (
	"math"
	"slices"

	"wornway/profile/bar"
)

// Cut is a test cut as it was written, lengths in mm; NaN: not given.
type Cut struct {
	Positions, Diameters []float64
	Held                 bar.Holding
	HeldAt               float64 // where the jaws' front, or the headstock's centre, stood
	CentreAt             float64 // where the tailstock's centre stood
	Depth, Feed          float64
}

// Range is where its first collar lies and its last.
func (c Cut) Range() (first, last float64) { return slices.Min(c.Positions), slices.Max(c.Positions) }

// Bar returns what was turned, as it was held; of what was not given the usual is taken.
func (c Cut) Bar() bar.Bar {
	first, last := c.Range()
	sum := 0.0
	for _, d := range c.Diameters {
		sum += d
	}
	return bar.Around(c.Held, c.HeldAt, c.CentreAt, first, last, sum/float64(len(c.Diameters)))
}

// cut reads what a test cut says besides its rows.
func (k *Keys) cut() Cut {
	length := func(key string) float64 { return k.Length(key, math.NaN()) }
	return Cut{Held: k.Held(bar.All()...), HeldAt: length("held_at"), CentreAt: length("centre_at"),
		Depth: length("depth"), Feed: length("feed")}
}

// Cut returns a test cut as it was written, and false for a survey of another method.
func (s Set) Cut() (Cut, bool) {
	if s.reading == nil || s.Method.Name != testCut().Name {
		return Cut{}, false
	}
	k := s.reading.keys // a copy: the choices are not made once more
	c := k.cut()
	diameter := k.Column("diameter")
	for _, r := range k.rows {
		c.Positions = append(c.Positions, k.position(r))
		c.Diameters = append(c.Diameters, r.Numbers[diameter]*k.scale)
	}
	return c, true
}

// OpenTerm is one of a survey's terms with its weight in each reading.
type OpenTerm struct {
	Term
	Of []float64
}

// Open returns what the survey leaves open besides its zero.
func (s Set) Open() []OpenTerm {
	var out []OpenTerm
	for i, t := range s.Terms {
		if t.Name == ZeroName {
			continue
		}
		o := OpenTerm{t, make([]float64, len(s.Equations))}
		for k, e := range s.Equations {
			for _, share := range e.Shares {
				if share.Term == i {
					o.Of[k] += share.Factor
				}
			}
		}
		out = append(out, o)
	}
	return out
}

// StatesUncertainty says whether the survey says itself how sure a reading is, and how sure, mm or radians, it counts.
func (s Set) StatesUncertainty() (u float64, stated bool) {
	if s.reading == nil {
		return 0, false
	}
	return s.reading.keys.u, s.reading.keys.Table.Has("uncertainty")
}

// Two surveys hold the same readings where they differ by less than this: what rounding into another unit makes of
// them.
const (
	sameReading  = 0.1  // of a reading's uncertainty
	samePosition = 0.02 // mm
)

// Same says whether two surveys are the same readings, by the same method and choices, whatever the unit they are
// written in and the order of their rows.
func (s Set) Same(o Set) bool {
	if s.reading == nil || o.reading == nil || s.Method.Name != o.Method.Name || s.Rows != o.Rows {
		return false
	}
	a, b := &s.reading.keys, &o.reading.keys
	if len(a.rows) != len(b.rows) || len(a.Columns) != len(b.Columns) || len(a.offers) != len(b.offers) {
		return false
	}
	for _, x := range a.offers {
		if !slices.ContainsFunc(b.offers, func(y choice) bool { return x.key == y.key && x.chosen == y.chosen }) {
			return false
		}
	}
	to := make([]int, len(a.Columns))
	for i, c := range a.Columns {
		if to[i] = b.Column(c); to[i] < 0 {
			return false
		}
	}
	taken := make([]bool, len(b.rows))
	for _, x := range a.rows {
		i := slices.IndexFunc(b.rows, func(y Row) bool { return sameRow(a, b, x, y, to) })
		for i >= 0 && taken[i] {
			next := slices.IndexFunc(b.rows[i+1:], func(y Row) bool { return sameRow(a, b, x, y, to) })
			if next < 0 {
				return false
			}
			i += 1 + next
		}
		if i < 0 {
			return false
		}
		taken[i] = true
	}
	return true
}

// sameRow compares two rows; to says where the first one's columns are in the second.
func sameRow(a, b *Keys, x, y Row, to []int) bool {
	for i, name := range a.Columns {
		v, w, within := x.Numbers[i], y.Numbers[to[i]], sameReading*math.Max(a.u, b.u)
		switch name {
		case "position", "from", "to":
			v, w, within = a.Unit.ToMM(v), b.Unit.ToMM(w), samePosition
		case "feel":
			within = 0
		case "front", "rear", "shift", "outer", "inner":
			v, w = a.Unit.ToMM(v), b.Unit.ToMM(w)
		default:
			v, w = v*a.scale, w*b.scale
		}
		if math.IsNaN(v) != math.IsNaN(w) || math.Abs(v-w) > within {
			return false
		}
		if len(x.Words) > i && len(y.Words) > to[i] && math.IsNaN(v) && x.Words[i] != y.Words[to[i]] {
			return false
		}
	}
	return true
}
