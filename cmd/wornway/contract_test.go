package main

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/invented"
	"wornway/cmd/wornway/internal/show"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/length"
)

// The keys of JSON output are a promise to whoever reads it with a program: each with its kind. A kind ending in ? may
// be null. More keys may be added.
var promised = map[string][]string{
	"predict demo.toml --from 4 --to 12 --diameter 1": append([]string{
		"stations[] list", "stations[].position number", "stations[].tool_out number", "stations[].tool_drop number",
		"stations[].diameter_error number",
		"stations[].uncertainty number?",
	}, promisedCut...),
	"correct demo.toml --from 4 --to 20 --diameter 1": append([]string{
		"table[] list", "table[].position number", "table[].dial number", "table[].divisions number",
		"table[].direction string", "table[].diameter_error_left number",
		"table_spread_left number",
		"moves[] list", "moves[].position number", "moves[].divisions number", "moves[].direction string",
		"moves[].dial number", "moves[].take_up bool",
		"moves_spread_left number", "spread_before number", "dial_limit number", "feed string", "allow number",
	}, promisedCut...),
	"wear demo.toml": {
		"format number", "lathe string", "unit string",
		"stations[] list", "stations[].position number", "stations[].front number", "stations[].rear number",
		"stations[].shift number",
		"stations[].u_front number?", "stations[].u_rear number?", "stations[].u_shift number?",
		"stations[].low_front number?", "stations[].high_front number?", "stations[].low_rear number?",
		"stations[].high_rear number?",
		"deepest.way string", "deepest.position number", "deepest.drop number", "deepest.uncertainty number?",
		"deepest.low number?", "deepest.high number?",
		"worn.from number", "worn.to number", "twist number", "surveys list", "unseen list", "assumed list",
		"warnings list",
	},
	"wear demo.toml --for 4,12 --tolerance 0.5thou": {
		"format number", "lathe string", "unit string", "from number", "to number", "diameter number",
		"tolerance number?", "blind bool", "now number?", "lean_uncertainty number?", "first string?",
		"second string?",
		"surveys[] list", "surveys[].method string", "surveys[].what string", "surveys[].touches string",
		"surveys[].after number", "surveys[].shrinks_by number", "surveys[].with_first number",
		"surveys[].possible bool?", "surveys[].possible_with_first bool?", "surveys[].spindle bool",
		"surveys[].tools string", "surveys[].power bool", "surveys[].minutes number",
		"surveys[].positions[] list", "surveys[].block string", "quick null", "assumed list", "warnings list",
	},
	"wear demo.toml --verdict": {
		"format number", "lathe string", "unit string", "diameter number",
		"lengths[] list", "lengths[].length number", "lengths[].anywhere number", "lengths[].at_best number",
		"lengths[].best_from number", "lengths[].corrected_anywhere number?",
		"lengths[].corrected_at_best number?", "lengths[].after_regrind number?", "lengths[].probable bool",
		"tolerances[] list", "tolerances[].tolerance number", "tolerances[].anywhere number?",
		"tolerances[].at_best number?", "tolerances[].corrected_anywhere number?",
		"tolerances[].corrected_at_best number?", "tolerances[].after_regrind number?",
		"deepest.way string", "deepest.position number", "deepest.drop number", "deepest.uncertainty number?",
		"deepest.low number?", "deepest.high number?",
		"damage list", "unseen list", "assumed list", "warnings list",
	},
	"place demo.toml --length 6 --diameter 1 --tolerance 2thou": {
		"format number", "lathe string", "unit string", "length number", "diameter number",
		"best.from number", "best.to number", "best.spread number", "good[] list", "good[].from number",
		"good[].to number", "best.spread_95 number?", "best.limited_by string?",
		"worst.from number", "worst.to number", "worst.spread number", "starts[] list", "starts[].from number",
		"starts[].spread number", "starts[].spread_95 number?", "starts[].limited_by string?",
		"assumed list", "warnings list", "tolerance number?", "probability number?",
	},
	"check demo.toml --measured collars.csv": {
		"format number", "lathe string", "unit string", "date string", "held string", "held_at number?",
		"set_at number", "diameter number", "centre_height number", "tool_height number",
		"stations[] list", "stations[].position number", "stations[].diameter number", "stations[].measured number",
		"stations[].predicted number", "stations[].difference number",
		"stations[].uncertainty number?", "stations[].en number?", "stations[].u_measured number",
		"stations[].u_predicted number?",
		"verdict string", "chi_square number?", "freedom number?", "probability number?", "taper.slope number",
		"taper.uncertainty number", "looks string", "assumed list", "warnings list",
	},
	"compare last-year.toml demo.toml": {
		"format number", "lathe string", "unit string", "old.name string", "old.surveys number", "old.from string",
		"old.to string", "new.name string", "years number?",
		"stations[] list", "stations[].position number", "stations[].front number", "stations[].rear number",
		"stations[].shift number", "stations[].tool_out number",
		"stations[].u_front number?", "stations[].u_rear number?", "stations[].u_shift number?",
		"stations[].u_tool_out number?",
		"verdict string", "chi_square number?", "freedom number?", "probability number?", "greatest.way string",
		"greatest.position number", "greatest.grown number", "greatest.uncertainty number?",
		"greatest.per_year number?", "tool.grown number", "twist.old number", "twist.new number", "twist.more number",
		"twist.uncertainty number?", "assumed list", "warnings list",
	},
	"predict demo.toml --job shaft.toml": append([]string{
		"features[] list", "features[].name string", "features[].turned bool", "features[].why string?",
		"features[].from number", "features[].to number", "features[].diameter number",
		"features[].set_at number", "features[].stations[] list", "features[].stations[].position number",
		"features[].stations[].diameter_error number", "features[].stations[].bending number",
		"features[].taper.slope number", "features[].spread number", "features[].bending number?",
		"features[].lower number?", "features[].upper number?", "features[].limits_leave number?",
		"features[].taper_limit number?", "features[].taper_probability number?",
	}, promisedJob...),
	"correct demo.toml --job shaft.toml": append([]string{
		"features[] list", "features[].name string", "features[].turned bool", "features[].feed string",
		"features[].allow number", "features[].table[] list", "features[].moves list",
		"features[].moves_spread_left number", "features[].spread_before number", "features[].dial_limit number",
	}, promisedJob...),
	"place demo.toml --job shaft.toml": {
		"format number", "job string", "lathe string", "unit string", "features[] list", "features[].name string",
		"features[].at number", "features[].best.from number", "features[].best.spread number",
		"features[].good[] list", "features[].good_at[] list", "features[].good_at[].from number",
		"features[].starts[] list", "features[].probability number?", "assumed list", "warnings list",
	},
	"check demo.toml --job shaft.toml --measured seats.csv": append([]string{
		"features[] list", "features[].name string", "features[].compared bool", "features[].why string?",
		"features[].verdict string", "features[].stations[] list", "features[].stations[].en number?",
		"verdict string", "chi_square number?", "freedom number?", "probability number?",
	}, promisedJob...),
	"show demo.toml": {"events list", "format number", "lathe string", "unit string", "wear.rows number",
		"surveys list", "damage list", "commands list", "warnings list"},
}

