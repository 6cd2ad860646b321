package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/show"
)

// someLathe is a lathe with stated wear whose lengths are mm.
type someLathe struct {
	height, span, setback, spacing float64
	outer, inner                   float64 // degrees; 0: a flat front way
	rear                           bool
	bearing, offset                float64
	full                           bool
	leanOut, leanUncertainty       float64
	division, backlash             float64
	dial                           string
	uncertainty                    float64 // 0: not stated
	positions                      []float64
	front, back, shift             []float64
}

// drawLathe draws a lathe such as there are. Its ranges are common practice, no source.
func drawLathe(t *rapid.T) someLathe {
	f := func(what string, from, to float64) float64 {
		// A number with few digits, as a person would write it.
		return math.Round(rapid.Float64Range(from, to).Draw(t, what)*1000) / 1000
	}
	l := someLathe{
		height: f("height", 80, 250), setback: f("setback", 50, 150), rear: rapid.Bool().Draw(t, "rear"),
		bearing: rapid.SampledFrom([]float64{0, 180, 280}).Draw(t, "bearing"), full: rapid.Bool().Draw(t, "full"),
		division: rapid.SampledFrom([]float64{0.01, 0.02, 0.0254}).Draw(t, "division"), backlash: 0.1,
		dial:        rapid.SampledFrom([]string{"radius", "diameter"}).Draw(t, "dial"),
		uncertainty: rapid.SampledFrom([]float64{0, 0.002, 0.01}).Draw(t, "uncertainty"),
	}
	l.span = l.height / f("ratio", 0.6, 1.1)
	if l.bearing > 0 {
		l.offset = f("offset", -60, 60)
	}
	if rapid.Bool().Draw(t, "vee") {
		l.outer, l.inner, l.spacing = f("outer", 30, 60), f("inner", 30, 60), f("spacing", 0, 20)
	}
	if rapid.Bool().Draw(t, "lean") {
		l.leanOut, l.leanUncertainty = f("lean", -100, 100)/1e6, 2e-5
	}
	n := rapid.IntRange(2, 12).Draw(t, "rows")
	z := -200.0
	for range n {
		z = math.Round(z*1000) / 1000
		l.positions = append(l.positions, z)
		l.front = append(l.front, f("front", 0, 0.2))
		l.back = append(l.back, f("back", 0, 0.1))
		l.shift = append(l.shift, f("shift", -0.05, 0.05))
		z += f("apart", 60, 200)
	}
	return l
}

// toml writes the lathe in a unit of so many mm.
func (l someLathe) toml(unit string, mm float64) string {
	v := func(x float64) string { return strconv.FormatFloat(x/mm, 'g', -1, 64) }
	var b strings.Builder
	p := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	p("format = 1\nunit = %q\n[lathe]\ncentre_height = %s\nway_span = %s\naxis_setback = %s", unit, v(l.height),
		v(l.span), v(l.setback))
	p("bed = [%s, %s]", v(l.positions[0]), v(l.positions[len(l.positions)-1]))
	if l.rear {
		p(`tool_post = "rear"`)
	}
	if l.outer != 0 {
		p("[lathe.front_way]\nouter_angle = %v\ninner_angle = %v\ncontact_spacing = %s", l.outer, l.inner, v(l.spacing))
	}
	p("[lathe.saddle]\nbearing_length = %s\ntool_offset = %s\nbearing = %q", v(l.bearing), v(l.offset),
		map[bool]string{true: "full", false: "ends"}[l.full])
	p("[lathe.cross_slide]\ndial = %q\ndivision = %s\nbacklash = %s", l.dial, v(l.division), v(l.backlash))
	p("[lathe.spindle]\nlean_out = %v\nlean_uncertainty = %v", l.leanOut, l.leanUncertainty)
	p("[wear]\ncolumns = [\"position\", \"front\", \"rear\", \"shift\"]")
	if l.uncertainty > 0 {
		p("uncertainty = %s", v(l.uncertainty))
	}
	p("rows = [")
	for i, z := range l.positions {
		p("  [%s, %s, %s, %s],", v(z), v(l.front[i]), v(l.back[i]), v(l.shift[i]))
	}
	p("]")
	return b.String()
}

