package plan

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/compensate/setup"
	"wornway/compensate/work"
)

// kind is a way of holding the part on one lathe that leaves open only where along the bed it lies.
type kind struct {
	lathe     int
	held      work.Holding
	endForEnd bool
	steady    float64 // where it stands, mm from the part's headstock end; NaN: none
	setOver   float64
	sights    []*sight // by position
}

const (
	positions = 48 // of the first pass over the bed
	between   = 8  // more between neighbours about each best one
)

// ways returns the ways of holding that the job and a lathe allow.
func (q Question) ways(lathe int) []*kind {
	l, j := q.Lathes[lathe], q.Job
	var out []*kind
	for _, held := range j.Part.Held {
		for _, turned := range []bool{false, true} {
			if turned && !j.Part.EndForEnd {
				continue
			}
			out = append(out, &kind{lathe: lathe, held: held, endForEnd: turned, steady: math.NaN()})
			if !l.Steady {
				continue
			}
			for _, p := range setup.Steadies(j, turned) {
				out = append(out, &kind{lathe: lathe, held: held, endForEnd: turned, steady: p})
			}
		}
	}
	return out
}

// setup returns the kind at a position.
func (k *kind) setup(at float64) setup.Setup {
	s := setup.Setup{Way: k.held, At: at, EndForEnd: k.endForEnd, SetOver: k.setOver}
	if !math.IsNaN(k.steady) {
		p := at + k.steady
		s.Steady = &p
	}
	return s
}

// look puts the part at a position and keeps what is seen there. It returns why the part cannot be held there, if so.
func (q Question) look(k *kind, at float64) (refused *setup.Refusal, err error) {
	h, err := q.Lathes[k.lathe].Set(q.Job, k.setup(at))
	var no setup.Refusal
	switch {
	case errors.As(err, &no):
		return &no, nil
	case err != nil:
		return nil, err
	}
	s, err := see(h)
	if err != nil {
		return nil, err
	}
	k.sights = append(k.sights, s)
	return nil, nil
}

// survey looks at a kind all along the bed, and more closely about the best positions of each manner. The first error
// in words says why it cannot be at all.
func (q Question) survey(k *kind) (refused *setup.Refusal, err error) {
	l := q.Lathes[k.lathe]
	steady := !math.IsNaN(k.steady)
	from, to, ok := l.Reach(q.Job, k.held, k.endForEnd, steady)
	if !ok {
		// Where it would come nearest says what stands in the way.
		h, err := l.Set(q.Job, k.setup(from))
		var no setup.Refusal
		switch {
		case errors.As(err, &no):
			return &no, nil
		case err != nil:
			return nil, err
		}
		for i, f := range h.Features {
			if f.Hidden != "" && f.Asked() {
				return &setup.Refusal{Message: strings.ReplaceAll(q.Job.Features[i].Name+": "+f.Hidden, "%", "%%")}, nil
			}
		}
		return &setup.Refusal{Message: "there is no place for it"}, nil
	}
	n := positions
	if to == from {
		n = 1
	}
	grid := q.justOut(k, from, to)
	for i := range n {
		grid = append(grid, from+(to-from)*float64(i)/float64(max(n-1, 1)))
	}
	for _, at := range grid {
		no, err := q.look(k, at)
		if err != nil {
			return nil, err
		}
		if no != nil && refused == nil {
			refused = no
		}
	}
	if len(k.sights) == 0 || n == 1 { // nowhere, or at one place only
		return refused, nil
	}
	step := (to - from) / positions
	for _, i := range q.bestOf(k) {
		at := k.sights[i].held.At
		for m := 1; m < between; m++ {
			for _, side := range []float64{-1, 1} {
				z := at + side*step*float64(m)/between
				if z < from || z > to {
					continue
				}
				if _, err := q.look(k, z); err != nil {
					return nil, err
				}
			}
		}
	}
	return nil, nil
}

// justOut returns the positions at which a feature just comes out of the jaws: the nearest ones that a part can have.
func (q Question) justOut(k *kind, from, to float64) []float64 {
	var out []float64
	for _, f := range q.Job.Features {
		if k.endForEnd {
			f = f.Turned(q.Job.Part.Length)
		}
		if at := q.Lathes[k.lathe].JawsFront + setup.JawsClear - f.From; f.Asked() && at > from && at < to &&
			k.held.Gripped() {
			out = append(out, at)
		}
	}
	return out
}

