package profile

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"

	"wornway/profile/bar"
	"wornway/profile/length"
	_ "wornway/testdata/steady"
)

// machined is a lathe on which cuts are made, in a unit.
func machined(unit length.Unit, more string) string {
	u := unit.From(1)
	return fmt.Sprintf("format = 1\nunit = %q\n[lathe]\ncentre_height = %v\nway_span = %v\nbed = [%v, "+
		"%v]\n[lathe.saddle]\nbearing_length = 0\n", unit, 150*u, 200*u, -100*u, 1000*u) + more
}

// A cut, written in any unit and with its rows in any order, is the same cut; added to a profile in any unit it is
// known again, and reads as it was. Another diameter, place, or way of holding is another cut.
func TestCutIsKnownAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 4))
		n := rapid.IntRange(2, 6).Draw(t, "n")
		heldAt := rapid.Bool().Draw(t, "held at")
		var z, d []float64
		for i := range n {
			z, d = append(z, 30+45*float64(i)+math.Round(10*r.Float64())),
				append(d, 30+math.Round(30*r.NormFloat64())/1000)
		}
		write := func(file, reading length.Unit, order []int) string {
			var b strings.Builder
			fmt.Fprintf(&b, "unit = %q\n[[survey]]\nmethod = \"test-cut\"\nreading_unit = %q\nuncertainty = %v\n", file,
				map[length.Unit]string{length.Inch: "in", length.Thou: "thou", length.Millimetre: "mm",
					length.Micrometre: "um"}[reading], reading.From(0.003))
			if heldAt {
				fmt.Fprintf(&b, "held_at = %v\n", file.From(20))
			}
			b.WriteString("columns = [\"position\", \"diameter\"]\nrows = [")
			for _, i := range order {
				fmt.Fprintf(&b, "[%v, %v],", file.From(z[i]), reading.From(d[i]))
			}
			b.WriteString("]\n")
			return b.String()
		}
		units := []length.Unit{length.Millimetre, length.Inch}
		readings := []length.Unit{length.Millimetre, length.Inch, length.Thou, length.Micrometre}
		some := func() (length.Unit, length.Unit) {
			return rapid.SampledFrom(units).Draw(t, "file"), rapid.SampledFrom(readings).Draw(t, "reading")
		}
		unit := rapid.SampledFrom(units).Draw(t, "profile")
		p, err := Parse(nil, "bench.toml", []byte(machined(unit, "")))
		if err != nil {
			t.Fatal(err)
		}
		read := func(text string) *Cut {
			c, err := p.ReadCut(nil, "cut.toml", []byte(text))
			if err != nil {
				t.Fatalf("%v in\n%s", err, text)
			}
			return c
		}
		file, reading := some()
		one := read(write(file, reading, r.Perm(n)))
		after, err := Parse(nil, "bench.toml", []byte(machined(unit, one.Block(unit))))
		if err != nil {
			t.Fatalf("%v in\n%s", err, one.Block(unit))
		}
		added, ok := after.Surveys[0].Set.Cut()
		if !ok || len(added.Positions) != n || math.IsNaN(added.HeldAt) == heldAt {
			t.Fatalf("%+v", added)
		}
		for i := range n {
			if math.Abs(added.Positions[i]-one.As.Positions[i]) > 1e-6 ||
				math.Abs(added.Diameters[i]-one.As.Diameters[i]) > 1e-6 {
				t.Fatalf("added %v, %v; was %v, %v", added.Positions[i], added.Diameters[i], one.As.Positions[i],
					one.As.Diameters[i])
			}
		}
		if u, _ := after.Surveys[0].Set.StatesUncertainty(); math.Abs(u-0.003) > 1e-9 {
			t.Fatalf("uncertainty %v", u)
		}
		file, reading = some()
		other := write(file, reading, r.Perm(n))
		if after.Holds(read(other).Survey) != 0 {
			t.Fatalf("not known again:\n%s\n%s", one.Block(unit), other)
		}
		// One reading off by two µm, one place off by a millimetre, and held otherwise.
		i := r.IntN(n)
		d[i] += 0.002
		if after.Holds(read(write(file, reading, r.Perm(n))).Survey) >= 0 {
			t.Fatal("another diameter is taken for the same cut")
		}
		d[i] -= 0.002
		z[i]++
		if after.Holds(read(write(file, reading, r.Perm(n))).Survey) >= 0 {
			t.Fatal("another place is taken for the same cut")
		}
		if after.Holds(read(strings.Replace(other, "[[survey]]", "[[survey]]\nheld = \"centres\"", 1)).Survey) >= 0 {
			t.Fatal("another way of holding is taken for the same cut")
		}
	})
}

