package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/blank"
	"wornway/cmd/wornway/internal/classroom"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/exercise"
)

type exerciseOptions struct {
	seed, answer, mark string
	level              int
	paper              string
	out                env.Output
}

func newExercise(e *env.Env) *cobra.Command {
	o := &exerciseOptions{}
	c := &cobra.Command{
		Use:   "exercise --seed N [--level L]",
		Short: "Set a blind exercise: which cause is in these cuts?",
		Long: `Exercise sets a blind exercise: an invented lathe, a survey of its bed, and cuts and readings made since,
with a cause or two hidden in them. Who works it says what it is, how strong, and what tells it from what looks like it.
The same number always gives the same sheet. Level 1 hides one cause, well marked; level 2 shows two cuts only, which
need not be enough; level 3 hides two causes together, or a weak one. -o FILE.pdf prints the sheet, -o FILE.toml writes
the profile and, beside it, each cut for wornway check. --answer says what was hidden, and --mark marks a class's
answers.`,
		Example: `  wornway exercise --seed 417
  wornway exercise --seed 417 --level 2 -o sheet.pdf
  wornway exercise --seed 417-2 -o bench.toml
  wornway exercise --answer 417-2
  wornway exercise --mark class.csv`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return refuse.Usage(fmt.Sprintf("exercise takes no file: %q is too much", args[0]),
					"for instance wornway exercise --seed 417")
			}
			return nil
		},
		GroupID: "learn",
		RunE:    func(c *cobra.Command, _ []string) error { return runExercise(e, c, o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.StringVar(&o.seed, "seed", "", "`number` of the exercise, such as 417, or 417-2 with its level")
	f.IntVar(&o.level, "level", 0, "`level` from 1 to 3 (default 1)")
	f.StringVar(&o.answer, "answer", "", "say what the exercise of this `number` hides")
	f.StringVar(&o.mark, "mark", "", "mark the answers in this CSV `file`: name, seed, cause, and where given "+
		"cause_2, strength, strength_2, told_by")
	f.StringVar(&o.paper, "paper", "", "for -o FILE.pdf: a4 or letter (default a4, for a lathe in inches letter)")
	o.out.Flags(c)
	c.PreRunE = func(c *cobra.Command, _ []string) error {
		if c.Flags().Changed("seed") {
			o.out.Also = slices.Concat(env.AsPDF.Endings, env.AsTOML.Endings)
		}
		return o.out.Check(c)
	}
	return c
}

func runExercise(e *env.Env, c *cobra.Command, o *exerciseOptions) error {
	var asked []string
	for _, name := range []string{"seed", "answer", "mark"} {
		if c.Flags().Changed(name) {
			asked = append(asked, "--"+name)
		}
	}
	if len(asked) != 1 {
		message := "give one of --seed, --answer and --mark"
		if len(asked) > 1 {
			message = strings.Join(asked, " and ") + " do not go together"
		}
		return refuse.Usage(message, "for instance wornway exercise --seed 417")
	}
	if c.Flags().Changed("level") && o.level < 1 {
		return refuse.Usage(fmt.Sprintf("--level %d: levels go from 1 to %d", o.level, exercise.Hardest),
			"--level 1 is the easiest")
	}
	if o.mark != "" || asked[0] == "--mark" {
		return markClass(e, o)
	}
	text := o.seed + o.answer
	n, err := exercise.ParseNumber(text, o.level)
	if err != nil {
		return refuse.Usage(asked[0]+" "+word.Visible(text)+": "+err.Error(), "levels go from 1 to 3")
	}
	if o.paper != "" && env.EndingOf(o.out.File) != env.AsPDF.Endings[0] {
		return refuse.Usage("--paper goes with a PDF", "-o sheet.pdf prints the sheet")
	}
	defer e.Progress("making the exercise")()
	set, err := classroom.NewAssignment(n)
	if err != nil {
		return err
	}
	if o.answer != "" {
		r, err := set.Solution()
		if err != nil {
			return err
		}
		return e.Emit(o.out, r, "hidden")
	}
	switch env.EndingOf(o.out.File) {
	case env.AsPDF.Endings[0]:
		return printExercise(e, set, o)
	case env.AsTOML.Endings[0]:
		return writeExercise(e, set, o)
	}
	return e.Emit(o.out, set.Sheet(), "readings")
}

// beside is the name of the file for one cut of an exercise, beside that of its profile.
func beside(profile, name string) string {
	return strings.TrimSuffix(profile, filepath.Ext(profile)) + "-" + name + ".toml"
}

// writeExercise writes the profile, and each cut and reading into a file of its own beside it.
func writeExercise(e *env.Env, x *classroom.Assignment, o *exerciseOptions) error {
	type file struct{ name, text string }
	files := []file{}
	for _, r := range x.Readings {
		files = append(files, file{beside(o.out.File, r.Name), r.Text})
	}
	files = append(files, file{o.out.File, x.Text})
	for _, f := range files {
		if err := env.CanWrite(f.name, o.out.Force); err != nil {
			return err
		}
	}
	measured := ""
	for _, f := range files {
		if _, err := e.Keep(f.name, []byte(f.text), o.out.Force); err != nil {
			return err
		}
		if f.name != o.out.File {
			measured += " --measured " + f.name
		}
	}
	e.Say("%s is written, and %s beside it. All is invented. What the tool makes of it, once you "+
		"have made up your mind:\n  wornway check %s%s\n", o.out.File, word.Count(len(files)-1, "file"), o.out.File,
		measured)
	return nil
}

// printExercise writes the sheet as a PDF.
func printExercise(e *env.Env, x *classroom.Assignment, o *exerciseOptions) error {
	if err := env.CanWrite(o.out.File, o.out.Force); err != nil {
		return err
	}
	b := blank.Options{Paper: o.paper}
	size, err := b.Size(x.In)
	if err != nil {
		return err
	}
	made := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC) // the same number gives the same bytes
	p := classroom.Pages{Drawing: sheet.Drawing{Doc: paper.New(size, x.Profile.Lathe.Name, made), Made: made},
		Set: x}
	p.Print()
	data, err := env.PDF(p.Doc)
	if err != nil {
		return err
	}
	if _, err := e.Keep(o.out.File, data, o.out.Force); err != nil {
		return err
	}
	e.Say("%s is written: %s of %s. What it hides:\n  wornway exercise --answer %s\n", o.out.File,
		word.Count(p.Pages, "page"), size.Name, x.Number)
	return nil
}

// markClass marks the answers in a file.
func markClass(e *env.Env, o *exerciseOptions) error {
	const wanted = "a CSV file with the columns name, seed, cause"
	data, err := e.Contents(o.mark, wanted, wanted)
	if err != nil {
		return err
	}
	all, bad, err := classroom.ReadAnswers(o.mark, data, o.level)
	if err != nil {
		return err
	}
	defer e.Progress("marking")()
	r, err := classroom.Marked(all, bad)
	if err != nil {
		return err
	}
	return e.Emit(o.out, r, "marks")
}
