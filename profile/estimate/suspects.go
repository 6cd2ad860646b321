package estimate

import (
	"cmp"
	"math"
	"slices"
)

const (
	worthLook = 3.0 // what a slip must gain at first sight, as a logarithm, before any is looked for
	wornLook  = 1.0 // likewise a stretch that is taken as unworn
)

// suspects returns the surveys with which a slip may have been made. Of many surveys a slip makes one disagree with all
// the others, which the estimate has found out: then those alone are looked at, as each look costs as much as all
// surveys have readings. Where many disagree it is those that do most.
func (r *Result) suspects() []int {
	var out []int
	factor := r.best.space.p.factor
	for k := range r.in.Surveys {
		if len(r.in.Surveys) <= manySurveys || factor[k] > 1 {
			out = append(out, k)
		}
	}
	if len(out) > manySurveys {
		slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(factor[b], factor[a]) })
		out = out[:manySurveys]
	}
	return out
}

// quiet says whether a first look makes a search for slips idle: with none undone do the readings gain, at the
// strengths that they have as written. It takes a fifth of the search's time. One or two surveys are always searched:
// nothing holds the strengths against a slip in one of them, and it takes little. On made-up beds with three surveys
// and more, with and without slips, it kept back nothing that was worth saying.
func (in Input) quiet(suspects []int, from point) (bool, error) {
	const few = 2
	if len(in.Surveys) <= few {
		return false, nil
	}
	none, _, err := in.glance(from, math.Inf(-1), nil)
	if err != nil {
		return false, err
	}
	score := none.score()
	written, err := in.written(from)
	if err != nil {
		return false, err
	}
	// gains says whether the readings, changed or taken otherwise, are more probable than so much.
	gains := func(in Input, than float64, written *glance) (bool, error) {
		g, use, err := in.glance(from, than, written)
		return use && g.score() > than, err
	}
	for _, k := range suspects {
		for _, s := range in.slips(k) {
			if gained, err := gains(in.with(k, s.Set), score+worthLook-s.Gain, written); err != nil || gained {
				return false, err
			}
		}
	}
	for i := range in.Unworn {
		if gained, err := gains(in.worn(i), score+wornLook, nil); err != nil || gained {
			return false, err
		}
	}
	return true, nil
}
