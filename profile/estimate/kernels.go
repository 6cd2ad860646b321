package estimate

import (
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"
)

// kernels keeps the correlations at the knots that were made last. The same ones are asked for by each attempt at the
// strengths, by what doubts a survey, and by every slip that is tried.
type kernels struct {
	mutex sync.Mutex
	made  []kernel
}

// kernel is a matrix of [kernelOn], which is not changed, and what it was made of.
type kernel struct {
	how          manner
	knots, datum []place
	matrix       *mat.Dense
}

// of returns the correlations for knots, datum and manner.
func (k *kernels) of(knots, datum []place, how manner) *mat.Dense {
	const most = 40
	k.mutex.Lock()
	i := slices.IndexFunc(k.made, func(o kernel) bool {
		return o.how == how && slices.Equal(o.knots, knots) && slices.Equal(o.datum, datum)
	})
	if i >= 0 {
		defer k.mutex.Unlock()
		return k.made[i].matrix
	}
	k.mutex.Unlock()
	made := kernel{how, knots, datum, kernelOn(knots, datum, how)}
	k.mutex.Lock()
	defer k.mutex.Unlock()
	k.made = append(k.made[max(0, len(k.made)+1-most):], made)
	return made.matrix
}
