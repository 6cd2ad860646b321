package main

import (
	"testing"

	"wornway/cmd/wornway/internal/chapters"
	"wornway/cmd/wornway/internal/invented"
)

// A lesson computes a few hundred curves, and a correction for each diameter.
func BenchmarkLesson(b *testing.B) {
	l := opened(b, string(invented.Lathe))
	for b.Loop() {
		if _, err := (&chapters.Numbers{Bench: l, From: 0, To: 27 * 25.4}).Page(); err != nil {
			b.Fatal(err)
		}
	}
}
