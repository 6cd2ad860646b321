package flags

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/bar"
	"wornway/profile/collars"
	"wornway/profile/length"
)

// Bar says of a table of collars, in place of a profile, what the table does not.
type Bar struct {
	ReadingUnit string
	uncertainty length.Length
	heldAt      length.Length
	centreAt    length.Length
}

// Flags gives a command that takes a table of collars the flags for it.
func (b *Bar) Flags(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&b.ReadingUnit, "reading-unit", "", "of a table of collars: `unit` of its diameters, in, thou, mm or "+
		"um (required with one)")
	f.Var(&b.uncertainty, "uncertainty", "of a table of collars: standard uncertainty of one diameter (default: 2 µm)")
	f.Var(&b.heldAt, "held-at", "of a table of collars: where the jaws held the bar (default: half a diameter before "+
		"the first collar)")
	f.Var(&b.centreAt, "centre-at", "of a table of collars: where the tailstock's centre held the bar (default: a "+
		"diameter beyond the last collar)")
}

// barFlags are those that only a table of collars needs.
var barFlags = []string{"reading-unit", "uncertainty", "held-at", "centre-at", "division", "dial", "finest", "backlash"}

// where is what to write in a profile in place of such a flag.
var where = map[string]string{
	"held-at":  "; where the chuck's jaws are stands in the profile as jaws_front under [lathe.holding]",
	"division": onSlide, "dial": onSlide, "finest": onSlide, "backlash": onSlide,
	"reading-unit": onSurvey, "uncertainty": onSurvey, "centre-at": onSurvey,
}

const (
	onSlide  = "; what the dial is stands in the profile under [lathe.cross_slide]"
	onSurvey = "; how readings were taken stands in the profile under their [[survey]]"
)

// aloneOf refuses flags that a profile itself says.
func aloneOf(c *cobra.Command) error {
	for _, n := range barFlags {
		if f := c.Flags().Lookup(n); f != nil && f.Changed {
			return refuse.Usage("--"+n+" is for a table of collars, and this is a profile, where it has a place of "+
				"its own", "leave it out"+where[n])
		}
	}
	return nil
}

// withoutLathe are flags that speak of a lathe's geometry, of which collars know nothing.
var withoutLathe = []string{"centre-height", "tool-height", "accept-slip", "job", "any-work", "cause"}

// how puts together how the bar was held and measured; at the unit that lengths without one count in.
func (b *Bar) how(c *cobra.Command, held string, in length.Unit) (collars.Conditions, error) {
	h := collars.Conditions{Held: bar.Chuck, HeldAt: math.NaN(), CentreAt: math.NaN()}
	if held != "" {
		way, err := Way(held)
		if err != nil {
			return h, err
		}
		h.Held = way
	}
	for _, f := range []struct {
		name string
		from *length.Length
		to   *float64
	}{{"held-at", &b.heldAt, &h.HeldAt}, {"centre-at", &b.centreAt, &h.CentreAt}} {
		if !c.Flags().Changed(f.name) {
			continue
		}
		if err := Sane(f.name, f.from, in); err != nil {
			return h, err
		}
		*f.to = f.from.MM(in)
	}
	if !math.IsNaN(h.CentreAt) && !h.Held.Tailed() {
		return h, refuse.Usage("--centre-at: no centre carries a bar that the chuck holds alone",
			"--held chuck-and-centre, or leave --centre-at out")
	}
	u, err := stated(c, &b.uncertainty, in)
	h.U = u
	return h, err
}

// stated returns the standard uncertainty of one diameter asked for, mm; 0 where none was.
func stated(c *cobra.Command, u *length.Length, in length.Unit) (float64, error) {
	const finest, coarsest = 1e-6, 10.0 // mm
	if !c.Flags().Changed("uncertainty") {
		return 0, nil
	}
	if v := u.MM(in); v >= finest && v <= coarsest {
		return v, nil
	}
	return 0, refuse.Usage(fmt.Sprintf("--uncertainty %s: is not what anything in a shop reads to", u.String()),
		"it is the standard uncertainty of one diameter, as in 0.1thou or 2um")
}

// readingUnit reads the unit of a table's diameters, and gives that of its positions with it.
func (b *Bar) readingUnit(file string) (reading, in length.Unit, err error) {
	hint := "--reading-unit in, thou, mm or um; positions then count in in or in mm"
	if b.ReadingUnit == "" {
		return reading, in, refuse.Usage(file+": in which unit are these diameters? A table of collars does not "+
			"say", hint)
	}
	if reading, err = length.ParseUnit(b.ReadingUnit); err != nil {
		return reading, in, refuse.Usage(fmt.Sprintf("--reading-unit %s: must be in, thou, mm or um",
			word.Visible(b.ReadingUnit)), "the unit that the diameters are written in")
	}
	in = length.Millimetre
	if reading == length.Inch || reading == length.Thou {
		in = length.Inch
	}
	return reading, in, nil
}

// table reads a table of collars.
func (b *Bar) table(name string, data []byte) (*collars.Table, length.Unit, error) {
	reading, in, err := b.readingUnit(name)
	if err != nil {
		return nil, in, err
	}
	t, err := collars.Parse(name, data, in, reading)
	return t, in, err
}

// Surveys returns the cuts of a table of collars as text of a profile, and the unit of that.
func (b *Bar) Surveys(c *cobra.Command, name string, data []byte, held string) (string, length.Unit, error) {
	t, in, err := b.table(name, data)
	if err != nil {
		return "", in, err
	}
	h, err := b.how(c, held, in)
	if err != nil {
		return "", in, err
	}
	if err := b.around(t, h, in); err != nil {
		return "", in, err
	}
	if !c.Flags().Changed("held") {
		if err := free(t, h); err != nil {
			return "", in, err
		}
	}
	reading, _, err := b.readingUnit(name)
	return t.Blocks(in, reading, h), in, err
}

