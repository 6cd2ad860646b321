package plan

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"

	"wornway/compensate"
	"wornway/compensate/setup"
	"wornway/compensate/work"
)

const (
	drawSeed = 20261125 // fixed: the same question has the same answer
	draws    = 10000
	places   = 9 // of each feature that are drawn, beside its extremes and those of the moves

	mostJoints = 16 // and so many of those where the wear's pieces meet
)

// simulation is a plan with all that is needed to draw what comes of it.
type simulation struct {
	plan      Plan
	joint     *compensate.Joint
	features  []extent
	limit     float64 // full width on diameter of what the dial leaves open, mm
	measuring float64
	job       work.Job
	asksTrue  bool // the runout of set-ups to each other counts
}

// extent is where in the joint distribution the places of a feature stand.
type extent struct{ first, last int }

// between returns the least and the greatest error there.
func (e extent) between(errs []float64) (least, greatest float64) {
	errs = errs[e.first:e.last]
	return slices.Min(errs), slices.Max(errs)
}

// aim returns by how much the diameter is to be off its nominal one where it is measured, so that the feature lies in
// the middle of its limits, mm.
func (o *Outcome) aim(least, greatest float64) float64 {
	if o.Size == nil {
		return 0
	}
	return (o.Size.Lower+o.Size.Upper)/2 - (least+greatest)/2
}

// evaluate calculates a draft in full, and draws it.
func (q Question) evaluate(d draft) (*simulation, error) {
	w := q.Lathes[d.lathe].Machine.Wear
	v := &simulation{joint: compensate.NewJoint(w), limit: d.manner.setting(), measuring: q.Measuring, job: q.Job,
		asksTrue: true}
	v.plan = Plan{Lathe: d.lathe, Dial: d.manner.dial, Corrected: d.manner.corrected, Sizing: d.manner.sizing,
		Stated: w.Stated()}
	for i, s := range d.sights {
		v.plan.SetUps = append(v.plan.SetUps, Clamping{Mounting: s.held, Features: q.order(&d, i),
			Finished: q.finished(d.lathe, i, s.held, d.in)})
	}
	runs := d.runouts(q.Job)
	v.plan.Untold = !q.Job.AsksRunout() && v.plan.rechucked()
	for f, in := range d.in {
		if in < 0 || !q.Job.Features[f].Asked() {
			continue
		}
		placed := d.sights[in].held.Features[f].Feature
		o := Outcome{Feature: placed, Number: f, SetUp: in, SetAt: placed.To, Sized: d.manner.sized(placed),
			Feed: compensate.TowardHeadstock}
		o.Runs = runs[f]
		if first := v.plan.SetUps[in].Features[0]; q.byDial(&d, f) {
			o.ByDial, o.SetAt = true, d.sights[in].held.Features[first].To
		}
		if err := v.add(d.sights[in], o, d.manner); err != nil {
			return nil, err
		}
	}
	v.draw()
	v.plan.Effort = v.plan.effort()
	return v, nil
}

// order returns the features turned in a set-up, from the tailstock toward the headstock, as one feeds.
func (q Question) order(d *draft, setUp int) []int {
	var out []int
	fs := d.sights[setUp].held.Features
	for f, in := range d.in {
		if in != setUp || !q.Job.Features[f].Asked() {
			continue
		}
		at := len(out)
		for at > 0 && fs[out[at-1]].To < fs[f].To {
			at--
		}
		out = append(out[:at], append([]int{f}, out[at:]...)...)
	}
	return out
}

// add calculates one feature and puts its places into the joint distribution.
func (v *simulation) add(s *sight, o Outcome, m manner) error {
	h := s.held
	if err := o.correct(s, m); err != nil {
		return err
	}
	curve, err := h.Curve(o.Number, o.SetAt)
	if err != nil {
		return err
	}
	at := append(curve.Places(places), curve.Joints(mostJoints)...)
	if o.Correction != nil {
		at = o.Correction.Under(at, m.dial.Step())
		v.plan.Moves += len(o.Correction.Moves)
	}
	e := extent{first: len(v.joint.Mean())}
	v.joint.Add(curve, at)
	e.last = len(v.joint.Mean())
	v.features = append(v.features, e)
	low, high := e.between(v.joint.Mean())
	u := 0.0
	for i := e.first; i < e.last; i++ {
		if here, stated := v.joint.Uncertainty(i); stated {
			u = math.Max(u, here)
		}
	}
	aim := o.aim(low, high)
	o.Aim, o.Low, o.High = o.Diameter+aim, o.Diameter+aim+low, o.Diameter+aim+high
	o.Uncertainty = math.Hypot(u, setU(v.measuring, v.limit, o.ByDial))
	o.Wear, o.Bending = curve.Shares(at)
	v.plan.Features = append(v.plan.Features, o)
	return nil
}

// correct works out what is dialled along a feature: with either feed, the dial being set where the cut begins; toward
// the headstock where another feature goes on from it by the dial, or it from another. Corrections are counted from
// where the dial was set for this feature.
func (o *Outcome) correct(s *sight, m manner) error {
	if !m.corrected || m.dial == nil {
		return nil
	}
	key := correctionKey{o.Number, *m.dial, m.sized(o.Feature) == work.Once}
	c, known := s.corrections.Load(key)
	if !known {
		k, err := o.correction(s.held, m, key.once)
		if err != nil {
			return err
		}
		c, _ = s.corrections.LoadOrStore(key, k)
	}
	if k := c.(*compensate.Correction); k != nil {
		o.Correction, o.Feed = k, k.Feed
		if k.Feed == compensate.TowardTailstock {
			o.SetAt = o.From
		}
	}
	return nil
}

