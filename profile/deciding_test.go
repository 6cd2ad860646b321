package profile_test

import (
	"math"
	"testing"

	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// Which survey tells two wears apart, by what each sees: wears that differ by a hollow common to both ways are told
// apart by what sees one way by itself and not by levels across nor by the tool's path, which only feels how the ways
// differ.
func TestDeciding(t *testing.T) {
	p, err := profile.Parse(nil, "bed.toml", []byte("format = 1\nunit = \"mm\"\n[lathe]\ncentre_height = "+
		"150\nway_span = 200\nbed = [-200, 1100]\n[lathe.saddle]\nbearing_length = 280\ntool_offset = -25\n"))
	if err != nil {
		t.Fatal(err)
	}
	candidates, err := p.Candidates(nil, 50, 450, 25)
	if err != nil {
		t.Fatal(err)
	}
	var knots []float64
	for z := -200.0; z <= 1100; z += 10 {
		knots = append(knots, z)
	}
	worn := func(front, rear func(z float64) float64) *wear.Wear {
		values := map[bed.Curve][]float64{}
		for _, z := range knots {
			values[bed.Front] = append(values[bed.Front], front(z))
			values[bed.Rear] = append(values[bed.Rear], rear(z))
		}
		values[bed.Shift] = make([]float64, len(knots))
		w, err := wear.New(knots, values)
		if err != nil {
			t.Fatal(err)
		}
		return w
	}
	hollow := func(depth float64) func(z float64) float64 {
		return func(z float64) float64 { d := (z - 250) / 60; return depth * math.Exp(-d*d) }
	}
	none := hollow(0)
	one := func(method string) []profile.Candidate {
		for _, c := range candidates {
			if c.Method == method {
				return []profile.Candidate{c}
			}
		}
		t.Fatalf("no %s among the candidates", method)
		return nil
	}
	both := worn(hollow(0.1), hollow(0.1))
	for method, tells := range map[string]bool{"level-across": false, "saddle-level": false, "bar-side": false,
		"way-micrometer": true, "level-along": true} {
		if i, apart := profile.Deciding(both, worn(none, none), one(method)); (i >= 0) != tells {
			t.Errorf("a hollow in both ways by %s: %d, %.2f", method, i, apart)
		}
	}
	if i, apart := profile.Deciding(worn(hollow(0.1), none), worn(none, none), one("level-across")); i != 0 ||
		apart < 10 {
		t.Errorf("a hollow in one way: %d, %.2f", i, apart)
	}
	if i, _ := profile.Deciding(both, both, candidates); i >= 0 {
		t.Errorf("the same wear is told apart from itself by %s", candidates[i].Method)
	}
	// Of those that are sure, the quickest.
	i, apart := profile.Deciding(both, worn(none, none), candidates)
	if i < 0 || apart < 8 {
		t.Fatalf("%d, %.2f", i, apart)
	}
	for _, c := range candidates {
		if j, other := profile.Deciding(both, worn(none, none), []profile.Candidate{c}); j == 0 && other >= 8 &&
			c.Minutes < candidates[i].Minutes {
			t.Errorf("%s takes %d minutes, %s, which is sure as well, %d", candidates[i].Method, candidates[i].Minutes,
				c.Method, c.Minutes)
		}
	}
}