var promisedJob = []string{
	"format number", "job string", "lathe string", "unit string", "held string", "at number", "end_for_end bool",
	"set_over number", "steady number?", "assumed list", "warnings list",
}

var promisedCut = []string{
	"format number", "lathe string", "unit string", "from number", "to number", "diameter number", "set_at number",
	"centre_height number", "tool_height number",
	"taper.slope number", "taper.ends number", "form number", "spread number",
	"largest.position number", "largest.diameter_error number", "smallest.position number",
	"smallest.diameter_error number",
	"assumed list", "warnings list",
}

func TestJSONKeys(t *testing.T) {
	alongside(t)
	workshop(t)
	for line, keys := range promised {
		v := decoded(t, report(t, "", line).as(show.Format{Kind: show.JSON}))
		for _, k := range keys {
			path, kind, _ := strings.Cut(k, " ")
			for _, e := range follow(t, v, strings.Split(path, ".")) {
				if got := kindOf(e); got != strings.TrimSuffix(kind, "?") &&
					!(got == "null" && strings.HasSuffix(kind, "?")) {
					t.Errorf("%s: %s is a %s, promised is a %s", line, path, got, kind)
				}
			}
		}
		if v["format"] != 1.0 || v["unit"] != "in" {
			t.Errorf("%s: format %v, unit %v", line, v["format"], v["unit"])
		}
	}
}

// failing is what a test and a property have in common.
type failing interface {
	Helper()
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
}

// decoded decodes the JSON on standard output; of a command line that gave its answer.
func decoded(t failing, a outcome) map[string]any {
	t.Helper()
	if a.status != env.ExitDone && a.status != env.ExitNotHeld {
		t.Fatalf("exit status %d: %s", a.status, a.stderr)
	}
	if a.stderr != "" {
		t.Errorf("beside JSON, standard error says %s", a.stderr)
	}
	d := json.NewDecoder(strings.NewReader(a.stdout))
	var v map[string]any
	if err := d.Decode(&v); err != nil {
		t.Fatalf("standard output is not JSON: %v\n%s", err, a.stdout)
	}
	if d.More() {
		t.Errorf("there is more than one JSON value")
	}
	return v
}