// The same lathe written in millimetres and in inches gives the same answers, each in its own unit.
func TestUnitsOfFilesAreAlike(t *testing.T) {
	alongside(t)
	enough := howOften(3, 50, 1) // lathes: each takes six command lines and more
	tried := 0
	rapid.Check(t, func(t *rapid.T) {
		if tried++; tried > enough {
			return
		}
		l := drawLathe(t)
		first, last := l.positions[0], l.positions[len(l.positions)-1]
		cut := func(of float64) float64 { return first + (last-first)*of }
		from, to := cut(rapid.Float64Range(0, 0.4).Draw(t, "from")), cut(rapid.Float64Range(0.6, 1).Draw(t, "to"))
		mm := func(x float64) string { return strconv.FormatFloat(x, 'f', 3, 64) + "mm" }
		// Both files answer the same command line, whose lengths carry their unit.
		flags := []string{"--from", mm(from), "--to", mm(to), "--diameter",
			mm(rapid.Float64Range(5, 120).Draw(t, "diameter")), "--every", "50mm", "--json"}
		compared := 0
		compare := func(what string, a, b any, isLength bool) {
			x, ok1 := a.(float64)
			y, ok2 := b.(float64)
			if !ok1 || !ok2 {
				if a != b {
					t.Fatalf("%s: %v in mm, %v in inches", what, a, b)
				}
				return
			}
			if isLength {
				y *= 25.4
			}
			compared++
			if math.Abs(x-y) > 1e-9*math.Max(1, math.Abs(x)) {
				t.Fatalf("%s: %v mm in the one, %v mm in the other", what, x, y)
			}
		}
		both := func(args ...string) (a, b map[string]any) {
			inMM, inInch := tell(l.toml("mm", 1), args...), tell(l.toml("in", 25.4), args...)
			if inMM.status != inInch.status {
				t.Fatalf("%v: exit status %d in mm, %d in inches\n%s%s", args, inMM.status, inInch.status, inMM.stderr,
					inInch.stderr)
			}
			return decoded(t, inMM), decoded(t, inInch)
		}

		a, b := both(append([]string{"predict", "-"}, flags...)...)
		for _, k := range []string{"from", "to", "diameter", "set_at", "centre_height", "form", "spread"} {
			compare(k, a[k], b[k], true)
		}
		at := func(v any, keys ...string) any {
			for _, k := range keys {
				v = v.(map[string]any)[k]
			}
			return v
		}
		compare("slope", at(a, "taper", "slope"), at(b, "taper", "slope"), false)
		compare("ends", at(a, "taper", "ends"), at(b, "taper", "ends"), true)
		compare("shape", a["shape"], b["shape"], false)
		for _, k := range []string{"position", "tool_out", "tool_drop", "diameter_error", "uncertainty"} {
			x, y := a["stations"].([]any), b["stations"].([]any)
			if len(x) != len(y) {
				t.Fatalf("%d and %d stations", len(x), len(y))
			}
			for i := range x {
				compare(k, at(x[i], k), at(y[i], k), true)
			}
		}

		a, b = both(append([]string{"correct", "-"}, flags...)...)
		compare("dial_limit", a["dial_limit"], b["dial_limit"], true)
		// Moves lie at round places of the file's unit, so that the lists are not the same; neither makes things worse.
		for _, v := range []map[string]any{a, b} {
			if left, before := v["moves_spread_left"].(float64), v["spread_before"].(float64); left > before+1e-9 {
				t.Fatalf("the list leaves %v of %v", left, before)
			}
		}

		a, b = both("place", "-", "--length", mm((last-first)/4), "--diameter", "25mm", "--reach",
			mm(first)+","+mm(last), "--every", "50mm", "--json")
		for _, k := range []string{"length", "diameter"} {
			compare(k, a[k], b[k], true)
		}
		for i, e := range a["starts"].([]any) {
			compare("start's spread", at(e, "spread"), at(b["starts"].([]any)[i], "spread"), true)
			// A quantile of draws goes by what one of them has to the nanometre.
			if x, ok := at(e, "spread_95").(float64); ok {
				if y := at(b["starts"].([]any)[i], "spread_95").(float64) * 25.4; math.Abs(x-y) > 2e-6 {
					t.Fatalf("start's limit: %v mm in the one, %v mm in the other", x, y)
				}
			}
		}
		// Two places that are equally good to 0.02 µm may change places: places are ranked by what can be promised.
		for _, k := range []string{"best", "worst"} {
			ranked := "spread_95"
			if at(a, k, ranked) == nil {
				ranked = "spread"
			}
			if x, y := at(a, k, ranked).(float64), at(b, k, ranked).(float64)*25.4; math.Abs(x-y) > 2e-5 {
				t.Fatalf("%s: %s %v mm in the one, %v mm in the other", k, ranked, x, y)
			}
		}
		if compared < 20 {
			t.Fatalf("only %d numbers were compared", compared)
		}
	})
}

