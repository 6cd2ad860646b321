package flags

import (
	"fmt"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/length"
)

// Cut say what is turned, and where.
type Cut struct {
	from, to, Diameter, setAt length.Length
	Every                     length.Length
	Tool                      Tool
	Bar                       *Bar // a table of collars serves in place of a profile; nil: it does not
}

// Tool are those of every command that computes diameters.
type Tool struct {
	CentreHeight, ToolHeight, Tolerance length.Length
	Bore                                bool
	Slips                               Slips
}

func (t *Tool) Flags(c *cobra.Command) {
	f := c.Flags()
	f.Var(&t.CentreHeight, "centre-height", "centre height to calculate with, in place of the file's (also "+
		"--center-height)")
	f.Var(&t.ToolHeight, "tool-height", "tool's point above centre when it is set, minus: below (default 0)")
	f.BoolVar(&t.Bore, "bore", false, "the diameter is a bore's")
	f.Var(&t.Tolerance, "tolerance", "full spread allowed on the diameter")
	t.Slips.Flags(f)
}

func (k *Cut) Flags(c *cobra.Command) {
	f := c.Flags()
	f.SortFlags = false
	f.Var(&k.from, "from", "headstock end of the length, from the spindle nose (required without --job)")
	f.Var(&k.to, "to", "its tailstock end (likewise)")
	f.Var(&k.Diameter, "diameter", "diameter turned (likewise)")
	f.Var(&k.setAt, "set-at", "where the diameter was measured and the dial set (default: where the cut starts)")
	k.Tool.Flags(c)
	f.Var(&k.Every, "every", "step of the table's positions (default: a round one, at most 25 rows)")
	if k.Bar != nil {
		k.Bar.Flags(c)
	}
}

// Centre returns the centre height asked for, mm, 0 where none was.
func (t *Tool) Centre(c *cobra.Command) func(*profile.Profile) (float64, error) {
	return func(p *profile.Profile) (float64, error) { return t.centreIn(c, p.Unit) }
}

// centreIn is centre with the unit in which a plain number counts.
func (t *Tool) centreIn(c *cobra.Command, u length.Unit) (float64, error) {
	if !c.Flags().Changed("centre-height") {
		return 0, nil
	}
	h := t.CentreHeight.MM(u)
	if err := Sane("centre-height", &t.CentreHeight, u); err != nil {
		return 0, err
	}
	if !(h > 0) {
		return 0, refuse.Usage(fmt.Sprintf("--centre-height %s: must be greater than zero", t.CentreHeight.String()),
			"measure from the front way's contacts up to the spindle axis")
	}
	return h, nil
}

// cut puts the flags together. SetAt is the length's tailstock end where --set-at is not given.
func (k *Cut) cut(c *cobra.Command, l *shop.Bench) (compensate.Cut, error) {
	u := l.In
	for _, f := range []struct {
		name string
		l    *length.Length
	}{{"from", &k.from}, {"to", &k.to}, {"diameter", &k.Diameter}, {"set-at", &k.setAt}} {
		if err := Sane(f.name, f.l, u); err != nil {
			return compensate.Cut{}, err
		}
	}
	if err := k.Tool.Check(c, u); err != nil {
		return compensate.Cut{}, err
	}
	if err := Thick(&k.Diameter, u); err != nil {
		return compensate.Cut{}, err
	}
	job := work.Job{
		ToolHeight: k.Tool.ToolHeight.MM(u),
		Features: []work.Feature{{From: k.from.MM(u), To: k.to.MM(u), Diameter: k.Diameter.MM(u),
			Bore: k.Tool.Bore, Tolerance: k.Tool.Tolerance.MM(u)}},
	}
	if ps := job.Check(); len(ps) > 0 {
		return compensate.Cut{}, k.Refuse(ps[0])
	}
	cut := compensate.Cut{Feature: job.On(job.Features[0]), ToolHeight: job.ToolHeight}
	cut.From, cut.To = l.ToEnd(cut.From), l.ToEnd(cut.To)
	cut.SetAt = cut.To
	if c.Flags().Changed("set-at") {
		cut.SetAt = l.ToEnd(k.setAt.MM(u))
	}
	return cut, nil
}

// Open reads the profile and puts the flags of a command that works on a cut together.
func (k *Cut) Open(e *env.Env, c *cobra.Command, file string) (*shop.Bench, compensate.Cut, error) {
	if err := Need(c, "from", "to", "diameter"); err != nil {
		return nil, compensate.Cut{}, err
	}
	l, err := Open(e, file, k.Tool.Slips, k.Tool.Centre(c))
	if err != nil {
		return k.onCollars(c, err)
	}
	if err := aloneOf(c); err != nil {
		return nil, compensate.Cut{}, err
	}
	cut, err := k.cut(c, l)
	return l, cut, err
}

// Check refuses values that no tool and no part can have.
func (t *Tool) Check(c *cobra.Command, u length.Unit) error {
	for _, f := range []struct {
		name string
		l    *length.Length
	}{{"centre-height", &t.CentreHeight}, {"tool-height", &t.ToolHeight}, {"tolerance", &t.Tolerance}} {
		if err := Sane(f.name, f.l, u); err != nil {
			return err
		}
	}
	if c.Flags().Changed("tolerance") && !(t.Tolerance.Number > 0) {
		return refuse.Usage(fmt.Sprintf("--tolerance %s: must be greater than zero", t.Tolerance.String()),
			"give the full spread allowed on the diameter, such as 0.5thou or 12um")
	}
	return nil
}

// Refuse says what is wrong with a job in terms of the flags that made it.
func (k *Cut) Refuse(p work.Problem) error {
	given := ""
	switch p.Field {
	case "from":
		p.Message = "must lie nearer to the headstock than --to " + k.to.String()
		given = " " + k.from.String()
	case "diameter":
		given = " " + k.Diameter.String()
	case "tool-height":
		given = " " + k.Tool.ToolHeight.String()
	case "tolerance":
		given = " " + k.Tool.Tolerance.String()
	}
	return refuse.Usage("--"+p.Field+given+": "+p.Message, p.Hint)
}

// Stations returns the positions for a table over a stretch: multiples of --every, or of a round step that makes at
// most 25 rows.
func Stations(c *cobra.Command, u length.Unit, every length.Length, from, to float64) ([]float64, error) {
	return StationsAmong(c, u, every, from, to, to-from)
}

// StationsAmong is stations where a table holds several stretches, which together are so long, mm.
func StationsAmong(c *cobra.Command, u length.Unit, every length.Length, from, to, all float64) ([]float64, error) {
	const most = 25
	step := compensate.RoundStep(all, u.MM(), most)
	if c.Flags().Changed("every") {
		step = every.MM(u)
		const tooMany = 2_000_000
		if !(step > 0) {
			return nil, refuse.Usage(fmt.Sprintf("--every %s: must be greater than zero", every.String()),
				"give the distance from one row to the next")
		}
		if (to-from)/step > tooMany {
			return nil, refuse.Usage(fmt.Sprintf("--every %s: makes more than 2,000,000 rows", every.String()),
				"give a longer step")
		}
	}
	const same = 1e-9 // mm: the two ends of a stretch that is no stretch
	if to-from <= same {
		return []float64{from}, nil
	}
	return compensate.Stations(from, to, step), nil
}
