package survey_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/document"
	"wornway/profile/survey"
)

var every = []string{
	"method = 'stated'\ncolumns = ['position', 'front', 'rear', 'shift']\nrows = [[20, 0.001, '', 0]]",
	"method = 'carriage-lock'\ntightened_at = 30\ncolumns = ['position', 'feel']\nrows = [[20, 2], [21, 0], [22, 3]]",
	"method = 'light-gap'\non = 'outer'\ncontacts = [10, 30]\ncolumns = ['position', 'light']\nrows = [[15, 'none'], " +
		"[16, 'wide']]",
	"method = 'straightedge'\non = 'rear'\ncontacts = [10, 30]\nreading_unit = 'thou'\ncolumns = ['position', " +
		"'goes', 'stops']\nrows = [[15, 0, 1.5]]",
	"method = 'carriage-indicator'\ntouch = 'tail-rear'\ntip_offset = 2\ndate = 2026-03-14\ncolumns = ['position', " +
		"'reading', 'back']\nrows = [[20, 0, ''], [21, 1e-3, 0]]",
	"method = 'tailstock-indicator'\ntouch = 'inner'\nplunger = 'vertical'\ncolumns = ['position', 'reading']\nrows " +
		"= [[20, 0]]",
	"method = 'way-micrometer'\non = 'rear'\nreading_unit = 'um'\nuncertainty = 3\ncolumns = ['position', " +
		"'reading']\nrows = [[20, 25400]]",
	"method = 'level-along'\non = 'front'\nper_division = '0.0005 in/ft'\ncolumns = ['from', 'to', 'reading']\nrows " +
		"= [[20, 26, 1.5], [26, 32, -1]]",
	"method = 'level-across'\nper_division = 2e-5\ncolumns = ['position', 'reading', 'reference']\nrows = [[20, 1, 0]]",
	"method = 'saddle-level'\nper_division = '4 arcsec'\ncolumns = ['position', 'reading']\nrows = [[20, 1]]",
	"method = 'saddle-rock'\nreading_unit = 'um'\ncolumns = ['position', 'reading']\nrows = [[20, 12]]",
	"method = 'bar-side'\nturned = true\nheld = 'spindle'\ncolumns = ['position', 'reading']\nrows = [[20, 1e-3]]",
	"method = 'bar-top'\nbar_diameter = 1\nbar_overhang = 12\ncolumns = ['position', 'reading']\nrows = [[10, 1e-3]]",
	"method = 'test-cut'\nheld_at = 0.5\ndepth = 0.01\nfeed = 0.003\ncolumns = ['position', 'diameter']\nrows = [[6, " +
		"1], [2, 1.001]]",
}

// Whatever a survey says, reading it neither panics nor takes in what is not finite, and each fault names the file; and
// what was read can be estimated, or is refused.
func FuzzSurvey(f *testing.F) {
	for i, s := range every { // alone, or with another: an estimate each
		if i%2 > 0 {
			s += "\n[[survey]]\n" + every[4]
		}
		f.Add(s)
	}
	f.Add("method = 'bar-side'\nfile = 'run.csv'")
	f.Add("columns = []\nrows = [[]]")
	f.Fuzz(func(t *testing.T, text string) {
		p, err := profile.Parse(nil, "bed.toml", []byte(head(vee, tailstock)+"[[survey]]\n"+text+"\n"))
		if err != nil {
			var faults document.Faults
			if !errors.As(err, &faults) || !strings.HasPrefix(faults[0].Error(), "bed.toml:") {
				t.Fatalf("%T: %v", err, err)
			}
			return
		}
		rows := 0
		for _, s := range p.Surveys {
			rows += len(s.Set.Equations)
			checkFinite(t, s.Set)
		}
		if rows > 60 {
			return
		}
		r, err := p.Estimate()
		if err != nil {
			return
		}
		for c := range bed.Curves {
			for _, z := range []float64{-200, 0, 300, 1100} {
				if v := r.Wear.Value(bed.At(c, 0), z); math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("%s is %v", c, v)
				}
			}
		}
	})
}

func checkFinite(t *testing.T, s survey.Set) {
	finite := func(what string, v float64) {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("%s: %s is %v", s.Method.Name, what, v)
		}
	}
	for _, e := range s.Equations {
		finite("reading", e.Reading)
		finite("position", e.Position)
		finite("1/uncertainty", 1/e.U)
		for _, p := range e.Parts {
			finite("factor", p.Factor)
			finite("place", p.At)
			for _, q := range p.Sum.Terms {
				finite("weight", q.Mean+q.Slope)
				finite("place", q.From+q.To)
			}
		}
		for _, h := range e.Shares {
			finite("share", h.Factor)
			if h.Term < 0 || h.Term >= len(s.Terms) {
				t.Fatalf("%s: no term %d", s.Method.Name, h.Term)
			}
		}
	}
}