// CSV parses back to the numbers of JSON, for every table of every command; without a name it is the first one's here.
func TestCSVParsesBack(t *testing.T) {
	alongside(t)
	workshop(t)
	for _, line := range []string{"predict demo.toml --from 4 --to 12 --diameter 1", "wear demo.toml --every 2"} {
		if all, named := invoke(append(split(line), "--csv")...), invoke(append(split(line),
			"--csv=stations")...); all != named || all.stdout == "" {
			t.Errorf("%s: --csv makes\n%s\n--csv=stations\n%s", line, all.stdout, named.stdout)
		}
	}
	for _, tt := range []struct{ line, table string }{
		{"predict demo.toml --from 4 --to 12 --diameter 1", "stations"},
		{"correct demo.toml --from 4 --to 20 --diameter 1", "table"},
		{"correct demo.toml --from 4 --to 20 --diameter 1", "moves"},
		{"wear demo.toml --every 2", "stations"},
		{"place demo.toml --length 6 --diameter 1 --tolerance 2thou", "starts"},
		{"place demo.toml --length 6 --diameter 1 --tolerance 2thou", "good"},
		{"check demo.toml --measured collars.csv", "stations"},
		{"compare last-year.toml demo.toml", "stations"},
		{"compare two-years.toml --before 2025-01-01", "stations"},
	} {
		r, flag := report(t, "", tt.line), "--csv="+tt.table
		list := decoded(t, r.as(show.Format{Kind: show.JSON}))[tt.table].([]any)
		a := r.as(show.Format{Kind: show.CSV, Table: tt.table})
		records, err := csv.NewReader(strings.NewReader(a.stdout)).ReadAll()
		if err != nil || len(records) != len(list)+1 || len(list) == 0 {
			t.Errorf("%s %s: %v; %d records, JSON has %d entries", tt.line, flag, err, len(records), len(list))
			continue
		}
		numbers := 0
		for i, e := range list {
			for k, want := range e.(map[string]any) {
				col := slices.Index(records[0], k)
				if col < 0 {
					t.Errorf("%s %s: no column %s", tt.line, flag, k)
					continue
				}
				got := records[i+1][col]
				if x, ok := want.(float64); ok {
					numbers++
					if y, err := strconv.ParseFloat(got, 64); err != nil || x != y {
						t.Errorf("%s %s: row %d, %s is %s, JSON has %v", tt.line, flag, i+1, k, got, x)
					}
				} else if want == nil && got == "" {
					continue // not known
				} else if fmt.Sprint(want) != got {
					t.Errorf("%s %s: row %d, %s is %s, JSON has %v", tt.line, flag, i+1, k, got, want)
				}
			}
		}
		if numbers == 0 {
			t.Errorf("%s %s: no number was compared", tt.line, flag)
		}
	}
}

// Every answer is a table in CSV and in Markdown too, by each name that it goes by.
func TestEveryTableInEveryForm(t *testing.T) {
	alongside(t)
	if testing.Short() {
		t.Skip("makes many estimates")
	}
	workshop(t)
	for line := range promised {
		r := report(t, "", line)
		if len(r.Report.Tables) == 0 {
			t.Errorf("%s: no table", line)
		}
		for _, table := range r.Report.Tables {
			if err := parsed(t, line+" --csv="+table.Name); err != nil {
				t.Errorf("%s has a table %s, and refuses its name: %v", line, table.Name, err)
			}
			a := r.as(show.Format{Kind: show.CSV, Table: table.Name})
			records, err := csv.NewReader(strings.NewReader(a.stdout)).ReadAll()
			if err != nil || len(records) == 0 {
				t.Errorf("%s --csv=%s: %v\n%s", line, table.Name, err, a.stdout)
			}
		}
		md := r.as(show.Format{Kind: show.Markdown, Full: true})
		if !strings.Contains(md.stdout, "|---") && !strings.Contains(md.stdout, "|:--") &&
			!strings.Contains(md.stdout, "--:|") {
			t.Errorf("%s --markdown: no table in\n%s", line, md.stdout)
		}
	}
	// What is written to a file is what would have been shown.
	for _, form := range []string{"", "--json", "--csv", "--markdown"} {
		args := append(split("predict demo.toml --from 4 --to 12 --diameter 1"), strings.Fields(form)...)
		shown := invoke(args...)
		name := "answer" + form
		if a := invoke(append(args, "-o", name)...); a.status != env.ExitDone || a.stdout != "" {
			t.Errorf("-o %s: exit status %d, %s%s", name, a.status, a.stdout, a.stderr)
		}
		if data, err := os.ReadFile(name); err != nil || string(data) != shown.stdout {
			t.Errorf("-o %s: %v, %d characters, shown are %d", name, err, len(data), len(shown.stdout))
		}
	}
}

// A table that is not there is told of with those that are before anything is read: the profile named is not there.
// Where the same command has several answers, one that this answer lacks is told of afterwards.
func TestNoSuchTable(t *testing.T) {
	alongside(t)
	workshop(t)
	for _, tt := range []struct{ line, names string }{
		{"predict none.toml --from 4 --to 12 --diameter 1 --csv=no-such-table", "stations"},
		{"check none.toml --measured none.csv --csv=no-such-table", "stations, causes"},
		{"wear none.toml --csv=no-such-table", "stations, regrind, surveys, effort, lengths, tolerances"},
		{"plan none.toml none.toml --csv=no-such-table", "features, plans, steps"},
		{"wear demo.toml --verdict --csv=effort", "lengths, tolerances"},
		{"exercise --seed 417 --csv=no-such-table", "surveyed, since,"},
	} {
		a := invoke(split(tt.line)...)
		if want := "its tables: " + tt.names; a.status != env.ExitUsage || !strings.Contains(a.stderr, want) {
			t.Errorf("%s: exit status %d, no %q in %s", tt.line, a.status, want, a.stderr)
		}
	}
}

// parsed is what a command says of its flags before it runs.
func parsed(t *testing.T, line string) error {
	t.Helper()
	c, args, err := newRoot(env.New(context.Background(), onTestDay, strings.NewReader(""), io.Discard,
		io.Discard)).Find(split(line))
	if err == nil {
		err = c.ParseFlags(args)
	}
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	return c.PreRunE(c, c.Flags().Args())
}