// follow returns the values at a path; where a step ends in [] the rest of the path holds for every entry, of which
// there must be one at least.
func follow(t *testing.T, v any, path []string) []any {
	t.Helper()
	for i, step := range path {
		key, each := strings.CutSuffix(step, "[]")
		in, ok := v.(map[string]any)
		if !ok {
			t.Errorf("%v: is no object", path[:i])
			return nil
		}
		if v, ok = in[key]; !ok {
			t.Errorf("%v is missing", path[:i+1])
			return nil
		}
		if !each {
			continue
		}
		list, ok := v.([]any)
		if !ok || len(list) == 0 {
			t.Errorf("%v is no list with entries", path[:i+1])
			return nil
		}
		if i == len(path)-1 {
			return []any{v}
		}
		var all []any
		for _, e := range list {
			all = append(all, follow(t, e, path[i+1:])...)
		}
		return all
	}
	return []any{v}
}

func kindOf(v any) string {
	switch v.(type) {
	case nil:
		return "null"
	case float64:
		return "number"
	case string:
		return "string"
	case bool:
		return "bool"
	case []any:
		return "list"
	}
	return "object"
}

// The numbers are those that the libraries compute, in the file's unit and unrounded.
func TestJSONNumbersAreTheLibrarys(t *testing.T) {
	alongside(t)
	workshop(t)
	const inch = 25.4
	l := opened(t, string(invented.Lathe))
	m := l.Machine
	cut := compensate.Cut{Feature: work.Feature{From: 4 * inch, To: 12 * inch, Diameter: 1 * inch}, SetAt: 11 * inch,
		ToolHeight: -0.005 * inch}
	c, err := m.Curve(cut)
	if err != nil {
		t.Fatal(err)
	}
	same := func(what string, got any, want float64) {
		t.Helper()
		if x, ok := got.(float64); !ok || math.Abs(x-want) > 1e-13*math.Max(1, math.Abs(want)) {
			t.Errorf("%s = %v, the library has %v", what, got, want)
		}
	}
	v := decoded(t, invoke(split(
		"predict demo.toml --from 4 --to 304.8mm --diameter 1 --set-at 11 --tool-height -5thou "+
			"--every 1 --json")...))
	stations := v["stations"].([]any)
	if len(stations) != 9 {
		t.Fatalf("%d stations from 4 to 12 in by 1", len(stations))
	}
	for i, e := range stations {
		s, z := e.(map[string]any), float64(4+i)
		want := c.Station(z * inch)
		same("position", s["position"], z)
		same("tool_out", s["tool_out"], want.ToolOut/inch)
		same("tool_drop", s["tool_drop"], want.ToolDrop/inch)
		same("diameter_error", s["diameter_error"], want.DiameterError/inch)
		same("uncertainty", s["uncertainty"], want.Uncertainty/inch)
	}
	taper := c.Taper()
	same("taper.slope", v["taper"].(map[string]any)["slope"], taper.Line.Slope)
	same("taper.ends", v["taper"].(map[string]any)["ends"], taper.Ends/inch)
	same("ends are from minus to", v["taper"].(map[string]any)["ends"], (c.At(4*inch, 0)-c.At(12*inch, 0))/inch)
	same("form", v["form"], taper.Form/inch)
	same("spread", v["spread"], taper.Spread/inch)
	same("largest", v["largest"].(map[string]any)["diameter_error"], taper.Largest.Value/inch)
	same("smallest", v["smallest"].(map[string]any)["position"], taper.Smallest.Position/inch)
	same("set_at", v["set_at"], 11)
	same("tool_height", v["tool_height"], -0.005)
	same("centre_height", v["centre_height"], 6)
	same("diameter", v["diameter"], 1)

	w := decoded(t, invoke(split("wear demo.toml --every 2 --json")...))
	for _, e := range w["stations"].([]any) {
		s := e.(map[string]any)
		z := s["position"].(float64) * inch
		same("front", s["front"], m.Wear.Value(bed.At(bed.Front, 0), z)/inch)
		same("rear", s["rear"], m.Wear.Value(bed.At(bed.Rear, 0), z)/inch)
		same("shift", s["shift"], m.Wear.Value(bed.At(bed.Shift, 0), z)/inch)
	}
	at, drop := m.Wear.Deepest(bed.Front)
	same("deepest.drop", w["deepest"].(map[string]any)["drop"], drop/inch)
	same("deepest.position", w["deepest"].(map[string]any)["position"], at/inch)
	same("u_front at a row is the row's", w["stations"].([]any)[0].(map[string]any)["u_front"], 0.00008)

	pl := decoded(t, invoke(split("place demo.toml --length 6 --diameter 1 --every 4 --json")...))
	for _, e := range append(pl["starts"].([]any), pl["best"], pl["worst"]) {
		s := e.(map[string]any)
		from := s["from"].(float64) * inch
		k, err := m.Curve(compensate.Cut{Feature: work.Feature{From: from, To: from + 6*inch, Diameter: inch},
			SetAt: from + 6*inch})
		if err != nil {
			t.Fatal(err)
		}
		// 0.25 nm: how finely extremes are looked for
		if got, want := s["spread"].(float64), k.Spread()/inch; math.Abs(got-want) > 1e-8 {
			t.Errorf("place: spread from %v is %v, its own curve has %v", s["from"], got, want)
		}
	}
	best := pl["best"].(map[string]any)["spread_95"].(float64)
	worst := pl["worst"].(map[string]any)["spread_95"].(float64)
	for _, e := range pl["starts"].([]any) {
		if s := e.(map[string]any)["spread_95"].(float64); s < best-1e-6 || s > worst+1e-6 {
			t.Errorf("place: a start keeps within %v, best is %v and worst %v", s, best, worst)
		}
	}
}

