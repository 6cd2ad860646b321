package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image/png"
	"io"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/figure"
	"wornway/cmd/wornway/internal/invented"
	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/turning"
	"wornway/cmd/wornway/internal/ways"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bed"
)

// What is drawn is what is told: a curve of a figure at the stations of the table, in the unit of small errors, and its
// ± twice what JSON says.
func TestFiguresAreWhatIsTold(t *testing.T) {
	alongside(t)
	workshop(t)
	l := opened(t, string(invented.Lathe))
	c, err := l.Machine.Curve(compensate.Cut{Feature: work.Feature{From: 4 * 25.4, To: 12 * 25.4, Diameter: 25.4},
		SetAt: 12 * 25.4})
	if err != nil {
		t.Fatal(err)
	}
	f := turning.PredictFigure(l, c)
	var p turning.PredictJSON
	if err := json.Unmarshal([]byte(invoke(split("predict demo.toml --from 4 --to 12 --diameter 1 --every 1 "+
		"--json")...).stdout), &p); err != nil {
		t.Fatal(err)
	}
	for _, s := range p.Stations {
		i := int(math.Round((s.Position - 4) / 8 * (figure.DrawnPlaces - 1)))
		if x := f.Lines[0].X[i]; math.Abs(x-s.Position) > 1e-9 {
			t.Fatalf("place %d lies at %v, the station at %v", i, x, s.Position)
		}
		if y := f.Lines[0].Y[i]; math.Abs(y-1000*s.DiameterError) > 1e-9 {
			t.Errorf("at %v %v thou are drawn, %v in are told", s.Position, y, s.DiameterError)
		}
		if u := (f.Bands[0].High[i] - f.Bands[0].Low[i]) / 2; math.Abs(u-2000**s.Uncertainty) > 1e-9 {
			t.Errorf("at %v ± %v thou is drawn, the standard uncertainty is %v in", s.Position, u, *s.Uncertainty)
		}
	}
	var w ways.WearJSON
	if err := json.Unmarshal([]byte(invoke(split("wear demo.toml --every 13in --json")...).stdout), &w); err != nil {
		t.Fatal(err)
	}
	g := ways.WearFigure(l)
	for _, s := range w.Stations {
		i := int(math.Round((s.Position + 8) / 52 * (figure.DrawnPlaces - 1)))
		if math.Abs(g.Lines[0].X[i]-s.Position) > 1e-9 { // the deepest place lies between
			continue
		}
		for n, v := range []float64{s.Front, s.Rear, s.Shift} {
			if y := g.Lines[n].Y[i]; math.Abs(y-1000*v) > 1e-9 {
				t.Errorf("curve %d at %v: %v thou are drawn, %v in are told", n, s.Position, y, v)
			}
		}
	}
}

