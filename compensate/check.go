package compensate

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"wornway/compensate/work"
	"wornway/profile/accord"
)

// TestCut is a part that was turned at one setting of the dial and measured along its length. Lengths mm; one entry for
// each measurement, in any order.
type TestCut struct {
	At, Diameter []float64
	U            float64     // standard uncertainty of one diameter
	Shared       []Influence // what else may have changed all diameters together, of which something is known
	// shapes that may be in the diameters by any amount, as those that the tailstock's centre makes: one entry for each
	// measurement
	Loose  [][]float64
	HeldAt float64 // position of the jaws; NaN: not known
	Tailed bool    // the tailstock's centre carries the far end
	// where the dial was set: the measurement nearest to it is what all are compared with; NaN: that nearest to the
	// tailstock
	SetAt      float64
	ToolHeight float64 // above centre when set
	Bore       bool    // the diameters are a bore's
	Push       *Push   // how the cut pushed the work away; nil: left out
}

// Influence is a share of one unknown in each diameter, and its standard uncertainty about zero.
type Influence struct {
	Of []float64
	U  float64
}

// CheckStation is one measurement beside what was predicted for it, both as differences to where the dial was set.
// Lengths mm, on diameter; uncertainties standard.
type CheckStation struct {
	Position, Diameter    float64
	Measured, Predicted   float64
	Difference            float64 // measured less predicted
	UMeasured, UPredicted float64
	U                     float64 // of the difference
	// En is the normalised error, the difference over the root of the sum of the squares of both expanded uncertainties
	// (k = 2): within ±1 the two agree. NaN where the dial was set.
	// Source: E_n of ISO 13528 and ISO/IEC 17043, from memory.
	En float64
}

// Verdict is how a part as a whole compares with its prediction.
type Verdict string

// The verdicts.
const (
	Agrees  Verdict = "agrees"  // no more off than chance makes of the uncertainties
	Tapers  Verdict = "taper"   // it agrees once a straight taper is taken off
	Differs Verdict = "differs" // it does not agree even so
	Unknown Verdict = "unknown" // the wear has no uncertainty
)

// Check is a part beside its prediction.
type Check struct {
	Curve    *Curve
	Stations []CheckStation // by position
	Set      int            // which of them is where the dial was set
	Verdict  Verdict
	Whole    accord.Result // of all differences; meaningless where Unknown
	// a straight taper left free; its first term is the slope, on diameter per length; meaningless where Unknown, with
	// too few differences, or where one of the loose shapes is straight
	Straight accord.Result
	Sign     Sign
}

// Extremes returns the stations of the least and of the greatest diameter that was measured.
func (c *Check) Extremes() (least, greatest CheckStation) {
	by := func(a, b CheckStation) int { return cmp.Compare(a.Diameter, b.Diameter) }
	return slices.MinFunc(c.Stations, by), slices.MaxFunc(c.Stations, by)
}

// TooFewError says that a part was measured in too few places.
type TooFewError struct{ Places, Needed int }

func (e TooFewError) Error() string {
	return fmt.Sprintf("measured in %d places, and %d are needed", e.Places, e.Needed)
}

// Alarm is the probability by chance under which differences are called more than chance.
const Alarm = 0.05

// Check compares a part with what the machine is predicted to turn. The differences hang together, by what is not known
// of the wear and by the measurement that all are compared with; so they are judged as a whole, by chi-square with
// their full covariance. The error is a [TooFewError], a [work.Problem] or an [OutsideError].
func (m Machine) Check(t TestCut) (*Check, error) {
	order := make([]int, len(t.At))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(t.At[a], t.At[b]), cmp.Compare(t.Diameter[a], t.Diameter[b]))
	})
	n := len(order)
	places := 0
	for i, k := range order {
		if i == 0 || t.At[k] > t.At[order[i-1]] {
			places++
		}
	}
	if needed := 2 + len(t.Loose); places < needed {
		return nil, TooFewError{places, needed}
	}
	out := &Check{Set: n - 1}
	if !math.IsNaN(t.SetAt) {
		for i, k := range order {
			if math.Abs(t.At[k]-t.SetAt) < math.Abs(t.At[order[out.Set]]-t.SetAt) {
				out.Set = i
			}
		}
	}
	set := order[out.Set]
	at := make([]float64, n)
	for i, k := range order {
		at[i] = t.At[k]
	}
	var err error
	out.Curve, err = m.Curve(Cut{Feature: work.Feature{From: at[0], To: at[n-1], Diameter: t.Diameter[set],
		Bore: t.Bore}, SetAt: t.At[set], ToolHeight: t.ToolHeight, Push: t.Push})
	if err != nil {
		return nil, err
	}
	measured := t.covariance(order, out.Set)
	predicted := out.Curve.Covariance(at)
	for i, k := range order {
		s := out.Curve.Station(at[i])
		c := CheckStation{Position: at[i], Diameter: t.Diameter[k], Measured: t.Diameter[k] - t.Diameter[set],
			Predicted: s.DiameterError,
			UMeasured: math.Sqrt(measured.At(i, i)), UPredicted: s.Uncertainty, En: math.NaN()}
		c.Difference = c.Measured - c.Predicted
		c.U = math.Hypot(c.UMeasured, c.UPredicted)
		if i != out.Set && predicted != nil {
			c.En = c.Difference / (2 * c.U)
		}
		out.Stations = append(out.Stations, c)
	}
	out.Verdict = Unknown
	if predicted != nil {
		measured.AddSym(measured, predicted)
		err = out.judge(t, order, measured)
	}
	return out, err
}

