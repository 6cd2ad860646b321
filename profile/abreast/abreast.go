// Package abreast does work of which no part needs another's result two parts at a time. It is two whatever the machine
// has: the parts here are long and few, and estimates side by side hold the memory of each.
package abreast

import "sync"

// Do calls of for the numbers from 0 to n-1, two at a time, and returns when all are done. What each finds it puts into
// a place of its own, so that the result does not hang on which was first.
func Do(n int, of func(i int)) {
	const two = 2
	var wait sync.WaitGroup
	for first := range min(two, n) {
		wait.Go(func() {
			for i := first; i < n; i += two {
				of(i)
			}
		})
	}
	wait.Wait()
}
