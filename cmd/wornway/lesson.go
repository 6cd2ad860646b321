package main

import (
	"bytes"
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/chapters"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/lesson"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/profile/length"
)

type lessonOptions struct {
	from, to length.Length
	file     string
	force    bool
}

func newLesson(e *env.Env) *cobra.Command {
	o := &lessonOptions{}
	c := &cobra.Command{
		Use:   "lesson PROFILE -o FILE.html",
		Short: "Make a page that shows apprentices what this lathe's wear does",
		Long: `Lesson makes one page that opens in any browser, without a network: the bed with its wear drawn large, the carriage to be
dragged along it, the saddle seen from the end as it sinks and rolls, and the part as it comes out; with choices of centre
height, diameter, tool height, holding and wear, before and after correction. Below stand questions, with their answers on
this lathe's numbers folded away, and what each survey method sees. All numbers are those of predict and correct.`,
		Example: `  wornway lesson demo.toml -o lesson.html
  wornway lesson demo.toml --from 2in --to 30in -o lesson.html`,
		Args: flags.OneProfile, GroupID: "learn",
		Annotations: map[string]string{"instance": "PROFILE -o lesson.html"},
		RunE:        func(c *cobra.Command, args []string) error { return runLesson(e, c, args[0], o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.Var(&o.from, "from", "headstock end of the length shown (default: the spindle nose)")
	f.Var(&o.to, "to", "its tailstock end, where the dial is set (default: where the wear has died out)")
	f.StringVarP(&o.file, "output", "o", "", "`file` to write (required)")
	f.BoolVar(&o.force, "force", false, "replace an existing file")
	return c
}

func runLesson(e *env.Env, c *cobra.Command, file string, o *lessonOptions) error {
	if err := flags.Need(c, "output"); err != nil {
		return err
	}
	if err := env.AsPage.Target("-o", o.file, o.force); err != nil {
		return err
	}
	defer e.Progress("calculating along the bed")()
	l, err := flags.Open(e, file, nil, nil)
	if err != nil {
		return err
	}
	t := &chapters.Numbers{Bench: l}
	if t.From, t.To, err = o.stretch(c, l); err != nil {
		return err
	}
	page, err := t.Page()
	if err != nil {
		return err
	}
	if e.Taken != nil {
		e.Taken.Lesson = page
		return nil
	}
	var b bytes.Buffer
	if err := lesson.Write(&b, *page); err != nil {
		return err
	}
	if shown, err := e.Keep(o.file, b.Bytes(), o.force); shown || err != nil {
		return err
	}
	e.Say("%s is written: open it in a browser; it needs no network.\n", o.file)
	return nil
}

// stretch is the length that is shown, mm.
func (o *lessonOptions) stretch(c *cobra.Command, l *shop.Bench) (from, to float64, err error) {
	first, last := l.Machine.Wear.Range()
	from = math.Max(0, first)
	to = last
	// As far as a tenth of the deepest wear, and no shorter than a foot or so, where the bed is as long.
	if _, worn, there := chapters.WornStretch(l); there {
		const least = 300 // mm
		step := 10.0
		if l.In == length.Inch {
			step = 25.4
		}
		to = math.Min(last, math.Ceil(math.Max(worn, from+least)/step)*step)
	}
	for _, f := range []struct {
		name string
		l    *length.Length
		to   *float64
	}{{"from", &o.from, &from}, {"to", &o.to, &to}} {
		if !c.Flags().Changed(f.name) {
			continue
		}
		if err := flags.Sane(f.name, f.l, l.In); err != nil {
			return 0, 0, err
		}
		*f.to = l.ToEnd(f.l.MM(l.In))
	}
	if !(from < to) {
		return 0, 0, refuse.Usage(fmt.Sprintf("the length from %s to %s is none", l.Bare(from), l.At(to)),
			"give --from nearer to the headstock than --to")
	}
	if from < first || to > last {
		return 0, 0, refuse.With(fmt.Sprintf("%s: the wear is known from %s to %s only",
			l.File, l.Bare(first), l.At(last)),
			"give --from and --to within it")
	}
	return from, to, nil
}
