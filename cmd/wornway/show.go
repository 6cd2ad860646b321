package main

import (
	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/listing"
)

func newShow(e *env.Env) *cobra.Command {
	var out env.Output
	c := &cobra.Command{
		Use:   "show PROFILE",
		Short: "Say what a profile holds, what is missing, what is odd",
		Long: `Show reads a profile and says what it holds: the lathe's geometry with the values that were taken where
the file gives none, its wear and surveys with their dates, damage seen, what was done to the machine; what each command
still needs; and every warning. It computes nothing. A profile with faults is refused with all of them, each with its
place and how to mend it.`,
		Example: `  wornway show demo.toml
  wornway show demo.toml --json`,
		Args: flags.OneProfile, GroupID: "bed",
		RunE: func(c *cobra.Command, args []string) error {
			p, err := e.Open(args[0])
			if err != nil {
				return err
			}
			e.Age(p)
			return e.Emit(out, listing.ShowReport(p), "lathe")
		},
	}
	out.Flags(c, "lathe", "holds", "commands")
	return c
}
