package main

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/making"
	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/jobfile"
	"wornway/compensate/plan"
	"wornway/profile/length"
)

type planOptions struct {
	measuring length.Length
	sheet     bool
	slips     flags.Slips
	out       env.Output
}

func newPlan(e *env.Env) *cobra.Command {
	o := &planOptions{}
	c := &cobra.Command{
		Use:   "plan JOB PROFILE…",
		Short: "Plan a whole part: on which lathe, how held, where on the bed",
		Long: `Plan looks for the best way to make a part that is described in a job file: on which of the lathes given,
how held, how far out, which end first, measured at each seat or once, with nothing dialled, with corrections or with
the tailstock set over. All features count together. It gives its advice first, then what each feature is expected to
come out like, the next best ways, and what holds the result back.

With --sheet it writes the run sheet of the best plan: what to do in which order, where to stop and measure, and what to
expect there; with -o FILE.pdf on paper.`,
		Example: `  wornway plan shaft.toml demo.toml
  wornway plan shaft.toml demo.toml --sheet
  wornway plan shaft.toml demo.toml --list
  wornway plan shaft.toml demo.toml second.toml --json`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) < 2 {
				return refuse.Usage("which job, and on which lathe? Give the job's file and one profile or more",
					"for instance: wornway plan shaft.toml demo.toml")
			}
			return nil
		},
		GroupID: "work",
		RunE:    func(c *cobra.Command, args []string) error { return runPlan(e, c, args[0], args[1:], o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.BoolVar(&o.sheet, "sheet", false, "write the run sheet of the best plan")
	f.Var(&o.measuring, "measuring", "standard uncertainty of a measured diameter (default 2um)")
	o.slips.Flags(f)
	o.out.Flags(c, "features", "plans", "steps")
	o.out.Lists(c)
	o.out.Draws(c)
	check := c.PreRunE
	c.PreRunE = func(c *cobra.Command, args []string) error {
		if o.sheet {
			if o.out.List {
				return refuse.Usage("--sheet and --list do not go together",
					"give one of them; -o FILE keeps each answer in a file of its own")
			}
			o.out.Also = env.AsPDF.Endings
		}
		return check(c, args)
	}
	return c
}

// printSheet writes the run sheet as a PDF.
func printSheet(e *env.Env, o *planOptions, p *making.Plans, r show.Report) error {
	size, err := paper.ParsePaper(map[length.Unit]string{length.Inch: "letter", length.Millimetre: "a4"}[p.In])
	if err != nil {
		return err
	}
	best := p.Result.Plans[0]
	_, _, made, _ := p.Lathes[best.Lathe].Dates()
	if made.IsZero() {
		made = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC) // nothing is dated: the same input gives the same paper
	}
	doc := sheet.Drawing{Doc: paper.New(size, p.File.Job.Name, made), Made: made}
	sheet.Run(&doc, r)
	data, err := env.PDF(doc.Doc)
	if err != nil {
		return err
	}
	if _, err := e.Keep(o.out.File, data, o.out.Force); err != nil {
		return err
	}
	e.Say("%s is written: %s of %s.\n", o.out.File, word.Count(doc.Pages, "page"), size.Name)
	if !best.Holds {
		return refuse.ErrNotHeld
	}
	return nil
}

func runPlan(e *env.Env, c *cobra.Command, job string, profiles []string, o *planOptions) error {
	defer e.Progress("looking at every way")()
	file, err := e.Job(job)
	if err != nil {
		return err
	}
	p, err := search(e, file, profiles, o)
	if err != nil {
		return err
	}
	if c.Flags().Changed("measuring") {
		if p.Question.Measuring = o.measuring.MM(file.Unit); !(p.Question.Measuring >= 0 && p.Question.Measuring < 1) {
			return refuse.Usage(fmt.Sprintf("--measuring %s: must not be less than zero, nor more than a millimetre",
				o.measuring.String()), "a micrometer is good for some 2um")
		}
	}
	if p.Result, err = p.Question.Search(); err != nil {
		hint := "see that the lathes and the job belong together"
		if errors.Is(err, plan.ErrNothingAsked) {
			hint = "give a feature its fit, or upper and lower, or the spread or taper that it may have"
		}
		return refuse.With(job+": "+err.Error(), hint)
	}
	if len(p.Result.Plans) == 0 {
		for _, r := range p.Lacks() {
			e.Complain(r, "")
		}
		const message = "there is no way to hold the part on what was given so that all its features can be turned"
		j := p.JSON(show.Report{Answer: []string{word.Upper(message) + "."},
			Assumed: []string{}, Warnings: p.Warnings()})
		return e.Cannot(o.out, j, job+": "+message, p.Nearest())
	}
	r, first := p.Report(), "features"
	switch {
	case o.sheet:
		r, first = p.Sheet(), "steps"
	case o.out.List:
		r = p.List()
	}
	if err := e.Draw(o.out, p.Figure); err != nil {
		return err
	}
	if o.sheet && slices.Contains(env.AsPDF.Endings, env.EndingOf(o.out.File)) {
		return printSheet(e, o, p, r)
	}
	if err := e.Emit(o.out, r, first); err != nil {
		return err
	}
	if !p.Result.Plans[0].Holds {
		return refuse.ErrNotHeld
	}
	return nil
}

// search opens the lathes. What is wrong with any of them is told of all at once.
func search(e *env.Env, file *jobfile.File, profiles []string, o *planOptions) (*making.Plans, error) {
	p := &making.Plans{Units: word.Units{In: file.Unit}, File: file, Names: profiles,
		Question: plan.Question{Job: file.Job, Measuring: shop.UsualMeasuring}}
	var wrong []error
	opened := map[string]bool{}
	for _, name := range profiles {
		if opened[name] {
			return nil, refuse.Usage(fmt.Sprintf("%q is given twice", name), "name each lathe once")
		}
		opened[name] = true
		l, err := flags.Open(e, name, o.slips, nil)
		if err != nil {
			wrong = append(wrong, err)
			continue
		}
		l.Units = p.Units
		h, err := l.Holder()
		if err != nil {
			wrong = append(wrong, err)
			continue
		}
		p.Lathes, p.Question.Lathes = append(p.Lathes, l), append(p.Question.Lathes, h)
	}
	if len(wrong) > 0 {
		for _, err := range wrong[:len(wrong)-1] {
			e.Report(err)
		}
		return nil, wrong[len(wrong)-1]
	}
	return p, nil
}