// correctionKey is what a feature's correction depends on, as it lies.
type correctionKey struct {
	feature int
	dial    setup.Dial
	once    bool // it is sized once with others, and fed as they are
}

// correction is what correct finds; nil where nothing is dialled.
func (o *Outcome) correction(h *setup.Mounting, m manner, once bool) (*compensate.Correction, error) {
	how := compensate.CorrectOptions{Dial: m.dial.Dial, SetAtStart: true, Computed: true, Allow: m.allow(o.Feature)}
	if once {
		how.Feed = compensate.TowardHeadstock
	}
	c, err := h.Machine.Correct(h.Cut(o.Number, o.To), how)
	if tooFine := (compensate.AllowError{}); errors.As(err, &tooFine) {
		how.Allow = 0 // what is worth it, then
		c, err = h.Machine.Correct(h.Cut(o.Number, o.To), how)
	}
	if err != nil || len(c.Moves) == 0 {
		return nil, err
	}
	return c, nil
}

// Start returns where the finishing cut of the feature begins, and End where it ends, mm from the spindle nose.
func (o Outcome) Start() float64 {
	if o.Feed == compensate.TowardTailstock {
		return o.From
	}
	return o.To
}

// End returns where it ends.
func (o Outcome) End() float64 { return o.From + o.To - o.Start() }

// setU returns the standard uncertainty with which a feature is brought to size where its dial is set, mm: that of the
// measurement, standard, and of each setting of a dial whose finest one leaves a full width of limit open. By the dial
// from another feature it is set twice, there and here.
func setU(measuring, limit float64, byDial bool) float64 {
	settings := 1.0
	if byDial {
		settings = 2
	}
	const rectangular = 12 // a rectangular distribution's width squared over its variance
	return math.Sqrt(measuring*measuring + settings*limit*limit/rectangular)
}

// draw fills in the probabilities; without a stated uncertainty of the wear it says whether what was computed keeps
// within the limits.
func (v *simulation) draw() {
	single, all := v.probability(v.joint, v.limit, v.measuring)
	v.plan.Probability = all
	for i := range v.plan.Features {
		v.plan.Features[i].Probability = single[i]
	}
	v.plan.Holds = all >= compensate.Promised
	if !v.plan.Stated {
		v.plan.Holds = all == 1
	}
}

// probability returns for each feature, and for all together, how often what is asked holds. The settings of the dial
// and the measuring are drawn beside the rest: each feature that is measured has its own measurement and setting; one
// set by the dial shares those of its set-up's first feature and has a setting of its own on top.
func (v *simulation) probability(joint *compensate.Joint, limit, measuring float64) (single []float64, all float64) {
	if !v.plan.Stated {
		return v.computed()
	}
	r := rand.New(rand.NewPCG(drawSeed, uint64(len(v.features))))
	single = make([]float64, len(v.features))
	sized := make([]float64, len(v.plan.SetUps))
	setting := func() float64 { return limit * (r.Float64() - 0.5) }
	aims := make([]float64, len(v.features))
	for i, e := range v.features {
		aims[i] = v.plan.Features[i].aim(e.between(joint.Mean()))
	}
	again := rand.New(rand.NewPCG(drawSeed, uint64(len(v.plan.SetUps))))
	apart := make([]offset, len(v.plan.SetUps))
	in := map[int]int{}
	for _, o := range v.plan.Features {
		in[o.Number] = o.SetUp
	}
	joint.Draw(draws, func(values []float64) {
		for i := range sized {
			sized[i] = measuring*r.NormFloat64() + setting()
		}
		for i := 1; i < len(apart) && v.asksTrue; i++ {
			apart[i] = v.drawOff(again, i)
		}
		held := true
		for i, o := range v.plan.Features {
			s := sized[o.SetUp]
			switch {
			case o.ByDial:
				s += setting()
			case o.Number != v.plan.SetUps[o.SetUp].Features[0]:
				s = measuring*r.NormFloat64() + setting()
			}
			e := v.features[i]
			runs := o.Runs == nil || v.reading(apart, o.Number, o.Runs.To, in) <= o.Runout
			if runs && o.keeps(values[e.first:e.last], aims[i]+s) {
				single[i]++
			} else {
				held = false
			}
		}
		if held {
			all++
		}
	})
	for i := range single {
		single[i] /= draws
	}
	return single, all / draws
}

// computed says of each feature whether it keeps within its limits as computed: 1 or 0.
func (v *simulation) computed() (single []float64, all float64) {
	single, all = make([]float64, len(v.features)), 1
	for i, o := range v.plan.Features {
		e := v.features[i]
		runs := o.Runs == nil || o.Runs.Limit <= o.Runout
		if runs && o.keeps(v.joint.Mean()[e.first:e.last], o.Aim-o.Diameter) {
			single[i] = 1
		} else {
			all = 0
		}
	}
	return single, all
}

// keeps says whether the errors along a feature, all moved by off, keep within what is asked of it. They stand in the
// order of [compensate.Curve.Places].
func (o *Outcome) keeps(errs []float64, off float64) bool {
	low, high := errs[0], errs[0]
	from, to := compensate.AtEnds(errs, places)
	for _, e := range errs {
		if e < low {
			low = e
		}
		if e > high {
			high = e
		}
	}
	switch {
	case o.Size != nil && (low+off < o.Size.Lower || high+off > o.Size.Upper):
		return false
	case o.Tolerance > 0 && high-low > o.Tolerance:
		return false
	case o.Taper > 0 && math.Abs(from-to) > o.Taper:
		return false
	}
	return true
}