// The table and the moves of correct, applied again to the predicted curve, leave what they say: a setting holds from
// its position to the next in feed order.
func TestJSONCorrectionsLeaveWhatTheySay(t *testing.T) {
	alongside(t)
	workshop(t)
	const inch = 25.4
	l := opened(t, string(invented.Lathe))
	m := l.Machine
	for _, line := range []string{
		"correct demo.toml --from 4 --to 20 --diameter 1", "correct demo.toml --from 12 --to 24 --diameter 1",
		"correct demo.toml --from 2 --to 14 --diameter 1 --bore",
		"correct demo.toml --from 4 --to 20 --diameter 1 --feed tailstock",
		"correct demo.toml --from 4 --to 20 --diameter 1 --allow 0.3thou --feed headstock",
		"correct demo.toml --from 6 --to 20 --diameter 1 --set-at 9 --every 3",
		"correct demo.toml --from 12 --to 24 --diameter 1 --compound-angle 5.74",
	} {
		v := decoded(t, invoke(append(split(line), "--json")...))
		num := func(k string) float64 { return v[k].(float64) }
		c, err := m.Curve(compensate.Cut{Feature: work.Feature{From: num("from") * inch, To: num("to") * inch,
			Diameter: num("diameter") * inch, Bore: v["bore"].(bool)}, SetAt: num("set_at") * inch})
		if err != nil {
			t.Fatal(err)
		}
		// What a division of the dial takes off the radius: the demonstration's cross slide counts diameter, its
		// compound the slide's way.
		radius := 0.5
		if angle, ok := v["compound_angle"].(float64); ok {
			radius = math.Sin(angle * math.Pi / 180)
		}
		start, end, ahead := num("to"), num("from"), -1.0
		if v["feed"] == "tailstock" {
			start, end, ahead = end, start, 1
		}
		for _, which := range []string{"table", "moves"} {
			list := v[which].([]any)
			type setting struct{ at, dial float64 }
			settings := []setting{{start, 0}}
			before := 0.0
			for _, e := range list {
				s := e.(map[string]any)
				at, dial, div, dir := s["position"].(float64), s["dial"].(float64), s["divisions"].(float64),
					s["direction"].(string)
				change := map[string]float64{"in": div, "out": -div, "none": 0}[dir] * 0.001
				if math.Abs(before+change-dial) > 1e-12 || div < 0 || (dir == "none") != (div == 0) {
					t.Errorf("%s: %s at %v: %v %s after %v on the dial makes %v?", line, which, at, div, dir, before,
						dial)
				}
				if take, ok := s["take_up"].(bool); ok && take != (dir == map[bool]string{false: "out",
					true: "in"}[c.Bore]) {
					t.Errorf("%s: %s at %v: take_up is %v for a move %s", line, which, at, take, dir)
				}
				if last := settings[len(settings)-1].at; (at-last)*ahead < 0 {
					t.Errorf("%s: %s: %v comes after %v, against the feed", line, which, at, last)
				}
				settings, before = append(settings, setting{at, dial}), dial
			}
			if settings[len(settings)-1].at != end {
				settings = append(settings, setting{end, before})
			}
			least, most := math.Inf(1), math.Inf(-1)
			for i := 0; i+1 < len(settings); i++ {
				a, b := settings[i].at, settings[i+1].at
				worst := 0.0
				const steps = 400
				for k := 0; k <= steps; k++ {
					// where the dial was set, the diameter is not the nominal one but the aim
					e := c.At((a+(b-a)*float64(k)/steps)*inch, settings[i].dial*radius*inch)/inch +
						num("aim") - num("diameter")
					if a != b || len(settings) == 2 {
						least, most = math.Min(least, e), math.Max(most, e)
					}
					if math.Abs(e) > math.Abs(worst) {
						worst = e
					}
				}
				if i == 0 { // before the first entry of the list
					continue
				}
				if left := list[i-1].(map[string]any)["diameter_error_left"].(float64); math.Abs(math.Abs(left)-
					math.Abs(worst)) > 2e-6 {
					t.Errorf("%s: %s at %v leaves %v at worst, it says %v", line, which, a, worst, left)
				}
			}
			if left := num(which + "_spread_left"); math.Abs(left-(most-least)) > 2e-6 {
				t.Errorf("%s: %s leave a spread of %v, they say %v", line, which, most-least, left)
			}
			// what is allowed is meant about the middle, from which the aim is off by half of what a micrometer shows
			if off := 0.0001 / 2; which == "moves" && ((most-least)/2 > num("allow")+1e-7 ||
				math.Max(most, -least) > num("allow")+off+1e-7) {
				t.Errorf("%s: moves let the diameter stray to %v … %v, allowed is ± %v", line, least, most,
					num("allow"))
			}
		}
		if limit := num("dial_limit"); math.Abs(limit-math.Min(num("spread_before"), 2*0.5*0.001*radius)) > 1e-12 {
			t.Errorf("%s: dial_limit %v", line, limit)
		}
	}
}