// Surveys of any method are known again by what was read, wherever their rows stand.
func TestSurveyIsKnownAgain(t *testing.T) {
	text := func(rows string) string {
		return machined(length.Millimetre, "[[survey]]\nmethod = \"light-gap\"\non = \"rear\"\ncontacts = [0, "+
			"500]\ncolumns = [\"position\", \"light\"]\nrows = "+rows+
			"\n[[survey]]\nmethod = \"level-along\"\non = \"front\"\nper_division = \"0.02 mm/m\"\ncolumns = "+
			"[\"from\", \"to\", \"reading\"]\nrows = [[0, 100, 1], [100, 200, 2]]\n")
	}
	parse := func(text string) *Profile {
		p, err := Parse(nil, "bench.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	a := parse(text(`[[100, "none"], [200, "some"]]`))
	for i, c := range []struct {
		rows string
		same bool
	}{{`[[200, "some"], [100, "none"]]`, true}, {`[[200, "wide"], [100, "none"]]`, false},
		{`[[201, "some"], [100, "none"]]`, false}, {`[[200, "some"]]`, false}} {
		b := parse(text(c.rows))
		if got := a.Surveys[0].Set.Same(b.Surveys[0].Set); got != c.same {
			t.Errorf("%d: %v", i, got)
		}
		if !a.Surveys[1].Set.Same(b.Surveys[1].Set) || a.Surveys[0].Set.Same(b.Surveys[1].Set) {
			t.Errorf("%d: the level", i)
		}
	}
	again := parse(strings.Replace(text(`[[200, "some"], [100, "none"]]`), `on = "rear"`, `on = "front"`, 1))
	if a.Surveys[0].Set.Same(again.Surveys[0].Set) {
		t.Error("another way is taken for the same survey")
	}
	only, shared := again.NewIn(a)
	if shared != 1 || len(only.Surveys) != 1 || only.Surveys[0].Method != "light-gap" {
		t.Errorf("%d shared, left %+v", shared, only.Surveys)
	}
}

// FuzzCut reads whatever comes as a measured cut, as TOML and as CSV. The reader never panics; what it refuses it says
// in faults of one line each; what it accepts is finite, can be added to the profile, and is known again there.
func FuzzCut(f *testing.F) {
	for _, s := range []string{"position,diameter\n10,30\n20,30.01\n", "10,30\n20,30.01\n",
		"position;diameter\n10;30,1\n20;30\n", "", "#\n", "diameter\tposition\r\n30\t10\r\n", "10,1e308\n20,1e-308\n",
		"1e300,30\n",
		"[[survey]]\nmethod = \"test-cut\"\ncolumns = [\"position\", \"diameter\"]\nrows = [[10, 30], [20, 30.01]]\n",
		"unit = \"in\"\n[[survey]]\nmethod = \"test-cut\"\ndate = 2026-03-14\nheld = \"centres\"\nheld_at = 1\ndepth " +
			"= 0.01\nfeed = 0.002\nuncertainty = 1e-4\nfile = \"cut.csv\"\n",
		"[[survey]]\nmethod = \"test-cut\"\nuncertainty = 1e-300\ncolumns = [\"position\", \"diameter\"]\nrows = []\n",
		"survey = 3", "survey = []", "[[survey]]\n[[survey]]\n", "[[survey]]\nmethod = \"bar-side\"\n",
		"lathe = 1\n",
		"[[event]]\ndate = 2026-03-14\nnote = \"x\"\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		folder := fstest.MapFS{"cut.csv": {Data: data}, "cut.toml": {Data: data}}
		for _, unit := range []length.Unit{length.Millimetre, length.Inch} {
			p, err := Parse(nil, "bench.toml", []byte(machined(unit, "")))
			if err != nil {
				t.Fatal(err)
			}
			a, err1 := p.ReadCut(folder, "cut.toml", data)
			b, err2 := p.ReadCutCSV(folder, "cut.csv", CutKeys{HeldAt: math.NaN(),
				CentreAt: math.NaN(), Depth: 0.1, Feed: math.NaN(), ReadingUnit: "mm", Held: bar.Chuck})
			for i, c := range []*Cut{a, b} {
				if err := []error{err1, err2}[i]; err != nil {
					checkFaults(t, err)
					continue
				}
				for k := range c.As.Positions {
					if !finite(c.As.Positions[k]) || !finite(c.As.Diameters[k]) || !(c.As.Diameters[k] > 0) {
						t.Fatalf("%+v", c.As)
					}
				}
				if len(c.As.Positions) > 100 {
					continue
				}
				after, err := Parse(nil, "bench.toml", []byte(machined(unit, c.Block(unit))))
				if err != nil {
					checkFaults(t, err) // what is too fine for any shop is written as zero
					continue
				}
				if after.Holds(c.Survey) != 0 {
					t.Fatalf("not known again:\n%s", c.Block(unit))
				}
			}
		}
	})
}
