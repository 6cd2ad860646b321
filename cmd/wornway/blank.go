package main

import (
	"errors"
	"time"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/blank"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/survey"
)

func newBlank(e *env.Env) *cobra.Command {
	o := &blank.Options{}
	c := &cobra.Command{
		Use:   "blank PROFILE --method M -o FILE.pdf",
		Short: "Print a blank survey sheet with this bed's stations",
		Long: `Blank prints a sheet to write readings on at the machine, as a PDF: the stations of this bed in the order
in which record asks for them, columns for the way there and back, what else is to be noted, how the instrument stands
and which way is plus, and what to watch for. --method all prints the set of all methods, one page or more each. On the
sheet of the test cut stands what diameter each collar is expected to have, as far as the profile knows the wear.`,
		Example: `  wornway blank demo.toml --method saddle-level -o level.pdf
  wornway blank demo.toml --method straightedge --contacts 2in,26in -o edge.pdf
  wornway blank demo.toml --method all --paper a4 -o set.pdf`,
		Args: flags.OneProfile, GroupID: "paper",
		Annotations: map[string]string{"instance": "PROFILE --method saddle-level -o level.pdf"},
		RunE:        func(c *cobra.Command, args []string) error { return runBlank(e, c, args[0], o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.StringVar(&o.Method, "method", "", "survey `method`, or all (required)")
	f.StringVar(&o.Contacts, "contacts", "", "`from,to`: where a straightedge rests (default: 24 in or 600 mm from "+
		"the spindle nose on)")
	f.Var(&o.Diameter, "diameter", "diameter of the test cut's collars (default 1in, 25mm)")
	f.StringVar(&o.Paper, "paper", "", "a5, half-letter, a4 or letter (default a4, in inches letter)")
	f.StringVarP(&o.File, "output", "o", "", "`file` to write (required)")
	f.BoolVar(&o.Force, "force", false, "replace an existing file")
	_ = c.RegisterFlagCompletionFunc("method", func(*cobra.Command, []string, string) ([]cobra.Completion,
		cobra.ShellCompDirective) {
		return append(flags.MethodNames(), "all"), cobra.ShellCompDirectiveNoFileComp
	})
	return c
}

func runBlank(e *env.Env, c *cobra.Command, file string, o *blank.Options) error {
	if err := flags.Need(c, "method", "output"); err != nil {
		return err
	}
	methods := sheet.InOrderOfSurvey()
	if o.Method != "all" {
		m, err := flags.Method(o.Method)
		if err != nil {
			return err
		}
		methods = []survey.Method{m}
	}
	if err := env.AsPDF.Target("-o", o.File, o.Force); err != nil {
		return err
	}
	p, l, err := openBlank(e, file)
	if err != nil {
		return err
	}
	size, err := o.Size(p.Unit)
	if err != nil {
		return err
	}
	// a blank sheet carries no day: the one of the survey is written on it
	made := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	b := blank.Sheets{Drawing: sheet.Drawing{Doc: paper.New(size, p.Lathe.Name, made), Made: made},
		Units:   word.Units{In: p.Unit},
		Profile: p, Lathe: l}
	for _, m := range methods {
		if err := b.Sheet(m, o); err != nil {
			return err
		}
	}
	data, err := env.PDF(b.Doc)
	if err != nil {
		return err
	}
	if shown, err := e.Keep(o.File, data, o.Force); shown || err != nil {
		return err
	}
	e.Say("%s is written: %s of %s. The readings go in by:\n  wornway record %s --method %s\n", o.File,
		word.Count(b.Pages, "page"), size.Name, file, map[bool]string{true: "M",
			false: methods[0].Name}[len(methods) > 1])
	return nil
}

// openBlank reads a profile to print sheets for; one without wear serves too, and the lathe is then nil.
func openBlank(e *env.Env, file string) (*profile.Profile, *shop.Bench, error) {
	l, err := flags.Open(e, file, nil, nil)
	var none shop.NoWearError
	switch {
	case errors.As(err, &none):
		return none.Profile, nil, nil
	case err != nil:
		return nil, nil, err
	}
	return l.Profile, l, nil
}
