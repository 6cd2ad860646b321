package main

import (
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"wornway/cmd/wornway/internal/word"
	_ "wornway/testdata/steady"
)

// One cut, held against the same lathe written in millimetres and in inches, gives the same answer, each in its own
// unit; and the two files hold the same wear.
func TestUnitsOfCutsAreAlike(t *testing.T) {
	alongside(t)
	workshop(t)
	const enough = 25 // lathes
	tried := 0
	rapid.Check(t, func(t *rapid.T) {
		if tried++; tried > enough {
			return
		}
		l := drawLathe(t)
		first, last := l.positions[0], l.positions[len(l.positions)-1]
		text := "unit = \"mm\"\n[[survey]]\nmethod = \"test-cut\"\ncolumns = [\"position\", \"diameter\"]\nrows = ["
		for i := range 4 {
			text += "[" + v3(first+(last-first)*(0.1+0.2*float64(i))) + ", " +
				v3(30+rapid.Float64Range(-0.01, 0.01).Draw(t, "off")) + "],"
		}
		for name, data := range map[string]string{"cut.toml": text + "]\n", "mm.toml": l.toml("mm", 1),
			"in.toml": l.toml("in", 25.4)} {
			if err := os.WriteFile(name, []byte(data), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		a, b := decoded(t, invoke("check", "mm.toml", "--measured", "cut.toml", "--json")),
			decoded(t, invoke("check", "in.toml", "--measured", "cut.toml", "--json"))
		same := func(what string, x, y any, inch float64) {
			p, ok1 := x.(float64)
			q, ok2 := y.(float64)
			if ok1 != ok2 || !ok1 && x != y || ok1 && math.Abs(p-q*inch) > 1e-6*math.Max(1e-3, math.Abs(p)) {
				t.Fatalf("%s: %v in mm, %v in inches", what, x, y)
			}
		}
		for _, k := range []string{"verdict", "chi_square", "freedom", "looks"} {
			same(k, a[k], b[k], 1)
		}
		for i, e := range a["stations"].([]any) {
			s, o := e.(map[string]any), b["stations"].([]any)[i].(map[string]any)
			same("en", s["en"], o["en"], 1)
			for _, k := range []string{"position", "diameter", "measured", "predicted", "difference", "uncertainty",
				"u_measured", "u_predicted"} {
				same(k, s[k], o[k], 25.4)
			}
		}
		c := decoded(t, invoke("compare", "mm.toml", "in.toml", "--json"))
		if c["verdict"] == "changed" || math.Abs(c["greatest"].(map[string]any)["grown"].(float64)) > 1e-9 {
			t.Fatalf("the same wear in another unit: %v, %v", c["verdict"], c["greatest"])
		}
	})
}

func v3(x float64) string { return word.Fixed(x, 3) }
