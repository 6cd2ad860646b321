package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/length"
	"wornway/profile/survey"
)

type blankOptions struct {
	method   string
	contacts string
	diameter length.Length
	paper    string
	file     string
	force    bool
}

func newBlank(e *env.Env) *cobra.Command {
	o := &blankOptions{}
	c := &cobra.Command{
		Use:   "blank PROFILE --method M -o FILE.pdf",
		Short: "Print a blank survey sheet with this bed's stations",
		Long: `Blank prints a sheet to write readings on at the machine, as a PDF: the stations of this bed in the order in which record
asks for them, columns for the way there and back, what else is to be noted, how the instrument stands and which way
is plus, and what to watch for. --method all prints the set of all methods, one page or more each. On the sheet of the test
cut stands what diameter each collar is expected to have, as far as the profile knows the wear.`,
		Example: `  wornway blank demo.toml --method saddle-level -o level.pdf
  wornway blank demo.toml --method straightedge --contacts 2in,26in -o edge.pdf
  wornway blank demo.toml --method all --paper a4 -o set.pdf`,
		Args: flags.OneProfile, GroupID: "paper",
		Annotations: map[string]string{"instance": "PROFILE --method saddle-level -o level.pdf"},
		RunE:        func(c *cobra.Command, args []string) error { return runBlank(e, c, args[0], o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.StringVar(&o.method, "method", "", "survey `method`, or all (required)")
	f.StringVar(&o.contacts, "contacts", "", "`from,to`: where a straightedge rests (default: 24 in or 600 mm from "+
		"the spindle nose on)")
	f.Var(&o.diameter, "diameter", "diameter of the test cut's collars (default 1in, 25mm)")
	f.StringVar(&o.paper, "paper", "", "a5, half-letter, a4 or letter (default a4, in inches letter)")
	f.StringVarP(&o.file, "output", "o", "", "`file` to write (required)")
	f.BoolVar(&o.force, "force", false, "replace an existing file")
	_ = c.RegisterFlagCompletionFunc("method", func(*cobra.Command, []string, string) ([]cobra.Completion,
		cobra.ShellCompDirective) {
		return append(flags.MethodNames(), "all"), cobra.ShellCompDirectiveNoFileComp
	})
	return c
}

// inOrderOfSurvey are the methods as one would take them up: quick and without the machine turning first.
func inOrderOfSurvey() []survey.Method {
	var out []survey.Method
	for _, name := range []string{"carriage-lock", "light-gap", "straightedge", "way-micrometer", "level-across",
		"level-along", "saddle-level", "carriage-indicator", "tailstock-indicator", "bar-side", "bar-top", "test-cut"} {
		if m, ok := survey.Find(name); ok {
			out = append(out, m)
		}
	}
	return out
}

func runBlank(e *env.Env, c *cobra.Command, file string, o *blankOptions) error {
	if err := flags.Need(c, "method", "output"); err != nil {
		return err
	}
	methods := inOrderOfSurvey()
	if o.method != "all" {
		m, err := flags.Method(o.method)
		if err != nil {
			return err
		}
		methods = []survey.Method{m}
	}
	if err := env.AsPDF.Target("-o", o.file, o.force); err != nil {
		return err
	}
	p, l, err := openBlank(e, file)
	if err != nil {
		return err
	}
	size, err := o.size(p.Unit)
	if err != nil {
		return err
	}
	// a blank sheet carries no day: the one of the survey is written on it
	made := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	b := blankSheets{printing: printing{Doc: paper.New(size, p.Lathe.Name, made), made: made},
		Units:   word.Units{In: p.Unit},
		profile: p, lathe: l}
	for _, m := range methods {
		if err := b.sheet(m, o); err != nil {
			return err
		}
	}
	data, err := env.PdfOf(b.Doc)
	if err != nil {
		return err
	}
	if shown, err := e.Keep(o.file, data, o.force); shown || err != nil {
		return err
	}
	fmt.Fprintf(e.Stdout, "%s is written: %s of %s. The readings go in by: wornway record %s --method %s\n", o.file,
		word.Count(b.Pages, "page"), size.Name, file, map[bool]string{true: "M",
			false: methods[0].Name}[len(methods) > 1])
	return nil
}

// openBlank reads a profile to print sheets for; one without wear serves too, and the lathe is then nil.
func openBlank(e *env.Env, file string) (*profile.Profile, *shop.Bench, error) {
	l, err := flags.Open(e, file, nil, nil)
	var none shop.NoWearError
	switch {
	case errors.As(err, &none):
		return none.Profile, nil, nil
	case err != nil:
		return nil, nil, err
	}
	return l.Profile, l, nil
}

// size is the paper asked for, upright.
func (o *blankOptions) size(u length.Unit) (paper.Paper, error) {
	name := o.paper
	if name == "" {
		name = map[length.Unit]string{length.Inch: "letter", length.Millimetre: "a4"}[u]
	}
	p, err := paper.ParsePaper(name)
	if err != nil {
		return p, refuse.Usage(fmt.Sprintf("--paper %s: %v", word.Visible(name), err),
			"a survey sheet needs a5 or more")
	}
	const least = 139 // mm: of half a letter
	if p.Width < least {
		return p, refuse.Usage(fmt.Sprintf("--paper %s: is too small to write a survey on", p.Name),
			"a5, half-letter, a4 or letter")
	}
	return p, nil
}

// spreading is what the stations of a method are spread by on a blank sheet.
func (b *blankSheets) spreading(m survey.Method, o *blankOptions) (shop.Spread, error) {
	s := shop.NewSpread(b.profile, m)
	if m.Name != "straightedge" && m.Name != "light-gap" {
		return s, nil
	}
	ways := b.profile.Lathe.Ways
	s.Contacts[0] = math.Max(0, ways.From)
	edge := 600.0
	if b.In == length.Inch {
		edge = 24 * 25.4
	}
	s.Contacts[1] = math.Min(s.Contacts[0]+edge, ways.To)
	if o.contacts != "" {
		from, to, err := flags.TwoPositions("contacts", o.contacts, "for instance --contacts 2in,26in", b.In)
		if err != nil {
			return s, err
		}
		if from < ways.From-1e-6 || to > ways.To+1e-6 {
			return s, refuse.Usage(fmt.Sprintf("--contacts %s: lies outside lathe.bed, which goes from %s to %s",
				o.contacts, b.Bare(ways.From), b.At(ways.To)), "positions count from the spindle nose")
		}
		s.Contacts = [2]float64{from, to}
	}
	return s, nil
}

// stations are the rows of a sheet: a position each, or from and to for a level that stands on two feet, in the file's
// unit.
func stations(s shop.Spread) [][]float64 {
	at := s.Stations()
	var out [][]float64
	if !s.Method.Stretches() {
		for _, z := range at {
			out = append(out, []float64{z})
		}
		return out
	}
	for i := 1; i < len(at); i++ {
		out = append(out, []float64{at[i-1], at[i]})
	}
	return out
}

// collar is the diameter of a test cut's collars, mm.
func (b *blankSheets) collar(o *blankOptions) float64 {
	if o.diameter.Number > 0 {
		return o.diameter.MM(b.In)
	}
	return shop.UsualDiameter(b.In)
}

// expected returns what diameter each collar of a test cut is expected to have where the last one has its own exactly,
// with its ±, as text; empty where nothing is known of the wear.
func (b *blankSheets) expected(m survey.Method, rows [][]float64, o *blankOptions) []string {
	out := make([]string, len(rows))
	if m.Name != profile.TestCut || b.lathe == nil || len(rows) < 2 {
		return out
	}
	diameter := b.collar(o)
	in := func(i int) float64 { return b.In.ToMM(rows[i][0]) }
	last := len(rows) - 1
	curve, err := b.lathe.Machine.Curve(compensate.Cut{Feature: work.Feature{From: in(0), To: in(last),
		Diameter: diameter}, SetAt: in(last)})
	if err != nil {
		return out // the collars lie where nothing is known
	}
	for i := range rows {
		s := curve.Station(in(i))
		out[i] = b.ExpectedDiameter(diameter + s.DiameterError)
		if s.Stated && i < last {
			out[i] += " " + b.PlusMinus(s.Uncertainty, true)
		}
	}
	return out
}

// columnNames are what is written on a sheet beside the position.
func columnNames(m survey.Method, w word.Units) []string {
	switch {
	case m.Name == "straightedge":
		return []string{"goes", "stops"}
	case m.Name == "light-gap":
		return []string{"none, some or wide"}
	case m.Name == "carriage-lock":
		return []string{"feel 0 1 2 3"}
	case m.Name == "test-cut":
		return []string{"expected diameter, " + w.UnitName(), "measured diameter"}
	case m.Name == "stated":
		return []string{"front", "rear", "shift"}
	}
	out := []string{"reading there"}
	if slices.Contains(m.Also, "back") {
		out = append(out, "reading back")
	}
	if slices.Contains(m.Also, "reference") {
		out = append(out, "second level")
	}
	return out
}

// noted are the keys of a survey that are to be written down on its sheet, each with how it is found.
func noted(m survey.Method, p *profile.Profile) []survey.Question {
	return slices.DeleteFunc(m.Questions(survey.Machine{Lathe: p.Lathe.Bed, Unit: p.Unit}),
		func(q survey.Question) bool { return q.Key == "date" })
}

// askedAs is a key as it is asked for on paper.
func askedAs(q survey.Question) string {
	s := word.Upper(strings.TrimSuffix(q.What, "?"))
	if len(q.Of) > 0 {
		s += " (" + strings.Join(q.Of, ", ") + ")"
	}
	return s
}