// covariance returns that of the measured differences to where the dial was set, by the sorted order.
func (t TestCut) covariance(order []int, set int) *mat.SymDense {
	n := len(order)
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			v := 0.0
			if i != set && j != set {
				v = t.U * t.U // of the measurement that both are compared with
				if i == j {
					v *= 2
				}
			}
			for _, s := range t.Shared {
				v += (s.Of[order[i]] - s.Of[order[set]]) * (s.Of[order[j]] - s.Of[order[set]]) * s.U * s.U
			}
			out.SetSym(i, j, v)
		}
	}
	return out
}

// differences are what is judged: all but the one that is zero by definition.
type differences struct {
	at, off    []float64
	covariance *mat.SymDense
	from       float64     // where the dial was set
	loose      [][]float64 // shapes that are free whatever else is
}

func (c *Check) differences(t TestCut, order []int, covariance *mat.SymDense) differences {
	d := differences{from: c.Stations[c.Set].Position}
	for _, of := range t.Loose {
		var shape []float64
		for i, k := range order {
			if i != c.Set {
				shape = append(shape, of[k]-of[order[c.Set]])
			}
		}
		d.loose = append(d.loose, shape)
	}
	var of []int
	for i, s := range c.Stations {
		if i != c.Set {
			of = append(of, i)
			d.at, d.off = append(d.at, s.Position), append(d.off, s.Difference)
		}
	}
	d.covariance = mat.NewSymDense(len(of), nil)
	for i, a := range of {
		for j, b := range of[i:] {
			d.covariance.SetSym(i, i+j, covariance.At(a, b))
		}
	}
	return d
}

// shape returns a function of position as it counts for the differences.
func (d differences) shape(of func(z float64) float64) []float64 {
	out := make([]float64, len(d.at))
	for i, z := range d.at {
		out[i] = of(z) - of(d.from)
	}
	return out
}

func (d differences) line() []float64 { return d.shape(func(z float64) float64 { return z }) }

// test judges the differences with some shapes left free; those are the first terms of the result.
func (d differences) test(free ...[]float64) (accord.Result, error) {
	return accord.Test(d.off, d.covariance, append(free, d.loose...)...)
}

// bends says whether a straight taper is a shape of its own beside those that are free: between centres it is not.
func (d differences) bends() bool {
	line := d.line()
	for _, of := range d.loose {
		along, own, both := 0.0, 0.0, 0.0
		for i, v := range of {
			along, own, both = along+v*line[i], own+v*v, both+line[i]*line[i]
		}
		const alike = 1e-9
		if along*along >= (1-alike)*own*both {
			return false
		}
	}
	return true
}

// judge says whether the differences are more than chance makes.
func (c *Check) judge(t TestCut, order []int, covariance *mat.SymDense) (err error) {
	d := c.differences(t, order, covariance)
	if c.Whole, err = d.test(); err != nil {
		return err
	}
	if d.bends() && len(d.off) > 1+len(d.loose) {
		if c.Straight, err = d.test(d.line()); err != nil {
			return err
		}
	}
	switch {
	case c.Whole.Probability >= Alarm:
		c.Verdict = Agrees
	case c.Straight.Freedom > 0 && c.Straight.Probability >= Alarm:
		c.Verdict = Tapers
	default:
		c.Verdict = Differs
		c.Sign = c.sign(t, d)
	}
	return nil
}