// bestOf returns the numbers of the sights that are the best of some manner, each once.
func (q Question) bestOf(k *kind) []int {
	var out []int
	for _, m := range q.manners(k.lathe) {
		best, _ := q.best(k, m)
		out = append(out, best)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// manners returns the manners that a lathe allows.
func (q Question) manners(lathe int) []manner {
	sizings := []work.Sizing{work.InPlace}
	open := false
	for _, f := range q.Job.Features {
		open = open || f.Asked() && f.Sized == ""
	}
	if open {
		sizings = append(sizings, work.Once)
	}
	var out []manner
	for _, s := range sizings {
		dials := q.Lathes[lathe].Dials
		if len(dials) == 0 {
			out = append(out, manner{sizing: s})
		}
		for i := range dials {
			out = append(out, manner{&dials[i], false, s}, manner{&dials[i], true, s})
		}
	}
	return out
}

// best returns the number of the sight that promises most, and what it promises for all features. Of equals it is the
// one that hangs out least.
func (q Question) best(k *kind, m manner) (number int, p float64) {
	const same = 1e-3
	for i, s := range k.sights {
		v := 1.0
		for f := range q.Job.Features {
			if q.Job.Features[f].Asked() {
				v *= s.score(f, s.held.Features[f].Feature, m, q.Measuring)
			}
		}
		if i == 0 || v > p*(1+same) || v > p*(1-same) && s.held.Overhang < k.sights[number].held.Overhang {
			number, p = i, v
		}
	}
	return number, p
}

// surelySet is how closely a tailstock is surely set over, mm, at k = 2: less is no way of its own to hold a part.
const surelySet = 2 * setup.AlignedU

// overset returns the kind with the tailstock set over by what leaves the least spread along the features, and false
// where that is less than can surely be set. How far the centre goes enters the error in a straight line, so that two
// tries tell it.
func (q Question) overset(k *kind) (*kind, bool, error) {
	most := q.Lathes[k.lathe].SetOver
	if k.held != work.Centres || !(most > 0) || len(k.sights) == 0 {
		return nil, false, nil
	}
	at := k.sights[0].held.At
	const tried = 0.05 // mm
	var h [2]*setup.Mounting
	for i, s := range []float64{0, math.Min(tried, most)} {
		o := *k
		o.setOver = s
		var err error
		if h[i], err = q.Lathes[k.lathe].Set(q.Job, o.setup(at)); err != nil {
			return nil, false, fmt.Errorf("set over: %w", err)
		}
	}
	var strips []band
	for i, f := range h[0].Features {
		if f.Hidden != "" || !f.Asked() {
			continue
		}
		s := band{width: allowed(f.Feature)}
		var curves [2]interface {
			At(z, setting float64) float64
		}
		for n := range h {
			c, err := h[n].Curve(i, f.To)
			if err != nil {
				return nil, false, err
			}
			curves[n] = c
		}
		const places = 65
		for _, p := range evenly(f.From, f.To, places) {
			a := curves[0].At(p.Position, 0)
			s.value = append(s.value, a)
			s.share = append(s.share, (curves[1].At(p.Position, 0)-a)/math.Min(tried, most))
		}
		strips = append(strips, s)
	}
	if len(strips) == 0 {
		return nil, false, nil
	}
	x, _ := narrowest(strips, most)
	const micrometre = 0.001 // nobody sets it finer
	x = math.Round(x/micrometre) * micrometre
	if math.Abs(x) < surelySet {
		return nil, false, nil
	}
	o := &kind{lathe: k.lathe, held: k.held, endForEnd: k.endForEnd, steady: k.steady, setOver: x}
	_, err := q.look(o, at)
	return o, len(o.sights) > 0, err
}

// allowed returns how much the diameter may change along a feature, mm.
func allowed(f work.Feature) float64 {
	w := math.Inf(1)
	if f.Size != nil {
		w = math.Min(w, f.Size.Upper-f.Size.Lower)
	}
	if f.Tolerance > 0 {
		w = math.Min(w, f.Tolerance)
	}
	if f.Taper > 0 {
		w = math.Min(w, f.Taper)
	}
	return w
}
