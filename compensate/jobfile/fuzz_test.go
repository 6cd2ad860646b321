package jobfile

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"wornway/compensate/work"
	"wornway/profile/document"
	"wornway/profile/length"
)

// FuzzParse reads whatever comes as a job. The reader never panics. What it refuses it says in faults of one line each,
// without a control character. What it accepts is finite, and a job that can be.
func FuzzParse(f *testing.F) {
	archive, err := txtar.ParseFile("testdata/broken.txtar")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range archive.Files {
		if strings.HasSuffix(file.Name, ": job.toml") {
			f.Add(file.Data)
		}
	}
	for _, s := range []string{filled(whole), bare + seat, Template(length.Inch, nil), "", "job = 1", "feature = []",
		"[[job]]", "[job.cut.collars]\ndepths = [1e308, 1e309]",
		strings.ReplaceAll(bare+seat, "300", "1e300"), bare +
			"modulus = 206000\n[job.cut]\ndepth = 1e-300\nfeed = 1e-300\n" + seat} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		file, err := Parse("job.toml", data)
		if err != nil {
			var faults document.Faults
			if !errors.As(err, &faults) || len(faults) == 0 {
				t.Fatalf("refused without a fault: %T %v", err, err)
			}
			for _, f := range faults {
				if f.Message == "" || strings.ContainsFunc(f.Error(),
					func(r rune) bool { return r < ' ' || r == 0x7f }) {
					t.Fatalf("a fault says %q", f.Error())
				}
			}
			return
		}
		checkJob(t, file)
	})
}

// checkJob looks at what is accepted.
func checkJob(t *testing.T, file *File) {
	t.Helper()
	j := file.Job
	if ps := j.Check(); len(ps) > 0 {
		t.Fatalf("a job that cannot be is accepted: %v", ps)
	}
	p := j.Part
	c := p.Cut
	for _, x := range []float64{p.Length, p.Stock, p.StockLength, p.Grip, p.Modulus, c.Depth, c.Feed, c.Radial,
		c.URadial, j.ToolHeight} {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Fatalf("%v in %+v", x, p)
		}
	}
	if !(p.Length > 0) || !(p.Stock > 0) || p.StockLength < p.Length || !(p.Grip > 0) || p.Grip > p.StockLength+near ||
		len(p.Held) == 0 || len(j.Features) == 0 ||
		c.Radial < 0 || c.URadial < 0 || c.Source == "" || c.Pushed() && !(p.Modulus > 0) || c.SpringPasses < 0 ||
		c.Pushed() == (c.Source == NotCalculated) {
		t.Fatalf("%+v %+v", j, p)
	}
	names := map[string]bool{}
	for i, f := range j.Features {
		if f.Name == "" || names[f.Name] || f.From < 0 || f.To > p.Length || f.Sized != "" && f.Sized != work.InPlace &&
			f.Sized != work.Once || f.Taper < 0 || math.IsInf(f.Taper, 0) || math.IsNaN(f.Taper) ||
			f.Diameter > p.Stock+near || f.Bore && f.Diameter >= p.Stock {
			t.Fatalf("%+v of %+v", f, p)
		}
		names[f.Name] = true
		if s := f.Size; s != nil && (!(s.Lower < s.Upper) || math.IsInf(s.Lower, 0) || math.IsInf(s.Upper, 0)) {
			t.Fatalf("limits %+v", *s)
		}
		for _, o := range j.Features[:i] {
			if o.Bore == f.Bore && o.From < f.To-near && f.From < o.To-near {
				t.Fatalf("%+v and %+v share a length", o, f)
			}
		}
	}
	for _, w := range file.Warnings {
		if w.Line < 1 || w.Message == "" || w.Hint == "" {
			t.Fatalf("a warning without a place or remedy: %+v", w)
		}
	}
}