// The settings of a correction stand where correct has them, numbered in its order; what it leaves is as unsure as what
// it began with. In place a stretch is shaded where the upper edge of 19 times in 20 keeps within the tolerance.
func TestFiguresPromiseNothingMore(t *testing.T) {
	alongside(t)
	workshop(t)
	e := env.New(context.Background(), onTestDay, strings.NewReader(""), io.Discard, io.Discard)
	l := opened(t, string(invented.Lathe))
	cut := compensate.Cut{Feature: work.Feature{From: 4 * 25.4, To: 36 * 25.4, Diameter: 25.4}, SetAt: 36 * 25.4}
	k, err := cardOf(e, newChart(e), l, l.Machine, cut, &chartOptions{})
	if err != nil {
		t.Fatal(err)
	}
	f := turning.CorrectFigure(l, k.Correction)
	var j turning.CorrectJSON
	if err := json.Unmarshal([]byte(invoke(split("correct "+pieces+" --json")...).stdout), &j); err != nil {
		t.Fatal(err)
	}
	if len(f.Marks) != len(j.Moves) || len(f.Marks) < 3 {
		t.Fatalf("%d marks, %d moves", len(f.Marks), len(j.Moves))
	}
	for n, m := range j.Moves {
		want := fmt.Sprintf("%d: %s %s", n+1, strings.ToUpper(m.Direction), word.Fraction(m.Divisions))
		if !slices.ContainsFunc(f.Marks, func(k plot.Mark) bool {
			return k.Word == want && math.Abs(k.X-m.Position) < 1e-9
		}) {
			t.Errorf("no mark %q at %v: %v", want, m.Position, f.Marks)
		}
	}
	before, after := f.Bands[0], f.Bands[1]
	for i, x := range after.X {
		for k := range before.X {
			if before.X[k] == x && math.Abs(before.High[k]-before.Low[k]-after.High[i]+after.Low[i]) > 1e-9 {
				t.Errorf("at %v the ± is %v before and %v after", x, before.High[k]-before.Low[k],
					after.High[i]-after.Low[i])
			}
		}
	}
	p := compensate.PlaceOptions{Work: work.Feature{Diameter: 25.4, Tolerance: 2 * 0.0254}, Length: 6 * 25.4, From: 0,
		To: 44 * 25.4, Starts: compensate.Stations(0, 38*25.4, 2*25.4)}
	places, err := l.Machine.Place(p)
	if err != nil {
		t.Fatal(err)
	}
	g := turning.PlaceFigure(l, p, places)
	shaded := 0
	for i, x := range g.Bands[0].X {
		in := slices.ContainsFunc(g.Stretches, func(s plot.Stretch) bool { return s.From <= x && x <= s.To })
		if in != (g.Bands[0].High[i] <= 2) {
			t.Errorf("at %v the upper edge is %v thou, shaded %v", x, g.Bands[0].High[i], in)
		}
		if in {
			shaded++
		}
	}
	if shaded == 0 || shaded == len(g.Bands[0].X) {
		t.Errorf("%d of %d places are shaded", shaded, len(g.Bands[0].X))
	}
}

