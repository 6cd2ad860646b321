package main

import (
	"math"
	"os"
	"reflect"
	"strings"
	"testing"
)

// A lathe and two jobs, invented. The jobs are the same part, in millimetres and in inches.
const (
	jobLathe = `format = 1
unit = "mm"
[lathe]
name = "Worn lathe (invented)"
centre_height = 150
way_span = 200
bed = [-200, 1000]
[lathe.saddle]
bearing_length = 250
tool_offset = -25
[lathe.cross_slide]
dial = "diameter"
division = 0.02
backlash = 0.1
[lathe.holding]
jaws_front = 80
headstock_centre = 60
longest_overhang = 5
[wear]
columns = ["position", "front", "rear", "shift"]
uncertainty = 0.002
rows = [[-200, 0, 0, 0], [0, 0.02, 0.01, 0.002], [150, 0.08, 0.03, 0.01], [300, 0.05, 0.02, 0.006],
  [600, 0.01, 0, 0], [1000, 0, 0, 0]]
`
	jobMM = `format = 1
unit = "mm"
[job]
name = "Stub (invented)"
length = 190.5
stock_diameter = 50.8
stock_length = 254
tool_height = -0.254
held = "chuck"
[[feature]]
name = "seat"
from = 76.2
to = 177.8
diameter = 38.1
spread = 0.0254
`
	jobInch = `format = 1
unit = "in"
[job]
name = "Stub (invented)"
length = 7.5
stock_diameter = 2
stock_length = 10
tool_height = -0.01
held = "chuck"
[[feature]]
name = "seat"
from = 3
to = 7
diameter = 1.5
spread = 0.001
`
)

func jobShop(t *testing.T) {
	t.Helper()
	workshop(t)
	for name, text := range map[string]string{"worn.toml": jobLathe, "stub-mm.toml": jobMM, "stub-in.toml": jobInch} {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// only is the one feature of an answer for a job.
func only(t *testing.T, a map[string]any) map[string]any {
	t.Helper()
	fs, _ := a["features"].([]any)
	if len(fs) != 1 {
		t.Fatalf("%d features", len(fs))
	}
	return fs[0].(map[string]any)
}

// In the chuck and without a cut that bends it, a part of one feature is just a length: each number is the one that the
// flags give.
func TestJobOfOneLengthIsThatLength(t *testing.T) {
	alongside(t)
	jobShop(t)
	flags := split("--from 126.2 --to 227.8 --diameter 38.1 --tool-height -0.254 --tolerance 0.0254 --every 10 --json")
	job := split("--job stub-mm.toml --at 50 --every 10 --json")
	for _, command := range []string{"predict", "correct"} {
		plain := decoded(t, invoke(append([]string{command, "worn.toml"}, flags...)...))
		got := only(t, decoded(t, invoke(append([]string{command, "worn.toml"}, job...)...)))
		compared := 0
		for k, v := range plain {
			switch k {
			case "format", "lathe", "unit", "assumed", "warnings", "held", "overhang": // the last two are the part's
				continue
			}
			compared++
			if !alike(map[string]any{k: got[k]}, map[string]any{k: v}, 1, 1e-9) {
				t.Errorf("%s, %s: %v with --job, %v with flags", command, k, got[k], v)
			}
		}
		if compared < 15 {
			t.Errorf("%s: only %d keys", command, compared)
		}
	}
	plain := decoded(t, invoke(split("place worn.toml --length 101.6 --diameter 38.1 --tool-height -0.254 --tolerance "+
		"0.0254 --reach 90,500 --every 50 --json")...))
	got := only(t, decoded(t, invoke(split("place worn.toml --job stub-mm.toml --reach 90,500 --every 50 --json")...)))
	for k, within := range map[string]float64{"length": 1e-9, "best": 1e-5, "worst": 1e-5, "probability": 1e-9,
		"tolerance": 1e-9, "reach": 1e-9, "starts": 1e-5, // a quantile of draws jumps from one draw to its neighbour
		"good": 2e-4} { // where one draw of 400 more keeps the tolerance
		if !alike(map[string]any{k: got[k]}, map[string]any{k: plain[k]}, 1, within) {
			t.Errorf("place, %s: %v with --job, %v with flags", k, got[k], plain[k])
		}
	}
	if at, best := got["at"].(float64),
		got["best"].(map[string]any)["from"].(float64); math.Abs(at-(best-76.2)) > 1e-9 {
		t.Errorf("the part lies at %v, its feature at %v", at, best)
	}
}

// alike says whether two JSON values have the same numbers, the second times a scale, to a relative tolerance (of a
// micrometre at least).
func alike(a, b any, scale, within float64) bool {
	switch y := b.(type) {
	case float64:
		x, ok := a.(float64)
		return ok && math.Abs(x-y*scale) <= within*math.Max(1e-3, math.Abs(x))
	case []any:
		x, ok := a.([]any)
		if !ok || len(x) != len(y) {
			return false
		}
		for i := range y {
			if !alike(x[i], y[i], scale, within) {
				return false
			}
		}
		return true
	case map[string]any:
		x, ok := a.(map[string]any)
		if !ok {
			return false
		}
		for k := range y {
			if k == "probability" { // drawn at random, at places that rounding may move
				p, ok1 := x[k].(float64)
				q, ok2 := y[k].(float64)
				if !ok1 || !ok2 || math.Abs(p-q) > 2e-3 {
					return false
				}
				continue
			}
			if !alike(x[k], y[k], scale, within) {
				return false
			}
		}
		return true
	}
	return reflect.DeepEqual(a, b)
}

// A job in inches on a lathe in millimetres is told of in inches, and is the same job.
func TestUnitsOfJobsAreAlike(t *testing.T) {
	alongside(t)
	jobShop(t)
	for _, line := range []string{"predict worn.toml --at 50mm --every 5.08mm", "predict worn.toml --every 5.08mm",
		"correct worn.toml --at 50mm --every 5.08mm --allow 15um"} {
		mm := decoded(t, invoke(append(split(line), "--job", "stub-mm.toml", "--json")...))
		inch := decoded(t, invoke(append(split(line), "--job", "stub-in.toml", "--json")...))
		if mm["unit"] != "mm" || inch["unit"] != "in" {
			t.Errorf("%s: units %v and %v", line, mm["unit"], inch["unit"])
		}
		a, b := only(t, mm), only(t, inch)
		for _, k := range []string{"from", "to", "diameter", "set_at", "tool_height", "spread", "form", "spread_95",
			"tolerance", "moves_spread_left"} {
			if !alike(a[k], b[k], 25.4, 1e-6) {
				t.Errorf("%s, %s: %v mm, %v in", line, k, a[k], b[k])
			}
		}
		if !alike(mm["at"], inch["at"], 25.4, 1e-6) {
			t.Errorf("%s: the part lies at %v mm, %v in", line, mm["at"], inch["at"])
		}
		near := 1e-3
		if strings.HasPrefix(line, "correct") { // a move stands at a round place of the unit, 170 mm and 6 3/4 in here
			near = 5e-3
		}
		if !alike(a["probability"], b["probability"], 1, near) {
			t.Errorf("%s: probability %v, %v", line, a["probability"], b["probability"])
		}
		for i, s := range a["stations"].([]any) {
			for _, k := range []string{"position", "tool_out", "tool_drop", "diameter_error", "uncertainty"} {
				if o := b["stations"].([]any)[i].(map[string]any); !alike(s.(map[string]any)[k], o[k], 25.4, 1e-6) {
					t.Errorf("%s, station %d, %s: %v mm, %v in", line, i, k, s.(map[string]any)[k], o[k])
				}
			}
		}
	}
}
