package flags

import (
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/compensate"
	"wornway/profile/length"
)

// Flags registers them.
func (o *Correct) Flags(c *cobra.Command) {
	o.Cut.Flags(c)
	o.Job.OneLength = true
	o.Job.Flags(c)
	f := c.Flags()
	f.IntVar(&o.Settings, "settings", 0, "turn the dial at most this many `times` (default: as many as are worth it, "+
		"or keep the tolerance)")
	f.Var(&o.Allow, "allow", "the fewest settings that let the diameter stray by no more to either side")
	f.StringVar(&o.Feed, "feed", "", "feed toward the `headstock`, where the chuck is, or the tailstock: the list "+
		"begins at the other end (default: whichever lets corrections go one way)")
	f.Var(&o.Compound, "compound-angle", "correct by the compound, set to this angle from the bed's axis")
	o.Slide.Flags(c)
}

// dial returns the dial that is to be turned.
func (o *Correct) dial(c *cobra.Command, l *shop.Bench) (compensate.Dial, error) {
	if l.Collars != nil {
		var err error
		if l.Lathe.CrossSlide, err = o.Slide.slide(c, l.In); err != nil {
			return compensate.Dial{}, err
		}
		if c.Flags().Changed("compound-angle") { // then it is the compound's dial that is described
			l.Lathe.Compound = l.Lathe.CrossSlide
		}
	}
	slide, table := l.Lathe.CrossSlide, "cross_slide"
	angle := 0.0
	if c.Flags().Changed("compound-angle") {
		const least = 0.1 // degrees: no compound is set more finely
		if !(o.Compound >= least && o.Compound <= 90) {
			return compensate.Dial{}, refuse.Usage(fmt.Sprintf(
				"--compound-angle %s: must lie between 0.1 and 90 degrees",
				o.Compound.String()),
				"the angle counts from the bed's axis: 5.74 makes ten divisions out of one on radius")
		}
		slide, table, angle = l.Lathe.Compound, "compound", float64(o.Compound)*math.Pi/180
	}
	if slide == nil {
		return compensate.Dial{}, refuse.With(fmt.Sprintf("%s: there is no [lathe.%s], so nothing is known of the dial",
			l.File, table),
			fmt.Sprintf("add [lathe.%s] with dial, division and backlash", table))
	}
	return compensate.Dial{Diameter: slide.Diameter, Division: slide.Division, Finest: slide.Finest,
		Backlash: slide.Backlash, Angle: angle}, nil
}

// Correcting puts the flags together; every are the positions of the table at even steps.
func (o *Correct) Correcting(c *cobra.Command, l *shop.Bench, every []float64) (compensate.CorrectOptions, error) {
	var k compensate.CorrectOptions
	var err error
	if k.Dial, err = o.dial(c, l); err != nil {
		return k, err
	}
	if c.Flags().Changed("allow") {
		if err := Sane("allow", &o.Allow, l.In); err != nil {
			return k, err
		}
		if k.Allow = o.Allow.MM(l.In); !(k.Allow > 0) {
			return k, refuse.Usage(fmt.Sprintf("--allow %s: must be greater than zero", o.Allow.String()),
				"leave it out for as many settings as are worth dialling")
		}
	}
	if c.Flags().Changed("settings") {
		if c.Flags().Changed("allow") {
			return k, refuse.Usage("--settings and --allow do not go together", "give one of them")
		}
		if k.Settings = o.Settings; k.Settings < 1 {
			return k, refuse.Usage(fmt.Sprintf("--settings %d: must be 1 or more", o.Settings),
				"leave it out for as many as are worth dialling")
		}
	}
	switch o.Feed {
	case "":
		if c.Flags().Changed("feed") {
			return k, refuse.Usage(`--feed "": must be headstock or tailstock`,
				"leave it out for whichever lets corrections go one way")
		}
	case "headstock":
		k.Feed = compensate.TowardHeadstock
	case "tailstock":
		k.Feed = compensate.TowardTailstock
	default:
		return k, refuse.Usage(fmt.Sprintf("--feed %s: must be headstock or tailstock", o.Feed),
			"it is the end toward which the carriage goes while it cuts")
	}
	k.SetAtStart = !c.Flags().Changed("set-at")
	k.Every, k.Round, k.Shown = every, l.RuleStep(), l.Measured(k.Dial)
	return k, nil
}

type Correct struct {
	Cut      Cut
	Job      Job
	Allow    length.Length
	Feed     string
	Settings int
	Compound Degrees
	Slide    Slide
	Out      env.Output
}
