package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/invented"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/compensate/jobfile"
	"wornway/profile"
)

// demoSteps are the command lines of the demonstration, each with why it is run.
var demoSteps = []struct{ why, line string }{
	{"Is the profile all right, and what does it hold?", "show demo.toml"},
	{"How worn is the bed, and would a regrind be noticed?", "wear demo.toml"},
	{"A shaft seat, 1 in diameter, 8 in long, in the chuck and on the tailstock's centre: what comes out?",
		"predict demo.toml --from 4in --to 12in --diameter 1in --held chuck-and-centre --tolerance 1thou"},
	{"What to turn the dial, and where?",
		"correct demo.toml --from 4in --to 12in --diameter 1in --held chuck-and-centre"},
	{"Or turn it elsewhere: where does a 6 in length hold half a thou?",
		"place demo.toml --length 6in --diameter 1in --tolerance 0.5thou"},
	{"A whole shaft with three seats, described in a job file: how is it best made?", "plan shaft.toml demo.toml"},
}

func newDemo(e *env.Env, run func(*env.Env, []string) int) *cobra.Command {
	return &cobra.Command{
		Use:   "demo",
		Short: "Run the main job on a built-in lathe, step by step",
		Long: `Demo runs the main job on a lathe of an invented workshop: the profile, the wear, the prediction, the corrections, the
best place and the plan of a whole part. Each step is printed with the command that makes it. wornway new --demo demo.toml writes the lathe's
profile, and wornway new --job --demo shaft.toml the part's job file, to try the commands by hand.`,
		Example: `  wornway demo`,
		GroupID: "learn",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return refuse.Usage(fmt.Sprintf("demo takes no arguments: %q is too much", args[0]),
					"wornway new --demo FILE writes the demonstration lathe to work with")
			}
			return nil
		},
		RunE: func(*cobra.Command, []string) error { return runDemo(e, run) },
	}
}

func runDemo(e *env.Env, run func(*env.Env, []string) int) error {
	var b bytes.Buffer
	b.WriteString("The demonstration lathe is invented: no such machine exists, and nobody measured its " +
		"numbers.\nIts profile is written by: wornway new --demo demo.toml\nThe job file of the shaft, invented too: " +
		"wornway new --job --demo shaft.toml\n")
	step := &env.Env{Ctx: e.Ctx, Stdin: strings.NewReader(""), Stdout: &b, Stderr: &b, Now: e.Now}
	step.Open = func(name string) (*profile.Profile, error) { return profile.Parse(nil, name, invented.Lathe) }
	step.Job = func(name string) (*jobfile.File, error) { return jobfile.Parse(name, invented.Shaft) }
	for i, s := range demoSteps {
		fmt.Fprintf(&b, "\n%d. %s\n$ wornway %s\n\n", i+1, s.why, s.line)
		if code := run(step, strings.Fields(s.line)); code != env.ExitDone {
			fmt.Fprintf(&b, "(exit status %d)\n", code)
		}
	}
	b.WriteString("\nThe proof is in the cut: turn collars at a few of these positions, measure them, and hold them " +
		"against the prediction.\n")
	_, err := e.Stdout.Write(b.Bytes())
	return err
}
