package profile

import (
	"math"
	"strings"
	"testing"

	"wornway/profile/length"
)

const bare = "format = 1\nunit = \"in\"\n[lathe]\ncentre_height = 6.0\nway_span = 8.0\nbed = [-4.0, " +
	"40.0]\n[lathe.saddle]\nbearing_length = 0\n"

// Given is what is taken where the file says nothing: by the README's table.
func TestHoldingLeftOut(t *testing.T) {
	p, err := Parse(nil, "bench.toml", []byte(bare+"[lathe.holding]\njaws_front = 3.5\n"))
	if err != nil {
		t.Fatal(err)
	}
	h := p.Lathe.Holding
	if h == nil || h.JawsFront != 88.9 || !math.IsInf(h.JawsDepth, 1) || !math.IsNaN(h.HeadstockCentre) ||
		h.LongestOverhang != 3 || h.TailstockTravel != p.Lathe.Ways ||
		h.GreatestSetOver != 0 || h.ChuckTurning != 0 || h.Steady {
		t.Errorf("%+v", h)
	}
	if p, err = Parse(nil, "bench.toml", []byte(bare)); err != nil || p.Lathe.Holding != nil {
		t.Errorf("without the table: %v, %+v", err, p)
	}
}

// By hand: 100 N at 50 mm is a moment of 5000 N·mm; an indicator there that moves by 0.01 mm sees a turn of 0.0002,
// and 0.0002/5000 is 4e-8 per N·mm. The same in inches and pounds: 100 N are 22.4809 lbf (one is 4.4482216152605 N by
// definition), 50 mm are 1.968504 in, 0.01 mm are 0.0003937008 in.
func TestChuckTurning(t *testing.T) {
	metric := strings.NewReplacer(`"in"`, `"mm"`, "6.0", "150", "8.0", "200", "[-4.0, 40.0]",
		"[-100, 1000]").Replace(bare)
	for _, c := range []string{
		metric + "[lathe.holding]\njaws_front = 90\nchuck_pull = 100\nchuck_gave = 0.01\nchuck_pulled_at = 50\n",
		metric + "[lathe.holding]\njaws_front = 90\nchuck_pull = \"100 N\"\nchuck_gave = 0.01\nchuck_pulled_at = 50\n",
		bare + "[lathe.holding]\njaws_front = 3.5\nchuck_pull = \"22.4808943 lbf\"\nchuck_gave = " +
			"0.00039370079\nchuck_pulled_at = 1.96850394\n",
	} {
		p, err := Parse(nil, "bench.toml", []byte(c))
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		if got := p.Lathe.Holding.ChuckTurning; math.Abs(got-4e-8) > 1e-15 {
			t.Errorf("%v per N·mm, want 4e-8, of\n%s", got, c)
		}
	}
}

// The example of every key of the table is plausible in either unit, and says the same within what is round in each.
func TestHoldingExamples(t *testing.T) {
	var both []*Workholding
	for _, u := range []length.Unit{length.Inch, length.Millimetre} {
		all := Answers{}
		for _, k := range Keys() {
			if k.Required || strings.HasPrefix(k.Path, "lathe.holding.") {
				all[k.Path] = k.Example(u)
			}
		}
		p, err := Parse(nil, "new.toml", []byte(Template(u, all)))
		if err != nil || len(p.Warnings) > 0 {
			t.Fatalf("%v: %v %v", u, err, p)
		}
		both = append(both, p.Lathe.Holding)
	}
	a, b := both[0], both[1]
	for what, x := range map[string][2]float64{"jaws": {a.JawsFront, b.JawsFront}, "depth": {a.JawsDepth, b.JawsDepth},
		"centre":   {a.HeadstockCentre, b.HeadstockCentre},
		"set-over": {a.GreatestSetOver, b.GreatestSetOver}, "travel": {a.TailstockTravel.To, b.TailstockTravel.To},
		"turning": {a.ChuckTurning, b.ChuckTurning}} {
		if !(x[0] > 0) || math.Abs(x[0]/x[1]-1) > 0.1 {
			t.Errorf("%s: %v in inches, %v in mm", what, x[0], x[1])
		}
	}
}
