package main

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/card"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/paper"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/turning"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

type chartOptions struct {
	flags.Correct
	paper     string
	strip     bool
	anyWork   bool
	diameters string
	date      string
	file      string
	force     bool
}

func newChart(e *env.Env) *cobra.Command {
	o := &chartOptions{Correct: flags.Correct{Cut: flags.Cut{Bar: &flags.Bar{}}}}
	c := &cobra.Command{
		Use:   "chart PROFILE --from A --to B --diameter D -o FILE.pdf",
		Short: "Print the corrections for the machine: card or strip",
		Long: `Chart puts what correct says on paper, as a PDF: a card to be taped to the machine, with the settings in
figures that are read from a step away, where the zero is, which way to feed, what is left over and how sure that is.

With --strip it prints the same along a ruler at true scale, to be stuck along the front of the bed: print it at 100 %,
check the bar on each sheet with a rule, cut and join. With --any-work it prints what is due along the bed for a list of
diameters, counted from one place where the dial is set: for what comes up every day.

A table of collars serves in place of a profile, as for correct.`,
		Example: `  wornway chart demo.toml --from 12in --to 18in --diameter 1in -o card.pdf
  wornway chart demo.toml --from 12in --to 18in --diameter 1in --strip --paper letter -o strip.pdf
  wornway chart demo.toml --any-work --from 4in --to 36in --diameters 0.5in,1in,2in -o any.pdf
  wornway chart demo.toml --job shaft.toml -o shaft.pdf`,
		Args: flags.OneProfile, GroupID: "paper",
		Annotations: map[string]string{"instance": "PROFILE --from 12in --to 18in --diameter 1in -o card.pdf"},
		RunE:        func(c *cobra.Command, args []string) error { return runChart(e, c, args[0], o) },
	}
	f := c.Flags()
	f.SortFlags = false
	o.Correct.Flags(c)
	f.BoolVar(&o.strip, "strip", false, "print a strip at true scale, to be stuck along the bed")
	f.BoolVar(&o.anyWork, "any-work", false, "print what is due along the bed for a list of diameters")
	f.StringVar(&o.diameters, "diameters", "", "with --any-work: the diameters, with commas between")
	f.StringVar(&o.paper, "paper", "", "a6, 4x6, a5, half-letter, a4 or letter (default: a6, for a strip a4; in "+
		"inches 4x6 and letter)")
	f.StringVar(&o.date, "date", "", "`day` that the paper carries, such as 2026-03-14 (default: that of the newest "+
		"survey)")
	f.StringVarP(&o.file, "output", "o", "", "`file` to write (required)")
	f.BoolVar(&o.force, "force", false, "replace an existing file")
	return c
}

func runChart(e *env.Env, c *cobra.Command, file string, o *chartOptions) error {
	if err := flags.Need(c, "output"); err != nil {
		return err
	}
	if err := o.agree(c); err != nil {
		return err
	}
	if err := env.AsPDF.Target("-o", o.file, o.force); err != nil {
		return err
	}
	cards, err := cards(e, c, file, o)
	if err != nil {
		return err
	}
	l := cards[0].Bench
	size, err := o.size(l.In)
	if err != nil {
		return err
	}
	made, err := o.made(l)
	if err != nil {
		return err
	}
	if o.strip {
		dialled := slices.DeleteFunc(slices.Clone(cards), func(k card.Entry) bool { return len(k.K.Moves) == 0 })
		if len(dialled) == 0 {
			return refuse.With("there is nothing to dial, so there is no strip to print",
				"without --strip a card is printed that says so, with the zero and what is left")
		}
		cards = dialled
	}
	p := sheet.Drawing{Doc: paper.New(size, l.Lathe.Name, made), Made: made, Day: o.date}
	for _, k := range cards {
		switch {
		case o.strip:
			card.Strip(&p, k)
		case o.anyWork:
			err = anyWork(&p, e, c, o, k)
		default:
			card.Card(&p, k)
		}
		if err != nil {
			return err
		}
	}
	data, err := env.PDF(p.Doc)
	if err != nil {
		return err
	}
	if shown, err := e.Keep(o.file, data, o.force); shown || err != nil {
		return err
	}
	e.Say("%s is written: %s of %s. Print it at 100 %%, not fitted to the page.\n", o.file,
		word.Count(p.Pages, "page"), size.Name)
	for _, k := range cards {
		if !k.Held {
			return refuse.ErrNotHeld
		}
	}
	return nil
}

// agree refuses flags that do not go together.
func (o *chartOptions) agree(c *cobra.Command) error {
	switch {
	case o.strip && o.anyWork:
		return refuse.Usage("--strip and --any-work do not go together",
			"give one of them; -o FILE keeps each in a file of its own")
	case o.diameters != "" && !o.anyWork:
		return refuse.Usage("--diameters says what --any-work is for, and there is no --any-work",
			"give --any-work as well, or --diameter for one diameter")
	case o.anyWork && c.Flags().Changed("diameter"):
		return refuse.Usage("--any-work takes --diameters, not --diameter",
			"for instance: --any-work --diameters 10mm,25mm,50mm")
	case o.anyWork && c.Flags().Changed("job"):
		return refuse.Usage("--any-work and --job do not go together",
			"a job's own corrections are printed without --any-work")
	}
	return nil
}