// around refuses collars that do not lie between what held the bar.
func (b *Bar) around(t *collars.Table, h collars.Conditions, in length.Unit) error {
	first, last := t.Range()
	switch at := (word.Units{In: in}).At; {
	case h.HeldAt > first:
		return refuse.Usage(fmt.Sprintf("--held-at %s: the first collar lies before it, at %s", b.heldAt.String(),
			at(first)), "it is where the jaws end, and collars lie beyond")
	case h.CentreAt < last:
		return refuse.Usage(fmt.Sprintf("--centre-at %s: the last collar lies beyond it, at %s", b.centreAt.String(),
			at(last)), "it is where the point of the tailstock's centre stood")
	}
	return nil
}

// free refuses to take for granted that a bar stood free in the chuck, where its collars reach too far for that.
func free(t *collars.Table, h collars.Conditions) error {
	k, err := t.Estimate(h)
	if err != nil {
		return err
	}
	_, last := k.Range()
	if out := k.Out(last); out > profile.MostOverhang {
		return refuse.Usage(fmt.Sprintf("how was the bar held? These collars reach %s diameters out of the jaws",
			word.Fixed(out, 1)), "--held chuck if its end was free, --held chuck-and-centre with the tailstock's "+
			"centre in, or --held centres")
	}
	return nil
}

// open makes a bench of a table of collars.
func (b *Bar) open(c *cobra.Command, given env.CollarsError, held string) (*shop.Bench, error) {
	for _, n := range withoutLathe {
		if f := c.Flags().Lookup(n); f != nil && f.Changed {
			return nil, refuse.Usage("--"+n+" needs a lathe's profile, and "+given.Name+" is a table of collars",
				"leave it out, or make a profile: wornway new bench.toml --from "+given.Name)
		}
	}
	t, in, err := b.table(given.Name, given.Data)
	if err != nil {
		return nil, err
	}
	h, err := b.how(c, held, in)
	if err != nil {
		return nil, err
	}
	if err := b.around(t, h, in); err != nil {
		return nil, err
	}
	est, err := t.Estimate(h)
	if err != nil {
		return nil, refuse.With(given.Name+": "+err.Error(), "look for a slip in positions and diameters")
	}
	p := &profile.Profile{File: given.Name, Unit: in, Lathe: profile.Lathe{Bed: collars.Lathe()}}
	p.Lathe.Name = strings.TrimSuffix(filepath.Base(given.Name), filepath.Ext(given.Name))
	p.Lathe.Ways.From, p.Lathe.Ways.To = t.Range()
	return shop.NewCollars(p, est)
}

// onCollars opens a table of collars where a file turned out to be one, and no profile; err is that of reading it.
func (k *Cut) onCollars(c *cobra.Command, err error) (*shop.Bench, compensate.Cut, error) {
	var given env.CollarsError
	if k.Bar == nil || !errors.As(err, &given) {
		return nil, compensate.Cut{}, err
	}
	held := ""
	if f := c.Flags().Lookup("held"); f != nil {
		held = f.Value.String()
	}
	l, err := k.Bar.open(c, given, held)
	if err != nil {
		return nil, compensate.Cut{}, err
	}
	cut, err := k.cut(c, l)
	if err != nil {
		return nil, compensate.Cut{}, err
	}
	return l, cut, l.For(cut.Feature)
}

// Slide are the flags that describe a dial, where no profile does.
type Slide struct {
	dial               string
	division, backlash length.Length
	finest             float64
}

// Flags gives a command these flags.
func (s *Slide) Flags(c *cobra.Command) {
	f := c.Flags()
	f.Var(&s.division, "division", "with a table of collars: smallest mark of the dial (required with one)")
	f.StringVar(&s.dial, "dial", "", "with a table of collars: what the dial counts, `diameter|radius` (required with "+
		"one)")
	f.Float64Var(&s.finest, "finest", 0.5, "with a table of collars: finest setting, in `divisions`")
	f.Var(&s.backlash, "backlash", "with a table of collars: the slide's backlash as the dial counts")
}

// slide puts the flags together.
func (s *Slide) slide(c *cobra.Command, in length.Unit) (*profile.Slide, error) {
	if err := Need(c, "division", "dial"); err != nil {
		return nil, refuse.Usage("a table of collars says nothing of the dial: --division and --dial are needed",
			"for instance: --division 0.001in --dial diameter")
	}
	if s.dial != "diameter" && s.dial != "radius" {
		return nil, refuse.Usage(fmt.Sprintf("--dial %s: must be diameter or radius", word.Visible(s.dial)),
			"a diameter dial counts what comes off the diameter, a radius dial how far the slide goes")
	}
	out := &profile.Slide{Diameter: s.dial == "diameter", Division: s.division.MM(in), Finest: s.finest,
		Backlash: math.NaN()}
	const least, most = 1e-4, 10 // mm
	if !(out.Division >= least && out.Division <= most) {
		return nil, refuse.Usage(fmt.Sprintf("--division %s: is no dial's smallest mark", s.division.String()),
			"for instance 0.001in or 0.02mm")
	}
	if !(out.Finest > 0 && out.Finest <= most) {
		return nil, refuse.Usage(fmt.Sprintf("--finest %g: must be greater than zero", s.finest),
			"half a division is what a hand sets: 0.5")
	}
	if c.Flags().Changed("backlash") {
		if out.Backlash = s.backlash.MM(in); !(out.Backlash >= 0 && out.Backlash <= most) {
			return nil, refuse.Usage(fmt.Sprintf("--backlash %s: is no slide's", s.backlash.String()),
				"0 for a digital readout")
		}
	}
	return out, nil
}
