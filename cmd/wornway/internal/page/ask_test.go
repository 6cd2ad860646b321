package page

import (
	"testing"
	"time"

	"wornway/profile/estimate"
)

// An estimate that panics leaves nothing that answers whoever asks next; one that is made is made once.
func TestPanicIsNotKept(t *testing.T) {
	a := newAsker(nil, time.Now, 1)
	func() {
		defer func() {
			if recover() == nil {
				t.Error("the panic was swallowed")
			}
		}()
		_, _ = a.estimate("one state", func() (*estimate.Result, error) { panic("invented") })
	}()
	made, want := 0, &estimate.Result{}
	for range 2 {
		got, err := a.estimate("one state", func() (*estimate.Result, error) { made++; return want, nil })
		if got != want || err != nil {
			t.Errorf("asked again: %v, %v", got, err)
		}
	}
	if made != 1 {
		t.Errorf("made %d times", made)
	}
}
