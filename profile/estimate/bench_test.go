package estimate_test

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"testing"
	"testing/fstest"

	"wornway/profile"
	"wornway/profile/document"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// run is a CSV file of so many readings along the invented bed.
func run(n int) []byte {
	b := []byte("position,reading\n")
	for i := range n {
		z := -100 + 800*float64(i)/float64(n)
		b = strconv.AppendFloat(b, z, 'f', 5, 64)
		b = append(b, ',')
		b = strconv.AppendFloat(b, 0.5*wornAway(z)+0.003*math.Sin(float64(i)*1.7), 'f', 5, 64)
		b = append(b, '\n')
	}
	return b
}

var sizes = []int{100, 1000, 10000, 100000, 1000000}

func benchSurvey(method string) string {
	text, _ := bench("mm")
	keys := ""
	if method == "carriage-indicator" {
		keys = "touch = \"tail-front\"\n"
	}
	return text + "[[survey]]\nmethod = \"" + method + "\"\n" + keys + "file = \"run.csv\"\n"
}

// From the text of a long run to the estimate.
func BenchmarkEstimate(b *testing.B) {
	for _, method := range []string{"carriage-indicator", "bar-side"} {
		text := []byte(benchSurvey(method))
		for _, n := range sizes {
			files := fstest.MapFS{"run.csv": {Data: run(n)}}
			b.Run(fmt.Sprintf("%s/%d", method, n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					p, err := profile.Parse(files, "bed.toml", text)
					if err != nil {
						b.Fatal(err)
					}
					if _, err := p.Estimate(); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// The readings alone: rows held in memory at once, turned into equations.
func BenchmarkReadRows(b *testing.B) {
	m, _ := survey.Find("bar-side")
	for _, n := range sizes {
		data := run(n)
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				rows, err := document.ReadRows("run.csv", bytes.NewReader(data),
					document.RowOptions{Columns: []string{"position", "reading"}})
				if err != nil {
					b.Fatal(err)
				}
				d, err := document.Parse("keys.toml", nil)
				if err != nil {
					b.Fatal(err)
				}
				k := survey.Keys{Machine: survey.Machine{Unit: length.Millimetre, Ways: [2]float64{-200, 800}},
					Table: d.Root()}
				survey.Read(m, k, rows, func(f document.Fault) { b.Fatal(f) })
			}
		})
	}
}

// Of a long run neighbours are averaged: no more than two thousand equations are left, all readings are counted, and
// their noise averages out.
func TestLongRun(t *testing.T) {
	estimate := func(n int) float64 {
		p, err := profile.Parse(fstest.MapFS{"run.csv": {Data: run(n)}}, "bed.toml", []byte(benchSurvey("bar-side")))
		if err != nil {
			t.Fatal(err)
		}
		if got := len(p.Surveys[0].Set.Equations); got > 2000 {
			t.Errorf("%d readings make %d equations", n, got)
		}
		if p.Surveys[0].Set.Rows != n {
			t.Errorf("%d of %d readings counted", p.Surveys[0].Set.Rows, n)
		}
		r, err := p.Estimate()
		if err != nil {
			t.Fatal(err)
		}
		if err := sound(r); err != nil {
			t.Error(err)
		}
		return r.Surveys[0].RMS
	}
	// The readings' own noise, 0.003·sin, has an rms of 0.003/√2; the mean of a bin's some thirty readings has far
	// less.
	few, many := estimate(1000), estimate(50000)
	if !(math.Abs(few-0.003/math.Sqrt2) < 2e-4 && many < few/5) {
		t.Errorf("rms of %g and %g mm", few, many)
	}
}
