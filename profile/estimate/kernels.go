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
	made  []*kernel
}

// kernel is a matrix of [kernelOn], which is not changed, and what it was made of.
type kernel struct {
	how          manner
	knots, datum []place
	matrix       *mat.Dense

	mutex  sync.Mutex
	shares map[relations]float64 // found so far, see [kernel.share]
}

// of returns the correlations for knots, datum and manner.
func (k *kernels) of(knots, datum []place, how manner) *kernel {
	const most = 40
	k.mutex.Lock()
	i := slices.IndexFunc(k.made, func(o *kernel) bool {
		return o.how == how && slices.Equal(o.knots, knots) && slices.Equal(o.datum, datum)
	})
	if i >= 0 {
		defer k.mutex.Unlock()
		return k.made[i]
	}
	k.mutex.Unlock()
	made := &kernel{how: how, knots: knots, datum: datum, matrix: kernelOn(knots, datum, how)}
	k.mutex.Lock()
	defer k.mutex.Unlock()
	k.made = append(k.made[max(0, len(k.made)+1-most):], made)
	return made
}

// share returns the logarithm of the share of curves that comply before the readings, see lost.go. It is the same
// whatever is read, and looked for once.
func (k *kernel) share(v relations, look func() float64) float64 {
	k.mutex.Lock()
	defer k.mutex.Unlock()
	share, known := k.shares[v]
	if !known {
		if k.shares == nil {
			k.shares = map[relations]float64{}
		}
		share = look()
		k.shares[v] = share
	}
	return share
}
