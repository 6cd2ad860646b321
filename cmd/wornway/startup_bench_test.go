//go:build linux

package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/invented"
	"wornway/cmd/wornway/internal/ways"
)

// Goals for a whole wornway process on the demonstration lathe.
const (
	// at most so many times as long as a program that is linked with the same libraries and draws one table
	startupRatio = 1.5
	startupPeak  = 30 // MiB of resident memory at most
)

// startup holds the programs whose whole processes are compared.
type startup struct{ wornway, bare, peak, demo string }

// buildStartup builds them into a folder that is removed again; the bare one where it is compared with.
func buildStartup(tb testing.TB, bare bool) startup {
	tb.Helper()
	dir := tb.TempDir()
	s := startup{filepath.Join(dir, "wornway"), filepath.Join(dir, "bare"), filepath.Join(dir, "peak"),
		filepath.Join(dir, "demo.toml")}
	for out, source := range map[string]string{s.wornway: ".", s.bare: "../../testdata/startup/bare",
		s.peak: "../../testdata/startup/peak"} {
		if out == s.bare && !bare {
			continue
		}
		if text, err := exec.Command("go", "build", "-buildvcs=false", "-o", out, source).CombinedOutput(); err != nil {
			tb.Fatalf("building %s: %v\n%s", source, err, text)
		}
	}
	if err := os.WriteFile(s.demo, invented.Lathe, 0o644); err != nil {
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
	s := buildStartup(b, true)
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

// millionPeak, MiB of resident memory, is the most that a million rows of stated wear may take.
const millionPeak = 500

// millionRows is the command line that reports wear stated in a million rows.
func (s startup) millionRows(tb testing.TB, more ...string) []string {
	tb.Helper()
	var b strings.Builder
	b.WriteString("position,front,rear,shift\n")
	const n = 1_000_000
	for i := range n {
		x := float64(i) / (n - 1)
		hump := 16 * x * x * (1 - x) * (1 - x)
		fmt.Fprintf(&b, "%.7g,%.6f,%.6f,%.6f\n", 1000*x, 0.1*hump, 0.02*hump, -0.01*hump)
	}
	folder := filepath.Dir(s.demo)
	for name, text := range map[string]string{"wear.csv": b.String(), "million.toml": "format = 1\nunit = \"mm\"\n" +
		"[lathe]\ncentre_height = 150\nway_span = 200\nbed = [0, 1000]\n[lathe.saddle]\nbearing_length = 300\n" +
		"tool_offset = -20\n[wear]\nfile = \"wear.csv\"\nuncertainty = 0.003\n"} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			tb.Fatal(err)
		}
	}
	return append([]string{s.wornway, "wear", filepath.Join(folder, "million.toml")}, more...)
}

// The time of a process depends on what else the machine does, its memory does not: that is held to at every test. A
// million rows of stated wear keep within memory too, and JSON says of them all that it says of a few.
func TestPeakMemory(t *testing.T) {
	alongside(t)
	s := buildStartup(t, false)
	if _, mib := s.process(t, s.predict()...); mib > startupPeak {
		t.Errorf("predict on the demonstration lathe takes %.1f MiB, at most %d are wanted", mib, startupPeak)
	}
	if testing.Short() {
		return // the million take some seconds
	}
	answer := filepath.Join(t.TempDir(), "million.json")
	if _, mib := s.process(t, s.millionRows(t, "--json", "-o", answer)...); mib > millionPeak {
		t.Errorf("%.0f MiB of memory; the goal is %d", mib, millionPeak)
	}
	text, err := os.ReadFile(answer)
	if err != nil {
		t.Fatal(err)
	}
	var j ways.WearJSON
	if err := json.Unmarshal(text, &j); err != nil {
		t.Fatal(err)
	}
	// Six usual lengths fit the bed. The hump is 0.1 at its middle by its formula, and only there.
	if len(j.Regrind) != 6 || len(j.Stations) < 20 || j.Deepest == nil || j.Deepest.Way != "front" ||
		j.Deepest.Drop != 0.1 || math.Abs(j.Deepest.Position-500) > 1 {
		t.Errorf("%d lengths, %d stations, deepest %+v", len(j.Regrind), len(j.Stations), j.Deepest)
	}
}

// BenchmarkMillionRows: wear stated in a million rows, as a whole process.
func BenchmarkMillionRows(b *testing.B) {
	s := buildStartup(b, false)
	line := s.millionRows(b)
	b.ResetTimer()
	peak := 0.0
	for b.Loop() {
		_, mib := s.process(b, line...)
		peak = max(peak, mib)
	}
	b.ReportMetric(peak, "MiB")
}