// Each command draws in each kind; the same again has the same bytes; a picture is not written over, and an ending that
// is no kind is refused before anything is.
func TestPlotsOfEveryCommand(t *testing.T) {
	alongside(t)
	workshop(t)
	for i, line := range []string{
		"wear demo.toml", "predict demo.toml --from 4 --to 12 --diameter 1 --tolerance 5thou",
		"correct demo.toml --from 4 --to 36 --diameter 1",
		"place demo.toml --length 6 --diameter 1 --tolerance 2thou", "check demo.toml --measured collars.toml",
		"plan shaft.toml demo.toml", "wear second.toml",
	} {
		// Once by the command into a file, and from another run of it by the figure that it hands over.
		kinds := plot.Kinds()
		kind := kinds[i%len(kinds)]
		file := fmt.Sprintf("%d.%s", i, kind)
		if a := invoke(split(line + " --plot " + file)...); a.status != env.ExitDone && a.status != env.ExitNotHeld {
			t.Fatalf("%s: %s", line, a.stderr)
		}
		written := mustRead(t, file)
		for _, k := range kinds {
			if testing.Short() && k != kind {
				continue
			}
			var drawn [2]bytes.Buffer
			for n := range drawn {
				if err := report(t, "", line).Figure().Write(&drawn[n], k); err != nil {
					t.Fatal(err)
				}
			}
			if !bytes.Equal(drawn[0].Bytes(), drawn[1].Bytes()) || k == kind && written != drawn[0].String() {
				t.Errorf("%s: not the same again as %s", line, k)
			}
			if k == "png" {
				if _, err := png.Decode(&drawn[0]); err != nil {
					t.Errorf("%s: %v", line, err)
				}
			}
		}
	}
	for _, line := range []string{"wear demo.toml",
		"predict demo.toml --from 4 --to 12 --diameter 1 --tolerance 5thou"} {
		put(t, "there.svg", "")
		if a := invoke(split(line + " --plot there.svg")...); a.status != env.ExitRefused ||
			!strings.Contains(a.stderr, "exists; give --force") {
			t.Errorf("%s: %d %s", line, a.status, a.stderr)
		}
	}
	if a := invoke(split("wear demo.toml --plot wear.gif")...); a.status != env.ExitUsage || a.stdout != "" ||
		!strings.Contains(a.stderr, "must end in .svg, .png or .pdf") {
		t.Errorf("%d %s", a.status, a.stderr)
	}
	if a := invoke(split("wear demo.toml --plot nowhere/wear.svg")...); a.status != env.ExitRefused ||
		!strings.Contains(a.stderr, "there is no folder nowhere") {
		t.Errorf("%d %s", a.status, a.stderr)
	}
	for _, line := range []string{"predict demo.toml --job shaft.toml --plot x.svg",
		"wear demo.toml --verdict --plot x.svg"} {
		if a := invoke(split(line)...); a.status != env.ExitUsage {
			t.Errorf("%s: %d %s", line, a.status, a.stderr)
		}
	}
	// A name of other characters is drawn with question marks in their place.
	text := strings.Replace(string(invented.Lathe), "Demonstration lathe (invented)", "旋盤 <b>", 1)
	if err := os.WriteFile("other.toml", []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	if a := invoke(split("wear other.toml --plot other.svg")...); a.status != env.ExitDone {
		t.Errorf("%s", a.stderr)
	}
	if b, err := os.ReadFile("other.svg"); err != nil || !bytes.Contains(b, []byte("?? &lt;b&gt;")) {
		t.Errorf("%v: the name is not as it should be", err)
	}
}

// A reading stands where it would put the curve that it sees most. On a bed that is truly unworn, a way micrometer that
// finds the rear way 20 µm thinner at one place than everywhere else says there a drop of 20 µm, whatever the
// estimate makes of it: by hand, since the reading is the thickness and the others say that there is none missing; and
// a level between two feet stands on the way that it was set on.
func TestReadingsStandOnTheirCurve(t *testing.T) {
	alongside(t)
	workshop(t)
	const text = "format = 1\nunit = \"mm\"\n[lathe]\ncentre_height = 150\nway_span = 200\nbed = [0, " +
		"1000]\n[lathe.saddle]\nbearing_length = 250\n" +
		"[[survey]]\nmethod = \"way-micrometer\"\non = \"rear\"\nreading_unit = \"um\"\nuncertainty = 3\ncolumns = " +
		"[\"position\", \"reading\"]\nrows = [[100, 0], [200, 0], [300, 0], [400, 0], [500, -20], [600, 0], " +
		"[700, 0], [800, 0], [900, 0]]\n" +
		"[[survey]]\nmethod = \"level-along\"\non = \"front\"\nper_division = \"0.02 mm/m\"\ncolumns = [\"from\", " +
		"\"to\", \"reading\"]\nrows = [[100, 300, 0], [300, 500, 0], [500, 700, 0], [700, 900, 0]]\n"
	if err := os.WriteFile("thin.toml", []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	l := opened(t, mustRead(t, "thin.toml"))
	points := ways.Readings(l)
	if len(points) != 2 || points[0].Name != "way-micrometer, on the rear way" ||
		points[1].Name != "level-along, on the front way" {
		t.Fatalf("%+v", points)
	}
	p := points[0]
	if len(p.X) != 9 || p.X[4] != 500 {
		t.Fatalf("%+v", p)
	}
	there := figure.SmallFrom(l, l.Machine.Wear.Value(bed.At(bed.Rear, 0), 500))
	if p.Y[4] < 15 || p.Y[4] > 25+there {
		t.Errorf("the thin place stands at %.1f µm, the curve at %.1f", p.Y[4], there)
	}
	for i, y := range p.Y {
		if i != 4 && math.Abs(y) > 10 {
			t.Errorf("at %g a reading of no wear stands at %.1f µm", p.X[i], y)
		}
	}
}
