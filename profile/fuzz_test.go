package profile

import (
	"errors"
	"io/fs"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rogpeppe/go-internal/txtar"

	"wornway/profile/bed"
	"wornway/profile/document"
)

// FuzzParse reads whatever comes as a profile, with whatever comes as the CSV file beside it. The reader never panics.
// Where it refuses, it says so in faults of one line each, without a control character. Where it accepts, all that it
// read is finite and the wear can be had, or there is none.
func FuzzParse(f *testing.F) {
	const csv = "position,front\n0,0.004\n20,0\n"
	for _, s := range []string{whole, "", "format = 1", "[[wear]]", "[wear]\nrows=[[]]", "lathe.bed = [0, 1e308]",
		"[lathe]\nunworn = [[[]]]", "[lathe.front_way]\nouter_angle = 5e-324",
		strings.Replace(whole, "44.0", "1e300", -1), strings.Replace(whole, "11.0", "1e5", 1),
		strings.Replace(whole, "rows =", "file = \"wear.csv\" #", 1)} {
		f.Add([]byte(s), []byte(csv))
	}
	archives, err := filepath.Glob("testdata/broken/*.txtar")
	if err != nil || len(archives) == 0 {
		f.Fatal(err, archives)
	}
	for _, name := range archives {
		a, err := txtar.ParseFile(name)
		if err != nil {
			f.Fatal(err)
		}
		var toml []byte
		for _, file := range a.Files {
			switch {
			case strings.HasSuffix(file.Name, ": profile.toml"):
				toml = file.Data
				f.Add(toml, []byte(csv))
			case strings.HasSuffix(file.Name, ".csv"):
				f.Add(toml, file.Data)
			}
		}
	}
	f.Fuzz(func(t *testing.T, toml, csv []byte) {
		folder := fstest.MapFS{"profile.toml": {Data: toml}, "wear.csv": {Data: csv}}
		p, err := Read(folder, "profile.toml")
		if err != nil {
			checkFaults(t, err)
			return
		}
		if d, err := Draft(folder, "profile.toml", toml); err != nil || d == nil {
			t.Fatalf("accepted, but as a draft it is not: %v", err)
		}
		checkLathe(t, p)
		if len(p.Surveys) > 0 {
			return // estimating from readings is tried where it is done
		}
		est, err := p.Estimate()
		if p.Stated == nil {
			if !errors.Is(err, ErrNoWear) {
				t.Fatalf("no wear is stated, and the estimate says %v", err)
			}
			return
		}
		if err != nil {
			t.Fatalf("accepted, but there is no wear: %v", err)
		}
		first, last := est.Wear.Range()
		for _, z := range append([]float64{first, (first + last) / 2, last}, est.Wear.Knots()...) {
			for _, c := range []bed.Curve{bed.Front, bed.Rear, bed.Shift} {
				if v := est.Wear.Value(bed.At(c, 0), z); !finite(v) || math.Abs(v) > 1e3 {
					t.Fatalf("%v at %v is %v", c, z, v)
				}
			}
		}
	})
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// checkFaults looks at what a refusal says.
func checkFaults(t *testing.T, err error) {
	t.Helper()
	var faults document.Faults
	if !errors.As(err, &faults) || len(faults) == 0 {
		t.Fatalf("refused without a fault: %T %v", err, err)
	}
	for _, f := range faults {
		if f.Message == "" || strings.ContainsFunc(f.Error(), func(r rune) bool { return r < ' ' || r == 0x7f }) {
			t.Fatalf("a fault says %q", f.Error())
		}
	}
}

// checkLathe looks at what an accepted profile says of its lathe.
func checkLathe(t *testing.T, p *Profile) {
	t.Helper()
	l := p.Lathe
	numbers := []float64{l.Bed.CentreHeight, l.Bed.Span, l.Bed.Setback, l.Bed.Saddle.BearingLength,
		l.Bed.Saddle.ToolOffset, l.Bed.GuideHeight(), l.Ways.From, l.Ways.To,
		l.TwistUncertainty, l.Spindle.LeanOut, l.Spindle.LeanUp, l.Spindle.Uncertainty}
	for _, r := range l.Unworn {
		numbers = append(numbers, r.From, r.To)
	}
	for _, d := range p.Damage {
		numbers = append(numbers, d.From, d.To)
	}
	for _, s := range []*Slide{l.CrossSlide, l.Compound} {
		if s != nil {
			numbers = append(numbers, s.Division, s.Finest)
			if !(s.Division > 0) || !(s.Finest > 0) || s.Backlash < 0 || math.IsInf(s.Backlash, 0) {
				t.Fatalf("a dial: %+v", *s)
			}
		}
	}
	if h := l.Holding; h != nil {
		numbers = append(numbers, h.JawsFront, h.LongestOverhang, h.TailstockTravel.From, h.TailstockTravel.To,
			h.GreatestSetOver, h.ChuckTurning)
		if math.IsNaN(h.JawsDepth) || h.JawsDepth < 0 || math.IsInf(h.HeadstockCentre, 0) ||
			!(h.TailstockTravel.From < h.TailstockTravel.To) || h.GreatestSetOver < 0 ||
			h.ChuckTurning < 0 || !(h.LongestOverhang > 0) || h.LongestOverhang > 5 {
			t.Fatalf("what holds the work: %+v", *h)
		}
	}
	for _, x := range numbers {
		if !finite(x) {
			t.Fatalf("a number of the lathe is %v: %+v", x, l)
		}
	}
	if !(l.Bed.CentreHeight > 0) || !(l.Bed.Span > 0) || !(l.Ways.From < l.Ways.To) {
		t.Fatalf("a lathe that cannot be: %+v", l)
	}
	if s := p.Stated; s != nil {
		z := s.Rows.Column("position")
		for i := range s.Rows.Len() {
			for c := range s.Rows.Width() {
				if !finite(s.Rows.Number(i, c)) {
					t.Fatalf("row %d: %v", i+1, s.Rows.Row(i))
				}
			}
			if i > 0 && !(s.Rows.Number(i-1, z) < s.Rows.Number(i, z)) {
				t.Fatalf("row %d does not ascend: %v", i+1, s.Rows.Row(i))
			}
		}
	}
	for _, w := range p.Warnings {
		if w.Line < 1 || w.Message == "" {
			t.Fatalf("a warning without a place: %+v", w)
		}
	}
}

// FuzzCSV reads whatever comes as the CSV file of a sound profile: by its own header, and by the columns that the
// profile names.
func FuzzCSV(f *testing.F) {
	for _, s := range []string{"position,front\n0,0.004\n20,0\n", "position;front\n0;0,004\n20;0\n",
		"\uFEFFposition\tfront\r\n0\t0.004\r\n20\t0\r\n", "0,0.004\n20,0\n", "", ",\n",
		"position,front,rear,shift\n0,1,2,3\n", "position,outer,inner\n0,0,0\n20,0,0\n",
		"# note\n\n\"position\",\"front\"\n\"0\",1e-3\n20,0\n", "position,front\n1e308,0\n-1e308,0\n",
		"position,front\n0,\"0\n20,0\n", "front\n0\n1\n", "position,front\n0,0\n0.00000000000001,0\n"} {
		f.Add([]byte(s))
	}
	const head = "format = 1\nunit = \"in\"\n[lathe]\ncentre_height = 6.0\nway_span = 8.0\nbed = [0.0, " +
		"20.0]\n[lathe.front_way]\nouter_angle = 50\ninner_angle = 40\n[lathe.saddle]\nbearing_length = " +
		"11.0\n[wear]\nfile = \"wear.csv\"\nuncertainty = 0.0002\n"
	f.Fuzz(func(t *testing.T, csv []byte) {
		folder := fstest.MapFS{"wear.csv": {Data: csv}}
		for _, columns := range []string{"", "columns = [\"position\", \"front\"]\n"} {
			p, err := Parse(fs.FS(folder), "profile.toml", []byte(head+columns))
			if err != nil {
				checkFaults(t, err)
				continue
			}
			checkLathe(t, p)
			if _, err := p.Estimate(); err != nil {
				t.Fatalf("accepted, but there is no wear: %v", err)
			}
		}
	})
}
