package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/turning"
	"wornway/profile/length"
)

type explainOptions struct {
	cut  flags.Cut
	at   length.Length
	hold flags.Job // for one length: how it is held
	out  env.Output
}

func newExplain(e *env.Env) *cobra.Command {
	o := &explainOptions{}
	c := &cobra.Command{
		Use:   "explain PROFILE --at P --from A --to B --diameter D",
		Short: "Show step by step how the wear reaches the diameter at one place",
		Long: `Explain takes one position of what predict says apart: from the metal that the ways have lost, over what
the saddle makes of it, to the tool's point, the radius and the diameter; each step with its formula, the numbers put in
and the result. It ends with the share of each part in the error, and with what the error would be on other work, with
the tool at another height, or on a lathe of other dimensions with the same wear.`,
		Example: `  wornway explain demo.toml --at 5in --from 4in --to 6in --diameter 1in
  wornway explain demo.toml --at 8in --from 6in --to 11in --diameter 1in --held chuck-and-centre
  wornway explain demo.toml --at 120mm --from 100mm --to 150mm --diameter 25mm --json`,
		Args: flags.OneProfile, GroupID: "learn",
		Annotations: map[string]string{"instance": "PROFILE --at 5in --from 4in --to 6in --diameter 1in"},
		RunE:        func(c *cobra.Command, args []string) error { return runExplain(e, c, args[0], o) },
	}
	o.cut.Flags(c)
	c.Flags().Var(&o.at, "at", "position to explain (required)")
	o.hold.HeldFlag(c)
	hide := c.Flags().Lookup("every")
	hide.Hidden = true
	o.out.Flags(c, "ends", "steps", "portions", "changes")
	return c
}

func runExplain(e *env.Env, c *cobra.Command, file string, o *explainOptions) error {
	if err := flags.Need(c, "at", "from", "to", "diameter"); err != nil {
		return err
	}
	l, cut, err := o.cut.Open(e, c, file)
	if err != nil {
		return err
	}
	if err := flags.Sane("at", &o.at, l.In); err != nil {
		return err
	}
	at := l.ToEnd(o.at.MM(l.In))
	if !(at >= cut.From && at <= cut.To) {
		return refuse.Usage(fmt.Sprintf("--at %s: lies outside the length from %s to %s",
			o.at.String(), l.Bare(cut.From),
			l.At(cut.To)), "give a position on the length, or a longer length")
	}
	if err := o.hold.Hold(c, l, cut); err != nil {
		return err
	}
	curve, err := l.Machine.Curve(cut)
	if err != nil {
		return l.Explain(err)
	}
	x := turning.Explanation{Bench: l, C: curve, Here: curve.Steps(at), Set: curve.Steps(curve.SetAt)}
	return e.Emit(o.out, x.Report(), "steps")
}
