package estimate

import (
	"errors"
	"slices"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/accord"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// Pair makes one estimate of each of two inputs that speak of the same bed, on the same knots and of the same curves,
// so that Change can compare them.
func Pair(old, later Input) (a, b *Result, err error) {
	both := [2]Input{old, later}
	both[0].ahead = append(slices.Clone(old.ahead), later.Surveys...)
	both[1].ahead = append(slices.Clone(later.ahead), old.Surveys...)
	if a, err = Estimate(both[0]); err != nil {
		return nil, nil, err
	}
	b, err = Estimate(both[1])
	return a, b, err
}

// ErrApart says that two estimates do not come of Pair.
var ErrApart = errors.New("these estimates have nothing in common to be compared by")

// Change says whether the wear of the carriage ways has changed between two estimates that come of Pair, against the
// chance that both are off by. Twist and lean may have changed meanwhile; they are no wear. What both took as known
// beforehand does not count for them: see [accord.Between].
func Change(a, b *Result) (accord.Result, error) {
	x, err := stateOf(a)
	if err != nil {
		return accord.Result{}, err
	}
	y, err := stateOf(b)
	if err != nil {
		return accord.Result{}, err
	}
	if !slices.Equal(a.Wear.Knots(), b.Wear.Knots()) || len(x.Mean) != len(y.Mean) {
		return accord.Result{}, ErrApart
	}
	return accord.Between(x, y)
}

// stateOf returns what an estimate says of the unknowns that do not change with levelling: the curves at the knots,
// those of the carriage ways first, and the slopes of the tailstock ways.
func stateOf(r *Result) (accord.State, error) {
	p := r.solved
	if p == nil || r.best.space == nil || !r.Wear.Stated() {
		return accord.State{}, ErrApart
	}
	m := len(p.knots)
	var weights []wear.Weights
	var of []int // their places among what addPrior fills in
	var s accord.State
	take := func(sum bed.Sum, z float64, place int) {
		var w wear.Weights
		r.Wear.Weigh(&w, sum, z, 1)
		weights, of, s.Mean = append(weights, w), append(of, place), append(s.Mean, r.Wear.Value(sum, z))
	}
	for _, c := range p.curves {
		for i, z := range p.knots {
			take(bed.At(c, 0), z, p.curveAt(c)+i)
		}
		switch c {
		case bed.Front, bed.Shift, bed.Rear:
			s.Judged += m
		}
	}
	for _, k := range []bed.Scalar{bed.TailFrontSlope, bed.TailRearSlope} {
		if p.in.touches(map[bed.Scalar]bed.Curve{bed.TailFrontSlope: bed.TailFront,
			bed.TailRearSlope: bed.TailRear}[k]) {
			take(bed.Of(k), 1, p.scalarAt()+int(k))
		}
	}
	n := len(weights)
	all := mat.NewSymDense(p.scalarAt()+int(bed.Scalars), nil)
	r.best.space.addPrior(all.RawSymmetric(), r.best.at, 1)
	s.Left, s.Before = mat.NewSymDense(n, nil), mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			v, _ := r.Wear.CovarianceOf(&weights[i], &weights[j])
			s.Left.SetSym(i, j, v)
			s.Before.SetSym(i, j, all.At(of[i], of[j]))
		}
	}
	return s, nil
}
