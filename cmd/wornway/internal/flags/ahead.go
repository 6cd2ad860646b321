package flags

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/length"
)

// Ahead says which length of work surveys are wanted for.
type Ahead struct {
	stretch             string
	tolerance, diameter length.Length
	hold                Job // how it is held
	with                string
}

// Flags adds the flags; what says what comes of --for.
func (o *Ahead) Flags(c *cobra.Command, what string) {
	c.Flags().StringVar(&o.stretch, "for", "", "work lies at these positions, `from,to`: "+what)
	c.Flags().Var(&o.tolerance, "tolerance", "with --for: full spread allowed on the diameter")
	c.Flags().Var(&o.diameter, "diameter", "with --for: diameter turned (default 1 in or 25 mm)")
	o.hold.HeldFlag(c)
	c.Flags().Lookup("held").Usage = "with --for: " + c.Flags().Lookup("held").Usage
	c.Flags().StringVar(&o.with, "with", "", "with --for: the `tools` there are, such as level,bar,indicator")
}

// Check refuses what speaks of a length where there is none.
func (o *Ahead) Check(c *cobra.Command) error {
	if c.Flags().Changed("for") {
		return nil
	}
	for _, f := range [][2]string{{"tolerance", "0.5thou"}, {"diameter", "2in"},
		{"held", "chuck-and-centre"}, {"with", "level,indicator"}} {
		if c.Flags().Changed(f[0]) {
			return refuse.Usage("--"+f[0]+" needs --for", "for instance --for 4in,12in --"+f[0]+" "+f[1])
		}
	}
	return nil
}

// Cut puts them together.
func (o *Ahead) Cut(c *cobra.Command, l *shop.Bench) (compensate.Cut, error) {
	var cut compensate.Cut
	from, to, err := TwoPositions("for", o.stretch, "for instance --for 4in,12in", l.In)
	if err != nil {
		return cut, err
	}
	for _, f := range []struct {
		name string
		l    *length.Length
	}{{"diameter", &o.diameter}, {"tolerance", &o.tolerance}} {
		if err := Sane(f.name, f.l, l.In); err != nil {
			return cut, err
		}
		if c.Flags().Changed(f.name) && !(f.l.Number > 0) {
			return cut, refuse.Usage(fmt.Sprintf("--%s %s: must be greater than zero", f.name, f.l.String()),
				map[string]string{"diameter": "for instance --diameter 2in",
					"tolerance": "for instance --tolerance 0.5thou"}[f.name])
		}
	}
	if err := Thick(&o.diameter, l.In); err != nil {
		return cut, err
	}
	diameter := shop.UsualDiameter(l.In)
	if c.Flags().Changed("diameter") {
		diameter = o.diameter.MM(l.In)
	}
	from, to = l.ToEnd(from), l.ToEnd(to)
	const shortest = 5 // mm: surveys lie further apart than that
	if to-from < shortest {
		return cut, refuse.Usage(fmt.Sprintf("--for %s: is too short to be surveyed", o.stretch),
			"give a length of a quarter of an inch (6 mm) or more")
	}
	cut = compensate.Cut{Feature: work.Feature{From: from, To: to, Diameter: diameter,
		Tolerance: o.tolerance.MM(l.In)}, SetAt: to}
	return cut, o.hold.Hold(c, l, cut)
}

// Tools are those that there are; nil: all.
func (o *Ahead) Tools() ([]string, error) {
	tools, err := shop.ParseTools(o.with)
	var unknown refuse.Refusal
	if errors.As(err, &unknown) {
		return nil, refuse.Usage("--with: "+unknown.Message, unknown.Hint)
	}
	return tools, err
}

// Given is what was said of the work, for the commands that come next.
func (o *Ahead) Given(c *cobra.Command) shop.Particulars {
	g := shop.Particulars{Diameter: c.Flags().Changed("diameter")}
	if tools, err := shop.ParseTools(o.with); err == nil {
		g.Tools = strings.Join(tools, ",")
	}
	if way, err := o.hold.Way(c); err == nil && c.Flags().Changed("held") {
		g.Held = way
	}
	return g
}

// OpenAhead reads a profile to plan surveys by: one without readings and wear serves too, and blind is then true.
func OpenAhead(e *env.Env, name string, slips Slips) (l *shop.Bench, blind bool, err error) {
	l, err = Open(e, name, slips, nil)
	return shop.OrBlind(l, err)
}