// size is the paper asked for, laid as it is used.
func (o *chartOptions) size(u length.Unit) (paper.Paper, error) {
	name := o.paper
	if name == "" {
		name = map[bool]map[length.Unit]string{true: {length.Inch: "letter", length.Millimetre: "a4"},
			false: {length.Inch: "4x6", length.Millimetre: "a6"}}[o.strip][u]
	}
	p, err := paper.ParsePaper(name)
	if err != nil {
		return p, refuse.Usage(fmt.Sprintf("--paper %s: %v", word.Visible(name), err),
			"cards go on the small ones, strips on a4 or letter")
	}
	const least = 270 // mm: of a letter laid across
	if o.strip && p.Across().Width < least {
		return p, refuse.Usage(fmt.Sprintf("--paper %s: is too small for a strip", p.Name), "a4 or letter")
	}
	return p.Across(), nil
}

// made is the day that the paper carries: the same input gives the same paper.
func (o *chartOptions) made(l *shop.Bench) (time.Time, error) {
	if o.date != "" {
		day, err := time.Parse(time.DateOnly, o.date)
		if err != nil {
			return day, refuse.Usage(fmt.Sprintf("--date %s: is no day", word.Visible(o.date)),
				"write year, month and day: 2026-03-14")
		}
		return day, nil
	}
	_, _, last, _ := l.Dates()
	if last.IsZero() {
		last = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC) // nothing is dated
	}
	return last, nil
}

// cards are the corrections asked for, each as correct has it.
func cards(e *env.Env, c *cobra.Command, file string, o *chartOptions) ([]card.Entry, error) {
	if job, err := o.Job.Asked(c, flags.CutInstead...); err != nil {
		return nil, err
	} else if job {
		return jobCards(e, c, file, o)
	}
	if o.anyWork { // any diameter serves to find how far the cut goes
		if err := c.Flags().Set("diameter", "1in"); err != nil {
			return nil, err
		}
	}
	l, cut, err := o.Cut.Open(e, c, file)
	if err != nil {
		return nil, err
	}
	if !o.anyWork {
		if err := o.Job.Hold(c, l, cut); err != nil {
			return nil, err
		}
	}
	k, err := cardOf(e, c, l, l.Machine, cut, o)
	if err != nil {
		return nil, err
	}
	k.Promise = k.Promised()
	return []card.Entry{k}, nil
}

// cardOf corrects one cut.
func cardOf(e *env.Env, c *cobra.Command, l *shop.Bench, m compensate.Machine, cut compensate.Cut,
	o *chartOptions) (card.Entry,
	error) {
	every, err := flags.Stations(c, l.In, o.Cut.Every, cut.From, cut.To)
	if err != nil {
		return card.Entry{}, err
	}
	how, err := o.Correcting(c, l, every)
	if err != nil {
		return card.Entry{}, err
	}
	k, err := m.Correct(cut, how)
	var tooFine compensate.AllowError
	switch {
	case errors.As(err, &tooFine):
		message, hint := turning.NotSoFine(l, tooFine)
		return card.Entry{}, e.Cannot(env.Output{}, nil, message, hint)
	case err != nil:
		return card.Entry{}, l.Explain(err)
	}
	return card.Entry{Correction: turning.Correction{Bench: l, K: k, Dial: how.Dial, Most: how.Settings},
		Promise: turning.Promise{Held: true}}, nil
}

// jobCards are the corrections of each feature of a job that can be turned.
func jobCards(e *env.Env, c *cobra.Command, file string, o *chartOptions) ([]card.Entry, error) {
	p, err := flags.PutOn(e, c, file, &o.Job, &o.Cut.Tool)
	if err != nil {
		return nil, err
	}
	var out []card.Entry
	for i, f := range p.Asked() {
		if f.Hidden != "" {
			continue
		}
		k, err := cardOf(e, c, p.Bench, p.Held.Machine, p.Held.Cut(i, f.To), o)
		if err != nil {
			return nil, err
		}
		k.Name, k.How = f.Name, p.Held.Way.Words()
		sentences, _, within := turning.Limits(p, k.K.Curve, k.K.MovesSpread,
			k.K.Under(k.K.Curve.Ends(), k.Dial.Step()))
		k.Promise = k.Promised().And(strings.Join(sentences, " "), within)
		out = append(out, k)
	}
	if len(out) == 0 {
		return nil, p.Nothing()
	}
	return out, nil
}

