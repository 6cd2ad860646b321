package main

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/blank"
	"wornway/cmd/wornway/internal/chapters"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/lesson"
	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/work"
	"wornway/profile/length"
)

type lessonOptions struct {
	from, to length.Length
	diameter length.Length
	job      flags.Job
	handout  bool
	paper    string
	file     string
	force    bool
}

func newLesson(e *env.Env) *cobra.Command {
	o := &lessonOptions{}
	c := &cobra.Command{
		Use:   "lesson PROFILE -o FILE.html | --handout -o FILE.pdf",
		Short: "Make a page that shows apprentices what this lathe's wear does",
		Long: `Lesson makes one page that opens in any browser, without a network. It asks for a guess first: does the
work come out bigger or smaller near the chuck? Then the carriage is dragged along the bed in one picture, and short
chapters show what makes the difference: one way worn, both alike, one flank, where the dial was set. Further choices,
questions and what each survey method sees are folded away. All numbers are those of predict and correct. --handout
prints the lesson as questions with lines to write on, and the key into a file of its own beside it.`,
		Example: `  wornway lesson demo.toml -o lesson.html
  wornway lesson demo.toml --from 2in --to 30in -o lesson.html
  wornway lesson demo.toml --handout -o handout.pdf`,
		Args: flags.OneProfile, GroupID: "learn",
		Annotations: map[string]string{"instance": "PROFILE -o lesson.html"},
		RunE:        func(c *cobra.Command, args []string) error { return runLesson(e, c, args[0], o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.Var(&o.from, "from", "headstock end of the length shown (default: out of the jaws, or from the spindle nose on)")
	f.Var(&o.to, "to", "its tailstock end, where the dial is set (default: where the wear has died out)")
	f.Var(&o.diameter, "diameter", "diameter of the work (default 1 in or 25 mm)")
	f.StringVar(&o.job.Held, "held", "", "`way` of holding that is shown first: chuck (default) or centres")
	f.BoolVar(&o.handout, "handout", false, "print it as questions, a PDF, with the key in another beside it")
	f.StringVar(&o.paper, "paper", "", "for --handout: a4 or letter (default a4, for a lathe in inches letter)")
	f.StringVarP(&o.file, "output", "o", "", "`file` to write (required)")
	f.BoolVar(&o.force, "force", false, "replace an existing file")
	return c
}

func runLesson(e *env.Env, c *cobra.Command, file string, o *lessonOptions) error {
	if err := flags.Need(c, "output"); err != nil {
		return err
	}
	if err := o.target(); err != nil {
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
	if err := o.work(c, t); err != nil {
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
	if o.handout {
		return printHandout(e, t, page, o)
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

// work fills in what work is told of.
func (o *lessonOptions) work(c *cobra.Command, t *chapters.Numbers) error {
	if c.Flags().Changed("diameter") {
		if err := flags.Sane("diameter", &o.diameter, t.In); err != nil {
			return err
		}
		if !(o.diameter.Number > 0) {
			return refuse.Usage("--diameter "+o.diameter.String()+": must be greater than zero",
				"for instance --diameter 2in")
		}
		if err := flags.Thick(&o.diameter, t.In); err != nil {
			return err
		}
		t.Work = o.diameter.MM(t.In)
	}
	way, err := o.job.Way(c)
	t.Centres = way == work.Centres
	return err
}

// target refuses what cannot be written.
func (o *lessonOptions) target() error {
	if !o.handout {
		if o.paper != "" {
			return refuse.Usage("--paper goes with --handout", "a page has no size")
		}
		return env.AsPage.Target("-o", o.file, o.force)
	}
	if o.file == "-" {
		return refuse.Usage("-o -: a handout is two files", "name the first, such as handout.pdf")
	}
	if err := env.AsPDF.Target("-o", o.file, o.force); err != nil {
		return err
	}
	return env.CanWrite(keyOf(o.file), o.force)
}

// keyOf is the name of the key's file, beside that of the handout.
func keyOf(handout string) string {
	end := filepath.Ext(handout)
	return strings.TrimSuffix(handout, end) + "-key" + end
}

// printHandout writes the lesson as questions, and its key.
func printHandout(e *env.Env, t *chapters.Numbers, page *lesson.Page, o *lessonOptions) error {
	size, err := (&blank.Options{Paper: o.paper}).Size(t.In)
	if err != nil {
		return err
	}
	parts, err := t.Parts(page)
	if err != nil {
		return err
	}
	made := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC) // the same lathe gives the same bytes
	said := ""
	for _, f := range []struct {
		name string
		key  bool
	}{{o.file, false}, {keyOf(o.file), true}} {
		h := chapters.Handout{Drawing: sheet.Drawing{Doc: paper.New(size, page.Lathe, made), Made: made}, Page: page,
			Parts: parts, Key: f.key}
		h.Print()
		data, err := env.PDF(h.Doc)
		if err != nil {
			return err
		}
		if _, err := e.Keep(f.name, data, o.force); err != nil {
			return err
		}
		if !f.key {
			said = fmt.Sprintf("%s is written: %s of %s. Let the first page be handed in first.", f.name,
				word.Count(h.Pages, "page"), size.Name)
		}
	}
	e.Say("%s The key: %s.\n", said, keyOf(o.file))
	return nil
}

// stretch is the length that is shown, mm.
func (o *lessonOptions) stretch(c *cobra.Command, l *shop.Bench) (from, to float64, err error) {
	first, last := l.Machine.Wear.Range()
	from = math.Max(0, first)
	if jaws := l.Anyhow().JawsFront; jaws > from && jaws < last { // nothing is turned within them
		from = jaws
	}
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
