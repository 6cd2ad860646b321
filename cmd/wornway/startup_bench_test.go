//go:build linux

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Goals for a whole wornway process on the demonstration lathe.
const (
	// at most so many times as long as a program that is linked with the same libraries and draws one table
	startupRatio = 1.5
	startupPeak  = 30 // MiB of resident memory at most
)

// startup holds the programs whose whole processes are compared.
type startup struct{ wornway, bare, peak, demo string }

// buildStartup builds them into a folder that is removed again.
func buildStartup(tb testing.TB) startup {
	tb.Helper()
	dir := tb.TempDir()
	s := startup{filepath.Join(dir, "wornway"), filepath.Join(dir, "bare"), filepath.Join(dir, "peak"),
		filepath.Join(dir, "demo.toml")}
	for out, source := range map[string]string{s.wornway: ".", s.bare: "../../testdata/startup/bare",
		s.peak: "../../testdata/startup/peak"} {
		if text, err := exec.Command("go", "build", "-buildvcs=false", "-o", out, source).CombinedOutput(); err != nil {
			tb.Fatalf("building %s: %v\n%s", source, err, text)
		}
	}
	if err := os.WriteFile(s.demo, demoLathe, 0o644); err != nil {
		tb.Fatal(err)
	}
	return s
}

// predict is the command line that is measured.
func (s startup) predict() []string {
	return []string{s.wornway, "predict", s.demo, "--from", "4in", "--to", "12in", "--diameter", "1in"}
}

// process runs a command once and returns its wall time, ms, and its peak of resident memory, MiB.
func (s startup) process(tb testing.TB, command ...string) (ms, mib float64) {
	tb.Helper()
	// From a small process of its own: Linux counts the memory of the process that starts another into the other's
	// peak.
	c := exec.Command(s.peak, command...)
	c.Stderr = os.Stderr
	text, err := c.Output()
	if err != nil {
		tb.Fatalf("%s: %v", strings.Join(command, " "), err)
	}
	var ns, kib int64
	if _, err := fmt.Sscan(string(text), &ns, &kib); err != nil {
		tb.Fatalf("%q: %v", text, err)
	}
	return float64(ns) / 1e6, float64(kib) / 1024
}

// BenchmarkStartup runs predict on the demonstration lathe and the bare program in turn, whole processes both, and
// reports the medians of their times, the ratio of these, and the peaks of memory.
//
//	go test ./cmd/wornway -run '^$' -bench Startup -benchtime 100x
func BenchmarkStartup(b *testing.B) {
	s := buildStartup(b)
	var times [2][]float64
	var peaks [2]float64
	for b.Loop() {
		for i, command := range [][]string{s.predict(), {s.bare}} {
			ms, mib := s.process(b, command...)
			times[i] = append(times[i], ms)
			peaks[i] = max(peaks[i], mib)
		}
	}
	for i := range times {
		slices.Sort(times[i])
	}
	wornway, bare := times[0][len(times[0])/2], times[1][len(times[1])/2]
	b.ReportMetric(0, "ns/op") // both processes and the measuring around them: of no use
	b.ReportMetric(wornway, "ms-wornway")
	b.ReportMetric(bare, "ms-bare")
	b.ReportMetric(wornway/bare, "ratio")
	b.ReportMetric(peaks[0], "MiB-wornway")
	b.ReportMetric(peaks[1], "MiB-bare")
	if wornway > startupRatio*bare {
		b.Logf("goal missed: predict takes %.1f times as long as the bare program, at most %.1f is wanted",
			wornway/bare, startupRatio)
	}
}

// The time of a process depends on what else the machine does, its memory does not: that is held to at every test.
func TestPeakMemory(t *testing.T) {
	s := buildStartup(t)
	if _, mib := s.process(t, s.predict()...); mib > startupPeak {
		t.Errorf("predict on the demonstration lathe takes %.1f MiB, at most %d are wanted", mib, startupPeak)
	}
}
