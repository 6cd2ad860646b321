package main

import (
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/compensate"
	"wornway/profile/length"
)

// dial returns the dial that is to be turned.
func (o *correctOptions) dial(c *cobra.Command, l *lathe) (compensate.Dial, error) {
	slide, table := l.Lathe.CrossSlide, "cross_slide"
	angle := 0.0
	if c.Flags().Changed("compound-angle") {
		const least = 0.1 // degrees: no compound is set more finely
		if !(o.compound >= least && o.compound <= 90) {
			return compensate.Dial{}, refuse.Usage(fmt.Sprintf(
				"--compound-angle %s: must lie between 0.1 and 90 degrees",
				o.compound.String()),
				"the angle counts from the bed's axis: 5.74 makes ten divisions out of one on radius")
		}
		slide, table, angle = l.Lathe.Compound, "compound", float64(o.compound)*math.Pi/180
	}
	if slide == nil {
		return compensate.Dial{}, refuse.With(fmt.Sprintf("%s: there is no [lathe.%s], so nothing is known of the dial",
			l.File, table),
			fmt.Sprintf("add [lathe.%s] with dial, division and backlash", table))
	}
	return compensate.Dial{Diameter: slide.Diameter, Division: slide.Division, Finest: slide.Finest,
		Backlash: slide.Backlash, Angle: angle}, nil
}

// correcting puts the flags together; every are the positions of the table at even steps.
func (o *correctOptions) correcting(c *cobra.Command, l *lathe, every []float64) (compensate.Correcting, error) {
	var k compensate.Correcting
	var err error
	if k.Dial, err = o.dial(c, l); err != nil {
		return k, err
	}
	if c.Flags().Changed("allow") {
		if err := flags.Sane("allow", &o.allow, l.In); err != nil {
			return k, err
		}
		if k.Allow = o.allow.MM(l.In); !(k.Allow > 0) {
			return k, refuse.Usage(fmt.Sprintf("--allow %s: must be greater than zero", o.allow.String()),
				"leave it out to hold what the finest setting makes on the diameter")
		}
	}
	switch o.feed {
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
		return k, refuse.Usage(fmt.Sprintf("--feed %s: must be headstock or tailstock", o.feed),
			"it is the end toward which the carriage goes while it cuts")
	}
	k.SetAtStart = !c.Flags().Changed("set-at")
	k.Every, k.Round = every, l.roundSteps()
	return k, nil
}

// roundSteps are the steps to which places of moves are rounded: what is easily found with a rule along the bed, then
// finer ones.
func (l *lathe) roundSteps() []float64 {
	if l.In == length.Inch {
		return []float64{0.25 * 25.4, 0.1 * 25.4, 0.05 * 25.4, 0.01 * 25.4}
	}
	return []float64{5, 2, 1, 0.2}
}
