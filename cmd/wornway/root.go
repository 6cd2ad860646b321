package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime/debug"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/compensate/jobfile"
	"wornway/profile"
	"wornway/profile/document"
	"wornway/profile/length"
)

// env is what a command works with.
type env struct {
	ctx            context.Context
	stdin          io.Reader
	stdout, stderr io.Writer
	open           func(name string) (*profile.Profile, error)
	job            func(name string) (*jobfile.File, error)
	now            func() time.Time
	read           []string // files that were read
}

// Exit statuses.
const (
	exitDone    = 0
	exitRefused = 1
	exitUsage   = 2
	exitNotHeld = 3
)

func (e *env) run(args []string) int {
	root := newRoot(e)
	root.SetArgs(args)
	return e.report(root.ExecuteContext(e.ctx))
}

// report writes an error as people are told it and returns the exit status.
func (e *env) report(err error) int {
	var faults document.Faults
	var usage refuse.UsageError
	var refused refuse.Refusal
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, refuse.NotHeld):
		return exitNotHeld
	case errors.As(err, &faults):
		for _, f := range faults {
			e.complain(f.Error(), f.Hint)
		}
		return exitRefused
	case errors.As(err, &usage):
		e.complain(usage.Message, usage.Hint)
		return exitUsage
	case errors.As(err, &refused):
		e.complain(refused.Message, refused.Hint)
		return exitRefused
	}
	e.complain(err.Error(), unwritten(err))
	return exitRefused
}

// unwritten is the hint for a file, or standard output, that cannot be written.
func unwritten(err error) string {
	if errors.Is(err, fs.ErrExist) {
		return "or give another file name"
	}
	return "give another file, in a folder that is there and may be written to"
}

func (e *env) complain(message, hint string) {
	fmt.Fprintf(e.stderr, "wornway: %s\n", message)
	if hint != "" {
		fmt.Fprintf(e.stderr, "  hint: %s\n", hint)
	}
}

func newRoot(e *env) *cobra.Command {
	root := &cobra.Command{
		Use:   "wornway",
		Short: "Plan precise turning on a lathe whose bed is worn",
		Long: `wornway plans precise turning on a lathe whose bed is worn. From a wear profile of the ways it predicts
the taper and diameter error of a part, says what to turn the cross-slide dial at which position, and
finds the best place on the bed. It plans whole parts, prints what is taped to the machine and what a
survey is written on, and makes lessons and exercises for apprentices. Start with: wornway demo`,
		Version:       version(),
		SilenceErrors: true,
		SilenceUsage:  true,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return noCommand(c, args[0])
			}
			return nil
		},
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	root.SetIn(e.stdin)
	root.SetOut(e.stdout)
	root.SetErr(e.stderr)
	root.SetVersionTemplate("wornway {{.Version}}\n")
	root.SuggestionsMinimumDistance = 2
	root.AddGroup(&cobra.Group{ID: "bed", Title: "The bed:"}, &cobra.Group{ID: "work", Title: "The work:"},
		&cobra.Group{ID: "paper", Title: "Paper for the machine:"}, &cobra.Group{ID: "learn", Title: "Learning:"})
	root.AddCommand(newNew(e), newShow(e), newRecord(e), newWear(e), newCheck(e), newCompare(e), newPredict(e),
		newCorrect(e), newPlace(e), newPlan(e), newChart(e), newBlank(e), newExplain(e), newLesson(e), newExercise(e),
		newDemo(e))
	root.SetFlagErrorFunc(flagError)
	root.SetHelpCommand(newHelp())
	addCompletion(root)
	for _, c := range append(root.Commands(), root) {
		c.Flags().SetNormalizeFunc(spelling)
	}
	layOutHelp(root, e.width())
	return root
}

// spelling lets a flag be spelt the American way too.
func spelling(_ *pflag.FlagSet, name string) pflag.NormalizedName {
	return pflag.NormalizedName(strings.ReplaceAll(name, "center", "centre"))
}

// oneFile is the argument of a command that works on one profile.
func oneFile(c *cobra.Command, args []string) error {
	switch len(args) {
	case 1:
		return nil
	case 0:
		return refuse.Usage("which profile? Give its file, or - for standard input",
			c.CommandPath()+" --help shows examples")
	}
	hint := "values belong to flags, such as --from 4in"
	if _, err := length.ParseUnit(args[1]); err == nil {
		hint = "a number and its unit stand together, without a blank: 4" + args[1]
	} else if f := c.Flags().Lookup("csv"); f != nil && f.Changed {
		hint = "a table's name is joined to its flag: --csv=" + args[1]
	}
	return refuse.Usage(fmt.Sprintf("one profile at a time: %q is too much", args[1]), hint)
}

// version is the version that the program was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" || info.Main.Version == "(devel)" {
		return "(built from a checkout)"
	}
	return info.Main.Version
}
