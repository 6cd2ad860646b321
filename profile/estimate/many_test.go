package estimate

import (
	"slices"
	"testing"

	"wornway/profile/survey"
)

// Of fifteen surveys that disagree with the others those twelve are searched for a slip that do most, and none that
// agrees; of twelve or fewer each is.
func TestSuspectsAreFurthestOff(t *testing.T) {
	// ranks 0, 7, 14, 4, 11, …: each of 0 to 16 once; the factor of the first two is that of a survey that agrees
	factors := make([]float64, 17)
	var want []int
	for k := range factors {
		rank := 7 * k % len(factors)
		factors[k] = max(1, float64(rank))
		if rank > 4 { // 5 to 16: the twelve greatest
			want = append(want, k)
		}
	}
	searched := func(factors []float64) []int {
		r := &Result{in: Input{Surveys: make([]survey.Set, len(factors))}}
		r.best.space = &space{p: &problem{trust: trust{factor: factors}}}
		return slices.Sorted(slices.Values(r.suspects()))
	}
	if got := searched(factors); !slices.Equal(got, want) {
		t.Errorf("with factors %v surveys %v are searched, want %v", factors, got, want)
	}
	few := slices.Repeat([]float64{1}, 12)
	if got := searched(few); len(got) != len(few) {
		t.Errorf("of %d surveys that agree %v are searched", len(few), got)
	}
}

// Surveys that contradict each other make a choice of what to doubt each, up to twelve; more are doubted together, as
// one choice.
func TestManySurveysAreDoubtedTogether(t *testing.T) {
	for n, choices := range map[int]int{1: 1, 12: 12, 13: 1, 40: 1} {
		all := make([]int, n)
		for k := range all {
			all[k] = k
		}
		got := inTurn(all)
		if len(got) != choices || !slices.Equal(slices.Concat(got...), all) {
			t.Errorf("%d surveys are doubted as %v, want %d choices of all", n, got, choices)
		}
	}
}
