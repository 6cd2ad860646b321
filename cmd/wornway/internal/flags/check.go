package flags

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/length"
)

// Check says what was measured, of what, and how it was made.
type Check struct {
	Measured          string   // the file that is read
	Files             []string // all that were given
	Later             bool     // readings of a level or a bar count too
	Cause             bool
	Add               bool
	Job               Job
	setAt             length.Length
	Held, ReadingUnit string
	date              string
	heldAt, centreAt  length.Length
	depth, feed       length.Length
	uncertainty       length.Length
	collars           bool // a table of collars stands in place of the profile, and the flags speak of it too
	Tool              Tool
	Out               env.Output
}

// saidByTOML are the flags for what a TOML file says itself.
var saidByTOML = []string{"held", "held-at", "centre-at", "depth", "feed", "reading-unit", "uncertainty", "date"}

// Flags gives a command these flags.
func (o *Check) Flags(c *cobra.Command) {
	f := c.Flags()
	f.SortFlags = false
	f.StringArrayVar(&o.Files, "measured", nil, "`file` with what was measured, TOML or CSV (required); several: "+
		"which cause explains them all?")
	f.BoolVar(&o.Cause, "cause", false, "ask for the cause of one file too")
	f.BoolVar(&o.Add, "add", false, "make the cut one more survey of the profile")
	f.Var(&o.setAt, "set-at", "the measured position at which the dial was set (default: the one nearest to the "+
		"tailstock)")
	f.Var(&o.Tool.CentreHeight, "centre-height", "centre height to calculate with, in place of the file's (also "+
		"--center-height)")
	f.Var(&o.Tool.ToolHeight, "tool-height", "tool's point above centre when it was set, minus: below (default 0)")
	f.StringVar(&o.Held, "held", "chuck", "of a CSV file: the `way` the work was held: chuck, chuck-and-centre or "+
		"centres; with --job one of its ways")
	f.Var(&o.heldAt, "held-at", "of a CSV file: position of the jaws; push-off is then allowed for")
	f.Var(&o.centreAt, "centre-at", "of a CSV file: position of the tailstock's centre (default: a diameter beyond "+
		"the last collar)")
	f.Var(&o.depth, "depth", "of a CSV file: depth of cut, to be kept with it")
	f.Var(&o.feed, "feed", "of a CSV file: feed for each turn, to be kept with it")
	f.StringVar(&o.ReadingUnit, "reading-unit", "", "of a CSV file: `unit` of the diameters, in, thou, mm or um "+
		"(default: the profile's)")
	f.Var(&o.uncertainty, "uncertainty", "of a CSV file: standard uncertainty of one diameter (default: 2 µm)")
	f.StringVar(&o.date, "date", "", "of a CSV file: the `day` it was cut, as in 2026-03-14")
	o.Job.OwnHeld = true
	o.Job.Flags(c)
	o.Tool.Slips.Flags(f)
	o.Out.Flags(c, "stations", "causes")
}

// OnCollars opens a table of collars in place of a profile.
func (o *Check) OnCollars(c *cobra.Command, table env.CollarsError) (*shop.Bench, error) {
	if o.Add {
		return nil, refuse.Usage("--add needs a lathe's profile, and "+table.Name+" is a table of collars",
			"add the cut's rows to the table, with a number of its own in a column cut")
	}
	o.collars = true
	b := Bar{ReadingUnit: o.ReadingUnit, uncertainty: o.uncertainty, heldAt: o.heldAt, centreAt: o.centreAt}
	return b.open(c, table, o.Held)
}

// Cut reads what was measured.
func (o *Check) Cut(e *env.Env, c *cobra.Command, p *profile.Profile) (*profile.Cut, error) {
	if o.Measured == "" || o.Measured == "-" {
		return nil, refuse.Usage(fmt.Sprintf("--measured %q: names no file", o.Measured),
			"give the file that holds the measured diameters")
	}
	data, err := e.Contents(o.Measured, "the file that holds the measured diameters",
		"write position and diameter into a CSV file, a line for each collar")
	if err != nil {
		return nil, err
	}
	beside := e.Folder(filepath.Dir(o.Measured))
	if isTOML(o.Measured, data) {
		for _, name := range saidByTOML {
			if !o.collars && c.Flags().Changed(name) {
				return nil, refuse.Usage(fmt.Sprintf("--%s is for a CSV file; %s says it itself", name, o.Measured),
					"write "+strings.ReplaceAll(name, "-", "_")+" under its [[survey]]")
			}
		}
		read := p.ReadCut
		if o.Later {
			read = p.ReadLater
		}
		cut, err := read(beside, o.Measured, data)
		if err == nil && cut.File != "" {
			e.Read = append(e.Read, filepath.Join(filepath.Dir(o.Measured), filepath.FromSlash(cut.File)))
		}
		return cut, err
	}
	keys, err := o.keys(c, p.Unit)
	if err != nil {
		return nil, err
	}
	return p.ReadCutCSV(beside, filepath.Base(o.Measured), keys)
}

// keys puts the flags together that a CSV file of one cut needs.
func (o *Check) keys(c *cobra.Command, u length.Unit) (profile.CutKeys, error) {
	way, err := Way(o.Held)
	if err != nil {
		return profile.CutKeys{}, err
	}
	k, err := o.measurement(c, u)
	k.Held = way
	return k, err
}

