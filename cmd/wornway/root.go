package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"wornway/profile"
	"wornway/profile/document"
)

// env is what a command works with.
type env struct {
	ctx            context.Context
	stdin          io.Reader
	stdout, stderr io.Writer
	open           func(name string) (*profile.Profile, error)
}

// Exit statuses.
const (
	exitDone    = 0
	exitRefused = 1
	exitUsage   = 2
	exitNotHeld = 3
)

const exitStatus = `Exit status:
  0  done
  1  refused or failed; standard error says where, what and how to put it right
  2  wrong usage
  3  done, but the work as asked cannot be held: with a stated ± when the probability of holding
     the tolerance is under 95 %, without one when the computed spread exceeds it`

// usageError is a command line that cannot be understood.
type usageError struct {
	message, hint string
}

func (u usageError) Error() string { return u.message }

// refusal is a fault with what to do about it.
type refusal struct {
	message, hint string
}

func (r refusal) Error() string { return r.message }

// errNotHeld says that the answer was given, and is no.
var errNotHeld = errors.New("the work as asked cannot be held")

func (e *env) run(args []string) int {
	root := newRoot(e)
	root.SetArgs(args)
	return e.report(root.ExecuteContext(e.ctx))
}

// report writes an error as people are told it and returns the exit status.
func (e *env) report(err error) int {
	var faults document.Faults
	var usage usageError
	var refused refusal
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errNotHeld):
		return exitNotHeld
	case errors.As(err, &faults):
		for _, f := range faults {
			e.complain(f.Error(), f.Hint)
		}
		return exitRefused
	case errors.As(err, &usage):
		e.complain(usage.message, usage.hint)
		return exitUsage
	case errors.As(err, &refused):
		e.complain(refused.message, refused.hint)
		return exitRefused
	}
	e.complain(err.Error(), "")
	return exitRefused
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
finds the best place on the bed. Start with: wornway demo`,
		Version:       version(),
		SilenceErrors: true,
		SilenceUsage:  true,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{fmt.Sprintf("there is no command %q", args[0]), "wornway --help lists the commands"}
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
	root.AddGroup(&cobra.Group{ID: "bed", Title: "The bed:"}, &cobra.Group{ID: "work", Title: "The work:"}, &cobra.Group{ID: "learn", Title: "Learning:"})
	root.AddCommand(newNew(e), newShow(e), newWear(e), newPredict(e), newCorrect(e), newPlace(e), newDemo(e))
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		return usageError{flagMessage(err), fmt.Sprintf("%s --help shows the flags and examples", c.CommandPath())}
	})
	for _, c := range append(root.Commands(), root) {
		c.Flags().SetNormalizeFunc(spelling)
	}
	return root
}

// spelling lets a flag be spelt the American way too.
func spelling(_ *pflag.FlagSet, name string) pflag.NormalizedName {
	return pflag.NormalizedName(strings.ReplaceAll(name, "center", "centre"))
}

// flagMessage says in plain words what is wrong with a flag.
func flagMessage(err error) string {
	var unknown *pflag.NotExistError
	var value *pflag.InvalidValueError
	var missing *pflag.ValueRequiredError
	switch {
	case errors.As(err, &unknown):
		name := unknown.GetSpecifiedName()
		if len(name) == 1 {
			return fmt.Sprintf("there is no flag -%s", name)
		}
		return fmt.Sprintf("there is no flag --%s", name)
	case errors.As(err, &value):
		return fmt.Sprintf("--%s %s: %v", value.GetFlag().Name, value.GetValue(), value.Unwrap())
	case errors.As(err, &missing):
		return fmt.Sprintf("--%s needs a value", missing.GetSpecifiedName())
	}
	return err.Error()
}

// oneFile is the argument of a command that works on one profile.
func oneFile(c *cobra.Command, args []string) error {
	switch len(args) {
	case 1:
		return nil
	case 0:
		return usageError{"which profile? Give its file, or - for standard input", c.CommandPath() + " --help shows examples"}
	}
	return usageError{fmt.Sprintf("one profile at a time: %q is too much", args[1]), "values belong to flags, such as --from 4in"}
}

// help puts a command's long help together: what it does, and its exit status.
func help(text string) string { return text + "\n\n" + exitStatus }

// version is the version that the program was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" {
		return "(built from a checkout)"
	}
	return info.Main.Version
}