// JSON stays JSON where there are warnings: they are in it, and not on standard error.
func TestJSONWithWarnings(t *testing.T) {
	alongside(t)
	if testing.Short() {
		t.Skip("makes many estimates")
	}
	workshop(t)
	odd := strings.Replace(string(invented.Lathe), "centre_height = 6.0 ", "centre_height = 16.0 ", 1)
	if odd == string(invented.Lathe) {
		t.Fatal("the demonstration lathe has another centre height")
	}
	odd = strings.Replace(odd, `name = "Demonstration lathe (invented)"`,
		`name = "The \"odd\" one <&> \\ µ \u001b[31m"`, 1)
	for line := range promised {
		command, rest, _ := strings.Cut(line, " demo.toml")
		if strings.HasPrefix(command, "compare ") {
			continue // it refuses the other lathe; its warnings are tried in a script
		}
		a := report(t, odd, command+" -"+rest)
		v := decoded(t, a.as(show.Format{Kind: show.JSON}))
		warnings := v["warnings"].([]any)
		if len(warnings) == 0 || !strings.Contains(fmt.Sprint(warnings...), "times the way span") {
			t.Errorf("%s: the warnings are %v", line, warnings)
		}
		if v["lathe"] != "The \"odd\" one <&> \\ µ \x1b[31m" {
			t.Errorf("%s: the lathe's name is %q", line, v["lathe"])
		}
		if text := a.as(show.Format{}); strings.Contains(text.stdout, "\x1b") ||
			!strings.Contains(text.stdout, "Warning: ") {
			t.Errorf("%s: as text, no warning, or a control character:\n%s", line, text.stdout)
		}
	}
}

// An inch file and a suffix on a flag count alike.
func TestJSONUnitsOfFlags(t *testing.T) {
	alongside(t)
	workshop(t)
	plain := invoke(split("predict demo.toml --from 4 --to 12 --diameter 1 --set-at 8 --tool-height 0.01 --tolerance " +
		"0.002 --every 0.5 --centre-height 6.25 --json")...)
	mixed := invoke(split("predict demo.toml --from 101.6mm --to 12in --diameter 25400um --set-at 8000thou " +
		"--tool-height 10thou --tolerance 50.8um --every 12.7mm --centre-height 158.75mm --json")...)
	if plain != mixed || plain.status != env.ExitNotHeld && plain.status != env.ExitDone {
		t.Errorf("exit status %d and %d\n%s\n%s", plain.status, mixed.status, plain.stdout, mixed.stdout)
	}
	if x := length.Inch.ToMM(6.25); x != 158.75 {
		t.Errorf("6.25 in is %v mm", x)
	}
}