// work is the diameters that --any-work is for, mm.
func (o *chartOptions) work(u length.Unit) ([]float64, error) {
	text := o.diameters
	if text == "" {
		text = map[length.Unit]string{length.Inch: "0.5in,1in,2in", length.Millimetre: "12mm,25mm,50mm"}[u]
	}
	const most = 5 // columns that a card has room for
	var out []float64
	for _, s := range strings.Split(text, ",") {
		v, err := length.Parse(s)
		if err != nil || !(v.MM(u) > flags.Thinnest) || v.MM(u) > flags.Longest {
			return nil, refuse.Usage(fmt.Sprintf("--diameters %s: %q is no diameter", word.Visible(text), s),
				"for instance --diameters 10mm,25mm,50mm")
		}
		out = append(out, v.MM(u))
	}
	if len(out) > most {
		return nil, refuse.Usage(fmt.Sprintf("--diameters %s: has more than %d", word.Visible(text), most),
			"print further ones on a card of their own")
	}
	return out, nil
}

// anyWork prints a table of what the dial stands at along the bed for some diameters, counted from one place where it
// is set.
func anyWork(p *sheet.Drawing, e *env.Env, c *cobra.Command, o *chartOptions, k card.Entry) error {
	work, err := o.work(k.In)
	if err != nil {
		return err
	}
	var columns []card.Entry
	for _, d := range work {
		cut := k.K.Curve.Cut
		cut.Diameter = d
		one, err := cardOf(e, c, k.Bench, k.Machine, cut, o)
		if err != nil {
			return err
		}
		columns = append(columns, one)
	}
	left, right := paper.Margin, p.Paper.Width-paper.Margin
	foot := p.Paper.Height - paper.Margin
	rows := columns[0].K.Table
	y := 0.0
	step := sheet.Figures.Height + 2.4
	feed := map[bool]string{true: "tailstock", false: "headstock"}[k.K.Feed == compensate.TowardTailstock]
	notes := []string{k.DialNote()}
	due := slices.ContainsFunc(columns, func(one card.Entry) bool {
		return slices.ContainsFunc(one.K.Table, func(s compensate.Move) bool { return s.Setting != 0 })
	})
	if due {
		notes = append(notes, fmt.Sprintf("IN and OUT are what the dial stands at, in divisions from its zero "+
			"at %s; feed toward the %s; – is less than the finest setting.", k.About(k.K.Curve.SetAt), feed))
	}
	if t := k.K.Curve.Taper(); t.Stated {
		notes = append(notes, fmt.Sprintf("Not known of the wear: %s on the diameter between the ends.",
			k.PlusMinus(t.UEnds, true)))
	}
	if !k.Held && k.Says != "" {
		notes = append(notes, "NOT PROMISED. "+k.Says)
	}
	notes = append(notes, k.Surveyed()+" "+sheet.Stale, sheet.Careful, sheet.TestCut)
	room := 0.0
	for _, n := range notes {
		room += float64(len(p.Lines(right-left, sheet.Plain, n))) * sheet.Plain.Lead()
	}
	first := math.Max(p.Width(sheet.Figures, k.About(rows[0].Position)),
		p.Width(sheet.Figures, k.About(rows[len(rows)-1].Position))) + 6
	width := (right - left - first) / float64(len(columns))
	page := func() {
		p.Page()
		y = p.Wrap(left, paper.Margin+sheet.Heading.Height, right-left, sheet.Heading,
			"Any work: what the dial stands at, not moves") - 1
		y = p.Wrap(left, y, right-left, sheet.Plain, k.Lathe.Name)
		at := foot - room + sheet.Plain.Lead()
		for _, n := range notes {
			at = p.Wrap(left, at, right-left, sheet.Plain, n)
		}
		p.Floor(foot - room)
	}
	if !due {
		page()
		y = p.Wrap(left, y+1.4*sheet.Figures.Height, right-left, sheet.Figures, card.NothingToDial)
		p.Wrap(left, y, right-left, sheet.Plain, leftAlone(columns))
		return nil
	}
	for i, row := range rows {
		if i == 0 || y+step > foot-room-2 {
			page()
			p.Text(left, y+3, sheet.Strong, "carriage at")
			for n, one := range columns {
				p.Right(left+first+float64(n+1)*width-2, y+3, sheet.Strong, "Ø "+one.Diameter(work[n]))
			}
			y += 5
			p.Line(left, y, right, y)
			y += 1
		}
		p.Text(left, y+sheet.Figures.Height, sheet.Figures, k.About(row.Position))
		for n, one := range columns {
			s := "–"
			switch v := one.K.Table[i].Setting; {
			case v > 0:
				s = "IN " + word.Fraction(one.Dial.Divisions(v))
			case v < 0:
				s = "OUT " + word.Fraction(one.Dial.Divisions(-v))
			}
			p.Right(left+first+float64(n+1)*width-2, y+sheet.Figures.Height, sheet.Figures, s)
		}
		y += step
	}
	return nil
}

// leftAlone says what any work keeps to where nothing is due for it.
func leftAlone(columns []card.Entry) string {
	most := slices.MaxFunc(columns, func(a, b card.Entry) int { return cmp.Compare(a.K.Before, b.K.Before) })
	c := most.K.Curve
	return fmt.Sprintf("From %s to %s less than the finest setting is due everywhere, for each diameter. Left alone, "+
		"it varies by %s at most.", most.BareAbout(c.From), most.About(c.To), most.Small(most.K.Before))
}
