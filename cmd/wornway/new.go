package main

import (
	_ "embed"
	"fmt"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/disk"
	"wornway/profile"
	"wornway/profile/length"
)

//go:embed lathes/demo.toml
var demoLathe []byte

type newOptions struct {
	unit             string
	demo, ask, force bool
}

func newNew(e *env) *cobra.Command {
	o := &newOptions{}
	c := &cobra.Command{
		Use:   "new FILE",
		Short: "Write a profile to fill in, or the demonstration lathe",
		Long: help(`New writes a commented profile in which each key says what it is and how to measure it at the machine. On a terminal it
asks for the values one by one, says what is implausible, and writes those that were given; an empty answer leaves a key for
later. With --demo it writes the demonstration lathe, which is invented. FILE may be - for standard output.`),
		Example: `  wornway new bench.toml --unit in
  wornway new bench.toml --unit mm --ask=false
  wornway new --demo demo.toml`,
		GroupID: "bed",
		Args: func(c *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usageError{"give the one file to write", "for instance: wornway new bench.toml"}
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error { return runNew(e, c, args[0], o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.StringVar(&o.unit, "unit", "", "unit of every length in the file: `in` or mm")
	f.BoolVar(&o.ask, "ask", false, "ask for the values one by one (default on a terminal; --ask=false does not)")
	f.BoolVar(&o.demo, "demo", false, "write the demonstration lathe")
	f.BoolVar(&o.force, "force", false, "replace an existing file")
	return c
}

func runNew(e *env, c *cobra.Command, file string, o *newOptions) error {
	text := demoLathe
	if !o.demo {
		ask := o.ask
		if !c.Flags().Changed("ask") {
			ask = isTerminal(e.stdin) && isTerminal(e.stdout)
		}
		var err error
		if text, err = e.fillIn(o.unit, ask); err != nil {
			return err
		}
	}
	if file == "-" {
		_, err := e.stdout.Write(text)
		return err
	}
	if err := disk.WriteNew(file, text, o.force); err != nil {
		return err
	}
	next := "fill it in with an editor, then: wornway show " + file
	if _, err := profile.Parse(nil, file, text); err == nil {
		next = "now: wornway show " + file
	}
	fmt.Fprintf(e.stdout, "%s is written; %s\n", file, next)
	return nil
}

// fillIn returns the text of a new profile.
func (e *env) fillIn(unit string, ask bool) ([]byte, error) {
	var a *asking
	if ask {
		a = newAsking(e.stdin, e.stdout)
		if unit == "" {
			unit = a.unit()
		}
	}
	switch unit {
	case "in", "mm":
	case "":
		return nil, usageError{"--unit in or --unit mm? It holds for every length in the file", "for instance: wornway new bench.toml --unit in"}
	default:
		return nil, usageError{fmt.Sprintf("--unit %s: must be in or mm", unit), "it holds for every length in the file; readings may have units of their own"}
	}
	u := map[string]length.Unit{"in": length.Inch, "mm": length.Millimetre}[unit]
	answers := profile.Answers{}
	if a != nil {
		a.all(u, answers)
	}
	return []byte(profile.Template(u, answers)), nil
}
