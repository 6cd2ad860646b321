package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/invented"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/show"
	"wornway/compensate/jobfile"
	"wornway/profile"
)

// demoSteps are the command lines of the demonstration, each with why it is run, whether the short form has it, and how
// many rows of its first table that shows.
var demoSteps = []struct {
	why, line string
	short     bool
	rows      int
}{
	{"Is the profile all right, and what does it hold?", "show demo.toml", false, 0},
	{"How worn is the bed, and would a regrind be noticed?", "wear demo.toml", false, 0},
	{"A seat of 1 in, 8 in long, in the chuck and on the tailstock's centre: what comes out?",
		"predict demo.toml --from 4in --to 12in --diameter 1in --held chuck-and-centre --tolerance 1thou", true, 5},
	{"What to turn the dial, and where?",
		"correct demo.toml --from 4in --to 12in --diameter 1in --held chuck-and-centre", true, 12},
	{"Or turn it elsewhere: where does a 6 in length hold half a thou?",
		"place demo.toml --length 6in --diameter 1in --tolerance 0.5thou", true, 0},
	{"A whole shaft with three seats, described in a job file: how is it best made?",
		"plan shaft.toml demo.toml", false, 0},
}

// demoNext is what comes after the demonstration: commands, each with what it does, under their headings.
var demoNext = []struct {
	heading string
	lines   [][2]string
}{
	{"Your own lathe, from nothing to a promise:", [][2]string{
		{"wornway new shop.toml", "asks for its measures"},
		{"wornway wear shop.toml --for 4in,12in", "says what to measure next"},
		{"wornway record shop.toml --method METHOD", "takes the readings down"},
		{"wornway correct shop.toml --from … --to …", "says what to dial, and how sure"},
		{"wornway check shop.toml --measured FILE", "holds the cut against it"}}},
	{"And there is more:", [][2]string{
		{"wornway plan, explain, compare", "a part; why; two surveys"},
		{"wornway wear shop.toml --verdict", "what the lathe will turn"},
		{"wornway chart", "the list as a card for the machine"},
		{"wornway lesson, exercise", "for apprentices"},
		{"wornway help", "all commands, and the guide"},
		{"wornway new --demo demo.toml", "this lathe, to try things on"},
		{"wornway demo --full", "all of the job, each answer whole"}}},
}

func newDemo(e *env.Env, run func(*env.Env, []string) int) *cobra.Command {
	full := false
	c := &cobra.Command{
		Use:   "demo",
		Short: "Run the main job on a built-in lathe, step by step",
		Long: `Demo runs the main job on a lathe of an invented workshop: what comes out, what to dial, and where it
would be better. With --full it runs all of it, the profile, the wear and the plan of a whole part too, and gives each
answer whole. Each step is printed with the command that makes it. wornway new --demo demo.toml writes the lathe's
profile, and wornway new --job --demo shaft.toml the part's job file, to try the commands by hand.`,
		Example: `  wornway demo
  wornway demo --full`,
		GroupID: "learn",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return refuse.Usage(fmt.Sprintf("demo takes no arguments: %q is too much", args[0]),
					"wornway new --demo FILE writes the demonstration lathe to work with")
			}
			return nil
		},
		RunE: func(*cobra.Command, []string) error {
			if full {
				return runDemo(e, run)
			}
			return runShortDemo(e, run)
		},
	}
	c.Flags().BoolVar(&full, "full", false, "all of the job, each answer whole")
	return c
}

// onInvented is where the demonstration's commands run.
func onInvented(e *env.Env, b *bytes.Buffer) *env.Env {
	step := &env.Env{Ctx: e.Ctx, Stdin: strings.NewReader(""), Stdout: b, Stderr: b, Now: e.Now, Columns: e.Width()}
	step.Open = func(name string) (*profile.Profile, error) { return profile.Parse(nil, name, invented.Lathe) }
	step.Job = func(name string) (*jobfile.File, error) { return jobfile.Parse(name, invented.Shaft) }
	return step
}

func runDemo(e *env.Env, run func(*env.Env, []string) int) error {
	var b bytes.Buffer
	text := func(s string) { b.WriteString(show.Fold(env.Shown(s), e.Format().Columns())) }
	text("The demonstration lathe is invented: no such machine exists, and nobody measured its numbers.\nIts profile " +
		"is written by: wornway new --demo demo.toml\nThe job file of the shaft, invented too: wornway new --job " +
		"--demo shaft.toml\n")
	for i, s := range demoSteps {
		line := s.line + " --full"
		text(fmt.Sprintf("\n%d. %s\n$ wornway %s\n\n", i+1, s.why, line))
		if code := run(onInvented(e, &b), strings.Fields(line)); code != env.ExitDone {
			fmt.Fprintf(&b, "(exit status %d)\n", code)
		}
	}
	text("\nThe proof is in the cut: turn collars at a few of these positions, measure them, and hold them against " +
		"the prediction.\n")
	_, err := e.Stdout.Write(b.Bytes())
	return err
}

// runShortDemo shows what the main commands answer, without what stands under each answer; what limits them stands
// under the first, as all are of one lathe.
func runShortDemo(e *env.Env, run func(*env.Env, []string) int) error {
	f := e.Format()
	f.Full = true // each is shown as it was cut down
	var b bytes.Buffer
	text := func(paragraph, indent string) {
		for _, l := range show.Fill(env.Shown(paragraph), f.Columns(), indent) {
			fmt.Fprintln(&b, l)
		}
	}
	ask := func(line string) (show.Report, error) {
		step := onInvented(e, &b)
		step.Taken = &env.Capture{}
		if code := run(step, strings.Fields(line)); code != env.ExitDone && code != env.ExitNotHeld {
			return show.Report{}, refuse.With("the demonstration failed at wornway "+line,
				"this is a fault of the program")
		}
		return step.Taken.Report, nil
	}
	worn, err := ask("wear demo.toml")
	if err != nil {
		return err
	}
	text("A lathe that is invented: no such machine exists, and nobody measured it. "+
		strings.SplitAfter(worn.Answer[0], ". ")[0], "")
	first := true
	for _, s := range demoSteps {
		if !s.short {
			continue
		}
		r, err := ask(s.line)
		if err != nil {
			return err
		}
		fmt.Fprintln(&b)
		text(s.why, "")
		text("$ wornway "+s.line, "    ")
		if r = r.Glance(s.rows); !first {
			r.Sketch, r.Remarks = nil, nil
		}
		first = false
		if err := show.Write(&b, r, f); err != nil {
			return err
		}
	}
	fmt.Fprintln(&b)
	text("Caution: "+say.CutCautions[0], "  ")
	for _, part := range demoNext {
		fmt.Fprintln(&b)
		text(part.heading, "")
		for _, l := range part.lines {
			const wide = 42 // room for a command
			if line := fmt.Sprintf("  %-*s  %s", wide, env.Shown(l[0]), l[1]); len([]rune(line)) <= f.Columns() {
				fmt.Fprintln(&b, line)
				continue
			}
			text(l[0]+": "+l[1], "    ")
		}
	}
	_, err = e.Stdout.Write(b.Bytes())
	return err
}
