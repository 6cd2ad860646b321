package shop

import (
	"slices"
	"testing"
)

// The names that turners give to the tools beside those in the list: common practice, no source.
func TestParseTools(t *testing.T) {
	for text, want := range map[string][]string{
		"dial indicator, DTI, mikes and a level":      {"indicator", "micrometer", "level"},
		"Feeler gauges; straight edge, test bar":      {"leaves", "straightedge", "bar"},
		"deep micrometer, micrometer":                 {"deep-micrometer", "micrometer"},
		"level and mic":                               {"level", "micrometer"},
		"indicator,indicator":                         {"indicator"},
		"none":                                        {},
		"no":                                          {},
		"clock, clocks and a machinist's level":       {"indicator", "level"},
		"leaves, indicators, precision level, bridge": {"leaves", "indicator", "level", "bridge"},
	} {
		if got, err := ParseTools(text); err != nil || !slices.Equal(got, want) {
			t.Errorf("%q: %v, %v; want %v", text, got, err, want)
		}
	}
	if got, err := ParseTools(""); got != nil || err != nil {
		t.Errorf("nothing said: %v, %v; want nil, for all", got, err)
	}
	for _, text := range []string{"spanner", "leaf", "clockwork", "no level"} {
		if got, err := ParseTools(text); err == nil {
			t.Errorf("%q: %v, want an error", text, got)
		}
	}
}
