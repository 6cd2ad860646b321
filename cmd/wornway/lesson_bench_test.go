package main

import "testing"

// A lesson computes a few hundred curves and corrections.
func BenchmarkLesson(b *testing.B) {
	l := opened(b, string(demoLathe))
	for b.Loop() {
		if _, err := (&taught{Bench: l, from: 0, to: 27 * 25.4}).page(); err != nil {
			b.Fatal(err)
		}
	}
}
