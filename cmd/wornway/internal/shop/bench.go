package shop

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/setup"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/collars"
	"wornway/profile/document"
	"wornway/profile/estimate"
	"wornway/profile/length"
	"wornway/profile/wear"
)

// OtherHeight puts another centre height, mm, in place of the file's, and with it what there is to say of its
// plausibility.
func OtherHeight(p *profile.Profile, h float64) {
	p.Warnings = slices.DeleteFunc(p.Warnings, func(f document.Fault) bool {
		return f.Key == "lathe.centre_height" ||
			f.Key == "lathe.way_span"
	})
	p.Lathe.Bed.CentreHeight = h
	if _, message, hint := profile.Proportion(p.Lathe.Bed); message != "" {
		p.Warnings = append(p.Warnings, document.Fault{Key: "--centre-height", Message: message, Hint: hint})
	}
}

// Bench is a profile ready to be worked with.
type Bench struct {
	*profile.Profile
	Machine  compensate.Machine
	Estimate *estimate.Result
	Bar      *setup.Bar        // how the one length asked about is held; nil: of a job, or nothing is turned
	Collars  *collars.Estimate // of collars alone, in place of a profile; nil: there is a profile
	LikeBar  bool              // the work is like the collars' bar
	word.Units
}

// NoWearError is the refusal of a profile that has neither wear nor readings.
type NoWearError struct {
	refuse.Refusal
	Profile *profile.Profile
}

func (n NoWearError) Unwrap() error { return n.Refusal }

// NewBench estimates the wear of a profile; name is what it was opened under.
func NewBench(p *profile.Profile, name string) (*Bench, error) {
	est, err := p.Estimate()
	return Estimated(p, name, est, err)
}

// Estimated is NewBench with what the estimate came to.
func Estimated(p *profile.Profile, name string, est *estimate.Result, err error) (*Bench, error) {
	switch {
	case errors.Is(err, profile.ErrNoWear):
		return nil, NoWearError{refuse.With(p.File+": there are no readings and no [wear], so nothing is known of the "+
			"bed", RecordFirst(p, name)+" says what to read first; drops that are known go into [wear]"), p}
	case err != nil:
		return nil, err
	}
	return &Bench{
		Profile:  p,
		Estimate: est,
		Machine:  compensate.Machine{Lathe: p.Lathe.Bed, Wear: est.Wear, Axis: compensate.SpindleAxis()},
		Units:    word.Units{In: p.Unit},
	}, nil
}

// RuleStep is what a rule along the bed shows, mm, to which the places of moves are rounded.
func (l *Bench) RuleStep() float64 {
	if l.In == length.Inch {
		return 25.4 / 16
	}
	return 1
}

// Measured is the step, mm, of the diameters that are told apart where a dial is set: ten-thousandths of an inch or
// micrometres, which a micrometer shows, or five or ten of them where the dial's finest setting makes at least twice as
// much.
func (l *Bench) Measured(d compensate.Dial) float64 {
	step := 0.001
	if l.In == length.Inch {
		step = length.Inch.ToMM(0.0001)
	}
	for _, coarser := range []float64{10, 5} {
		if 2*coarser*step <= d.Limit()*(1+1e-9) {
			return coarser * step
		}
	}
	return step
}

// ToEnd takes a position, mm, that lies outside the known wear by no more than positions are rounded when they are
// shown for the end that was meant.
func (l *Bench) ToEnd(z float64) float64 {
	const rounding = 0.013 // mm: half of the last decimal shown of an inch
	first, last := l.Machine.Wear.Range()
	switch {
	case z < first && z >= first-rounding:
		return first
	case z > last && z <= last+rounding:
		return last
	}
	return z
}

// Explain turns what the computation refuses into words in the file's unit.
func (l *Bench) Explain(err error) error {
	var outside compensate.OutsideError
	var problem work.Problem
	switch {
	case errors.As(err, &outside) && l.Collars != nil:
		return refuse.With(
			fmt.Sprintf("%s: %s lies outside the collars, from %s to %s, and beyond them nothing is known", l.File,
				l.At(outside.Position), l.Bare(outside.From), l.At(outside.To)),
			"turn collars there as well, or make a profile that knows the bed: wornway new bench.toml --from "+l.File,
		)
	case errors.As(err, &outside):
		return refuse.With(
			fmt.Sprintf("%s: %s lies outside the wear that the profile knows, from %s to %s", l.File,
				l.At(outside.Position), l.Bare(outside.From), l.At(outside.To)),
			"positions count from the spindle nose; survey the bed further, or turn the work elsewhere",
		)
	case errors.As(err, &problem):
		return refuse.Usage("--"+problem.Field+": "+problem.Message, problem.Hint)
	}
	return err
}

// Room is where lengths can be turned: the saddle wholly on the bed, out of the jaws or from the nose on, and within
// the tailstock's travel; free asks for an end that stands out no further than it may.
func (l *Bench) Room(diameter float64, way work.Holding, free bool) setup.Room {
	return l.Anyhow().Room(diameter, way, l.Lathe.Holding != nil, free, l.Lathe.Ways.From, l.Lathe.Ways.To)
}

// Reach is where work can lie, however it is held, mm.
func (l *Bench) Reach() (from, to float64) {
	r := l.Room(0, work.ChuckAndCentre, false)
	return r.From, r.To
}

// Surveyed returns date and file of the i-th survey of the estimate; stated drops beside surveys come first.
func (l *Bench) Surveyed(i int) (date, file string) {
	if l.Stated != nil {
		if i--; i < 0 {
			return "", l.Stated.File
		}
	}
	s := l.Surveys[i]
	if !s.Date.IsZero() {
		date = s.Date.Format(time.DateOnly)
	}
	return date, s.File
}

// Deepest returns the carriage way with the greatest drop, mm.
func (l *Bench) Deepest() (way bed.Curve, position, drop float64) {
	return l.Machine.Wear.WornDeepest()
}

// Given says whether anything is said of a curve at all; stated rows may leave one out, which is then taken as zero.
func (l *Bench) Given(c bed.Curve) bool {
	if len(l.Surveys) > 0 {
		return true
	}
	names := map[bed.Curve][2]string{bed.Front: {"front", "outer"}, bed.Rear: {"rear", "rear"},
		bed.Shift: {"shift", "outer"}}[c]
	return l.Stated.Rows.Column(names[0]) >= 0 || l.Stated.Rows.Column(names[1]) >= 0
}

// Uncertainty returns the standard uncertainty of a sum at z.
func (l *Bench) Uncertainty(s bed.Sum, z float64) (float64, bool) {
	var w wear.Weights
	l.Machine.Wear.Weigh(&w, s, z, 1)
	return l.Machine.Wear.Uncertainty(&w)
}

// Dial is the cross slide's; nil where the profile has none.
func (l *Bench) Dial() *compensate.Dial {
	if l.Lathe.CrossSlide == nil {
		return nil
	}
	d := DialOf(l.Lathe.CrossSlide, 0)
	return &d
}
