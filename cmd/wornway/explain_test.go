package main

import (
	"encoding/json"
	"math"
	"testing"

	"wornway/cmd/wornway/internal/turning"
)

// What explain takes apart is what predict says: the error, the tool's motion and the sum of the parts agree to 1e-12
// in the file's unit at every station, on each lathe, outside and in a bore.
func TestExplainTellsWhatPredictSays(t *testing.T) {
	alongside(t)
	workshop(t)
	for _, args := range []string{
		"demo.toml --from 4 --to 12 --diameter 1", "demo.toml --from 14 --to 20 --diameter 0.25 --tool-height -0.3mm " +
			"--bore", "demo.toml --from 4 --to 12 --diameter 2 --set-at 10in --centre-height 6.5",
		"second.toml --from 100 --to 300 --diameter 40",
	} {
		var p turning.PredictJSON
		if err := json.Unmarshal([]byte(invoke(split("predict "+args+" --json")...).stdout), &p); err != nil {
			t.Fatal(err)
		}
		for _, s := range p.Stations {
			var x turning.ExplainJSON
			at, _ := json.Marshal(s.Position)
			if err := json.Unmarshal([]byte(invoke(split("explain "+args+" --json --at "+string(at))...).stdout),
				&x); err != nil {
				t.Fatal(err)
			}
			sum := 0.0
			for _, k := range x.Portions {
				sum += k.Error
			}
			for what, d := range map[string]float64{"error": x.Error - s.DiameterError,
				"tool out": x.Here.ToolOut - *s.ToolOut, "tool drop": x.Here.ToolDrop - *s.ToolDrop,
				"sum of the parts": sum - s.DiameterError} {
				if math.Abs(d) > 1e-12 {
					t.Errorf("%s at %v: %s differs by %v", args, s.Position, what, d)
				}
			}
		}
	}
}
