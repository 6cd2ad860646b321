package main

import (
	"runtime/debug"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
)

func execute(e *env.Env, args []string) int {
	root := newRoot(e)
	root.SetArgs(args)
	return e.Report(root.ExecuteContext(e.Ctx))
}

func newRoot(e *env.Env) *cobra.Command {
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
	root.SetIn(e.Stdin)
	root.SetOut(e.Stdout)
	root.SetErr(e.Stderr)
	root.SetVersionTemplate("wornway {{.Version}}\n")
	root.SuggestionsMinimumDistance = 2
	root.AddGroup(&cobra.Group{ID: "bed", Title: "The bed:"}, &cobra.Group{ID: "work", Title: "The work:"},
		&cobra.Group{ID: "paper", Title: "Paper for the machine:"}, &cobra.Group{ID: "learn", Title: "Learning:"})
	root.AddCommand(newNew(e), newShow(e), newRecord(e), newWear(e), newCheck(e), newCompare(e), newPredict(e),
		newCorrect(e), newPlace(e), newPlan(e), newChart(e), newBlank(e), newExplain(e), newLesson(e), newExercise(e),
		newPage(e, execute), newDemo(e, execute))
	root.SetFlagErrorFunc(flagError)
	width := helpWidth(e.Width())
	root.SetHelpCommand(newHelp(width))
	addCompletion(root)
	for _, c := range append(root.Commands(), root) {
		c.Flags().SetNormalizeFunc(flags.Spelling)
	}
	layOutHelp(root, width)
	return root
}

// version is the version that the program was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" || info.Main.Version == "(devel)" {
		return "(built from a checkout)"
	}
	return info.Main.Version
}