// Uncertainty returns the standard uncertainty of one diameter of a job's part, mm, and refuses what a CSV file of a
// part cannot be.
func (o *Check) Uncertainty(c *cobra.Command, u length.Unit) (float64, error) {
	k, err := o.measurement(c, u)
	if err != nil || k.Uncertainty != 0 {
		return k.Uncertainty, err
	}
	return shop.UsualMeasuring, nil
}

// measurement puts those together that say when and how well a CSV file was measured, however the work was held.
func (o *Check) measurement(c *cobra.Command, u length.Unit) (profile.CutKeys, error) {
	k := profile.CutKeys{ReadingUnit: o.ReadingUnit}
	if _, err := length.ParseUnit(o.ReadingUnit); o.ReadingUnit != "" && err != nil {
		return k, refuse.Usage(fmt.Sprintf("--reading-unit %s: must be in, thou, mm or um",
			word.Visible(o.ReadingUnit)),
			"the unit that the diameters are written in")
	}
	if o.date != "" {
		d, err := time.Parse(time.DateOnly, o.date)
		if err != nil {
			return k, refuse.Usage(fmt.Sprintf("--date %s: must be a day", word.Visible(o.date)),
				"write year-month-day, as in 2026-03-14")
		}
		k.Date = d
	}
	for _, f := range []struct {
		name string
		from *length.Length
		to   *float64
		some bool // must be above zero
	}{{"held-at", &o.heldAt, &k.HeldAt, false}, {"centre-at", &o.centreAt, &k.CentreAt, false},
		{"depth", &o.depth, &k.Depth, true}, {"feed", &o.feed, &k.Feed, true},
		{"uncertainty", &o.uncertainty, &k.Uncertainty, true}} {
		if !c.Flags().Changed(f.name) {
			*f.to = math.NaN()
			continue
		}
		if err := Sane(f.name, f.from, u); err != nil {
			return k, err
		}
		if *f.to = f.from.MM(u); f.some && !(*f.to > 0) {
			return k, refuse.Usage(fmt.Sprintf("--%s %s: must be greater than zero", f.name, f.from.String()),
				"leave it out where it is not known")
		}
	}
	const finest, coarsest = 1e-6, 10.0 // mm
	switch u := k.Uncertainty; {
	case math.IsNaN(u):
		k.Uncertainty = 0
	case u < finest || u > coarsest:
		return k, refuse.Usage(fmt.Sprintf("--uncertainty %s: is not what anything in a shop reads to",
			o.uncertainty.String()), "it is the standard uncertainty of one diameter, as in 0.1thou or 2um")
	}
	return k, nil
}

// Turned puts the cut together for the comparison.
func (o *Check) Turned(c *cobra.Command, l *shop.Bench, cut *profile.Cut) (compensate.TestCut, error) {
	t := compensate.TestCut{At: cut.As.Positions, Diameter: cut.As.Diameters, HeldAt: cut.As.HeldAt,
		Tailed: cut.As.Held.Tailed(), SetAt: math.NaN(), ToolHeight: o.Tool.ToolHeight.MM(l.In)}
	const most = 400 // measurements: each goes with each
	if n := len(t.At); n > most {
		return t, refuse.With(fmt.Sprintf("%s: holds %d measurements, and at most %d can be judged together",
			o.Measured, n,
			most), "give the mean of neighbours, or every few of them")
	}
	for i := range t.At {
		t.At[i] = l.ToEnd(t.At[i])
	}
	if err := o.Tool.Check(c, l.In); err != nil {
		return t, err
	}
	t.U, _ = cut.Set.StatesUncertainty()
	for _, term := range cut.Set.Open() {
		if term.Flat {
			t.Loose = append(t.Loose, term.Of)
		} else {
			t.Shared = append(t.Shared, compensate.Influence{Of: term.Of, U: term.U})
		}
	}
	if !c.Flags().Changed("set-at") {
		return t, nil
	}
	if err := Sane("set-at", &o.setAt, l.In); err != nil {
		return t, err
	}
	t.SetAt = o.setAt.MM(l.In)
	const near = 0.1 // mm
	nearest := math.Inf(1)
	for _, z := range t.At {
		if math.Abs(z-t.SetAt) < math.Abs(nearest-t.SetAt) {
			nearest = z
		}
	}
	if math.Abs(nearest-t.SetAt) > near {
		return t, refuse.Usage(fmt.Sprintf("--set-at %s: the part was not measured there", o.setAt.String()),
			"the nearest place where it was is "+l.At(nearest))
	}
	return t, nil
}

// isTOML says whether a file is TOML and not CSV: by its name, or by its first line that says anything.
func isTOML(name string, data []byte) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".toml":
		return true
	case ".csv", ".tsv":
		return false
	}
	for line := range strings.Lines(strings.TrimPrefix(string(data), "\uFEFF")) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			return strings.HasPrefix(line, "[") || strings.Contains(line, "=")
		}
	}
	return false
}

// PartText reads the CSV file of what was measured of a job's part.
func (o *Check) PartText(e *env.Env) ([]byte, error) {
	if o.Measured == "" || o.Measured == "-" {
		return nil, refuse.Usage(fmt.Sprintf("--measured %q: names no file", o.Measured),
			"give the CSV file that holds the measured diameters")
	}
	data, err := e.Contents(o.Measured, "the CSV file that holds the measured diameters", PartColumns)
	if err == nil && isTOML(o.Measured, data) {
		err = refuse.With(o.Measured+": what was measured of a job's part is a CSV file", PartColumns)
	}
	return data, err
}

// PartColumns says what the CSV file of a part begins with.
const PartColumns = "the first line names the columns: position,diameter or feature,position,diameter"
