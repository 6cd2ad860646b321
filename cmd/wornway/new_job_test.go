package main

import (
	"math"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/invented"
	"wornway/compensate/jobfile"
	"wornway/profile"
	"wornway/profile/document"
)

// The demonstration shaft reads without a fault or a warning, says that it is invented, and suits the demonstration
// lathe: it goes between its centres, and the tailstock's centre reaches its end.
func TestDemoJob(t *testing.T) {
	f, err := jobfile.Parse("shaft.toml", invented.Shaft)
	if err != nil {
		t.Fatal(err)
	}
	if first, _, _ := strings.Cut(string(invented.Shaft), "\n"); !strings.Contains(first, "invented") ||
		!strings.Contains(f.Job.Name, "invented") {
		t.Errorf("it does not say that it is invented: %s, %s", first, f.Job.Name)
	}
	if len(f.Warnings) > 0 {
		t.Errorf("warnings %v", f.Warnings)
	}
	part := f.Job.Part
	if len(f.Job.Features) != 3 || !(part.Cut.Radial > 0) {
		t.Fatalf("%+v", f.Job)
	}
	for _, s := range f.Job.Features {
		if s.Size == nil || !s.Asked() {
			t.Errorf("nothing is asked of %s", s.Name)
		}
	}
	p, err := profile.Parse(nil, "demo.toml", invented.Lathe)
	if err != nil {
		t.Fatal(err)
	}
	h := p.Lathe.Holding
	for what, tail := range map[string]float64{"in the chuck": h.JawsFront - part.Grip + part.StockLength,
		"between centres": h.HeadstockCentre + part.StockLength} {
		if tail < h.TailstockTravel.From || tail > h.TailstockTravel.To {
			t.Errorf("%s its end lies at %v mm, where the tailstock's centre does not reach", what, tail)
		}
	}
	if math.IsNaN(h.HeadstockCentre) || part.StockLength-part.Length < part.Grip {
		t.Errorf("the jaws have %v mm to hold, and need %v", part.StockLength-part.Length, part.Grip)
	}
}

// A template in place of a job is refused for what is missing, as every file is.
func TestJobTemplateIsNoJobYet(t *testing.T) {
	alongside(t)
	a := invoke("new", "--job", "-", "--unit", "mm")
	_, err := jobfile.Parse("new.toml", []byte(a.stdout))
	if faults, ok := err.(document.Faults); !ok || len(faults) != 6 {
		t.Errorf("%v", err)
	}
}
