package study

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"wornway/profile"
)

// Surveys of one bed by every method agree with each other as they say they should: no method reads with a sign, a
// lever or a shape that another one contradicts. On a bed the root mean square of a survey's readings about what the
// others say is what is expected of it, within what so few can tell. The long run has four beds.
func TestMethodsAgree(t *testing.T) {
	type ratio struct{ rms, expected float64 }
	found := beds(t, cases(1, 1, 4), func(i int) (map[string][]ratio, error) {
		r := rand.New(rand.NewPCG(seed+1, uint64(i)))
		m := newMachine(r, kinds[i%len(kinds)], 0.1)
		b := newBench(m, r, leave{})
		plans[len(plans)-1].read(b, leave{})
		p, err := profile.Parse(nil, "study.toml", []byte(b.text.String()))
		if err != nil {
			return nil, err
		}
		e, err := p.Estimate()
		if err != nil {
			return nil, err
		}
		out := map[string][]ratio{}
		for _, s := range e.Surveys {
			out[s.Method] = append(out[s.Method], ratio{s.RMS, s.Expected})
		}
		return out, nil
	})
	all := map[string][]ratio{}
	for _, f := range found {
		for k, v := range f {
			all[k] = append(all[k], v...)
		}
	}
	for k, v := range all {
		// Nothing else on this bed tells what the readings of some surveys should be.
		v = slices.DeleteFunc(v, func(x ratio) bool { return !(x.expected > 0) })
		if len(v) == 0 {
			t.Logf("%-20s nothing to hold it against", k)
			continue
		}
		sum := 0.0
		for _, x := range v {
			sum += math.Pow(x.rms/x.expected, 2)
		}
		got := math.Sqrt(sum / float64(len(v)))
		t.Logf("%-20s %.2f of %d", k, got, len(v))
		least := 0.5
		// a feel counts as a step to either side, and the hand of these beds is never off by more than half of one
		if k == "carriage-lock" {
			least = 0.2
		}
		if !(got >= least && got <= 1.5) {
			t.Errorf("%s: readings are %.2f times as far from what the others say as they should be", k, got)
		}
	}
}
