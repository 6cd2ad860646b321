package shop

import (
	"math"

	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/survey"
)

// Of the stations that are offered there are at most so many, enough for the estimate and few enough for an afternoon.
const MostStations = 25

// Spread is what stations are spread by.
type Spread struct {
	profile  *profile.Profile
	Method   survey.Method
	Contacts [2]float64 // of an edge, mm; both 0 where there is none
	Jaws     float64    // where the jaws stand, mm; NaN: not known
	Diameter float64    // of a test cut's bar, mm
}

// NewSpread is that of a survey of which nothing is known yet but its method; the jaws stand where the profile has
// them.
func NewSpread(p *profile.Profile, m survey.Method) Spread {
	s := Spread{profile: p, Method: m, Jaws: math.NaN(), Diameter: BarFor(p)}
	if h := p.Lathe.Holding; h != nil {
		s.Jaws = h.JawsFront
	}
	return s
}

// Edge says whether stations lie under an edge, between its contacts.
func (s Spread) Edge() bool { return s.Contacts[0] < s.Contacts[1] }

// Reach is the stretch over which stations are spread where nobody says otherwise, and their distance, mm.
func (s Spread) Reach() (from, to, step float64) {
	l, unit := s.profile.Lathe, s.profile.Unit
	from, to = math.Max(0, l.Ways.From), l.Ways.To
	carried := func(length, offset float64) {
		from, to = math.Max(from, l.Ways.From+length/2+offset), math.Min(to, l.Ways.To-length/2+offset)
	}
	const bar = 300  // mm: a usual test bar
	const stands = 3 // diameters out of the chuck: usual for stock that nothing supports
	most := MostStations
	switch s.Method.Name {
	case "carriage-indicator", "saddle-level", "saddle-rock", "carriage-lock":
		carried(l.Bed.Saddle.BearingLength, l.Bed.Saddle.ToolOffset)
	case "bar-side", "bar-top":
		carried(l.Bed.Saddle.BearingLength, l.Bed.Saddle.ToolOffset)
		to, most = math.Min(to, from+bar), 12
	case "test-cut":
		carried(l.Bed.Saddle.BearingLength, l.Bed.Saddle.ToolOffset)
		if !math.IsNaN(s.Jaws) {
			from = math.Max(from, s.Jaws)
		}
		to, most = math.Min(to, from+stands*s.Diameter), 6
	case "tailstock-indicator":
		if t := l.Tailstock; t != nil {
			carried(t.BaseLength, 0)
		}
	case "straightedge", "light-gap":
		if s.Edge() {
			return s.Contacts[0], s.Contacts[1], compensate.RoundStep(s.Contacts[1]-s.Contacts[0], unit.MM(), 12)
		}
	case "level-along":
		most = 10 // the level's feet: a long level bridges much
	case "stated":
		from = l.Ways.From
	}
	if !(from < to) {
		from, to = l.Ways.From, l.Ways.To
	}
	return from, to, compensate.RoundStep(to-from, unit.MM(), most)
}

// Stations returns the stations that are offered, in the file's unit.
func (s Spread) Stations() []float64 {
	from, to, step := s.Reach()
	var at []float64
	jaws := s.Method.Name == "test-cut"
	for i := math.Ceil(from/step - 1e-9); i*step <= to+1e-9*step; i++ {
		if z := i * step; jaws && z <= from {
			continue // no collar is turned in the jaws
		} else if !s.Edge() || z > from+step/10 && z < to-step/10 {
			// under an edge there is a gap only between its contacts
			at = append(at, Tidy(s.profile.Unit.From(z)))
		}
	}
	return at
}

// Tidy takes away what calculating in another unit leaves behind, and nothing that would take an end of the bed off it.
func Tidy(z float64) float64 { return math.Round(z*1e9) / 1e9 }
