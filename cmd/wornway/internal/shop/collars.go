package shop

import (
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/collars"
	"wornway/profile/estimate"
)

// NewCollars makes a bench of collars alone; p says no more of the lathe than its name and the stretch. It is for work
// like the bar until [Bench.For] says otherwise.
func NewCollars(p *profile.Profile, c *collars.Estimate) (*Bench, error) {
	l := &Bench{Profile: p, Collars: c, Units: word.Units{In: p.Unit}}
	return l, l.takeCollars(true)
}

// For takes the curve that holds for a feature, where it depends on the work: collars hold for a bar, what it gave way
// counted in.
func (l *Bench) For(f work.Feature) error {
	if l.Collars == nil {
		return nil
	}
	return l.takeCollars(l.Collars.Like(f.Diameter, f.To, f.Bore))
}

func (l *Bench) takeCollars(like bool) error {
	w, err := l.Collars.Wear(like)
	if err != nil {
		return refuse.With(l.File+": "+err.Error(), "look for a slip in positions and diameters")
	}
	l.LikeBar = like
	l.Estimate = &estimate.Result{Wear: w}
	l.Machine = compensate.Machine{Lathe: l.Lathe.Bed, Wear: w}
	return nil
}
