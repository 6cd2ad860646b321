package abreast_test

import (
	"sync/atomic"
	"testing"
	"time"

	"wornway/profile/abreast"
)

// Each number is done once, before Do returns, and never more than two at once.
func TestDo(t *testing.T) {
	for _, n := range []int{0, 1, 2, 3, 10} {
		times := make([]int, n)
		var now, most atomic.Int64
		abreast.Do(n, func(i int) {
			at := now.Add(1)
			for seen := most.Load(); at > seen && !most.CompareAndSwap(seen, at); seen = most.Load() {
			}
			time.Sleep(time.Millisecond)
			times[i]++
			now.Add(-1)
		})
		for i, k := range times {
			if k != 1 {
				t.Errorf("of %d, number %d was done %d times", n, i, k)
			}
		}
		if most.Load() > 2 {
			t.Errorf("of %d, %d were done at once", n, most.Load())
		}
	}
}

// Two go on together: each waits here for the other.
func TestTwoGoOnTogether(t *testing.T) {
	met := make(chan bool)
	done := make(chan bool)
	go func() {
		abreast.Do(2, func(i int) {
			if i == 0 {
				met <- true
			} else {
				<-met
			}
		})
		close(done)
	}()
	select {
	case <-done:
	case <-time.After(time.Minute):
		t.Fatal("one waits for the other to end")
	}
}
