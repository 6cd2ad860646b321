package flags

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/jobfile"
	"wornway/compensate/setup"
	"wornway/compensate/work"
	"wornway/profile/length"
)

// Job put a job's part on the lathe, in place of the flags that describe one length.
type Job struct {
	File                string
	at, setOver, steady length.Length
	Held, feature       string
	endForEnd           bool
	OwnHeld             bool // the command has a flag --held of its own, which is read in its place
	OneLength           bool // --held says of one length, or of a table of collars, how it is held
}

// placesPart are the flags that say where and how a job's part is held.
var placesPart = []string{"at", "held", "end-for-end", "set-over", "steady", "feature"}

func (j *Job) Flags(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&j.File, "job", "", "`file` of a job, in place of the flags for one length")
	f.Var(&j.at, "at", "with --job: where the part's headstock end lies (default: nearest to the headstock)")
	switch {
	case j.OwnHeld:
	case j.OneLength:
		j.HeldFlag(c)
		f.Lookup("held").Usage += "; of a job's part the first of its ways that can be"
	default:
		f.StringVar(&j.Held, "held", "", "with --job: the `way` of holding (default: the first of the job's that "+
			"can be)")
	}
	if j.OneLength {
		f.StringVar(&j.feature, "feature", "", "with --job: this `feature` alone, by its name")
	}
	f.BoolVar(&j.endForEnd, "end-for-end", false, "with --job: the part is turned end for end")
	f.Var(&j.setOver, "set-over", "with --job, between centres: how far the tailstock is set over, plus toward the "+
		"operator")
	f.Var(&j.steady, "steady", "with --job: where the steady stands, from the spindle nose")
}

// HeldFlag gives a command the flag that says how one length is held.
func (j *Job) HeldFlag(c *cobra.Command) {
	c.Flags().StringVar(&j.Held, "held", "", "the `way` of holding: chuck (default), chuck-and-centre or centres")
}

// Asked says whether a job was given. It refuses what contradicts one, and what says nothing without one; instead are
// the flags whose place it takes.
func (j *Job) Asked(c *cobra.Command, instead ...string) (bool, error) {
	changed := func(names []string) (out []string) {
		for _, n := range names {
			if f := c.Flags().Lookup(n); f != nil && f.Changed {
				out = append(out, "--"+n)
			}
		}
		return out
	}
	if !c.Flags().Changed("job") {
		places := placesPart
		if j.OwnHeld || j.OneLength {
			places = slices.DeleteFunc(slices.Clone(places), func(n string) bool { return n == "held" })
		}
		if alone := changed(places); len(alone) > 0 {
			return false, notHeld(alone...)
		}
		return false, nil
	}
	if len(changed([]string{"plot"})) > 0 && j.feature == "" {
		return true, refuse.Usage("--plot and --job do not go together: a plot is of one length, and a job has several",
			"--feature says which; wornway plan JOB PROFILE --plot FILE draws the features of a part")
	}
	if too := changed(instead); len(too) > 0 {
		return true, refuse.Usage(word.List(append([]string{"--job"}, too...))+
			" do not go together: the job's file says it",
			"write it into the file, or leave --job out")
	}
	return true, nil
}

// Way returns how one length is held.
func (j *Job) Way(c *cobra.Command) (work.Holding, error) {
	if !c.Flags().Changed("held") {
		return work.Chuck, nil
	}
	return Way(j.Held)
}

// Way reads a way of holding from a flag.
func Way(name string) (work.Holding, error) {
	way, err := work.ParseHolding(name)
	if err != nil {
		return way, refuse.Usage(fmt.Sprintf("--held %s: is no way of holding work", word.Visible(name)),
			"give chuck, chuck-and-centre or centres")
	}
	return way, nil
}

// Hold puts the one length that is asked about on the lathe.
func (j *Job) Hold(c *cobra.Command, l *shop.Bench, cut compensate.Cut) error {
	if l.Collars != nil {
		return nil // the collars' bar was held as the work is
	}
	way, err := j.Way(c)
	if err != nil {
		return err
	}
	b, err := l.Hold(cut, way)
	if err != nil {
		return err
	}
	l.Bar, l.Machine = &b, b.Machine
	return nil
}

// CutInstead are the flags of a cut whose place a job takes.
var CutInstead = []string{"from", "to", "diameter", "set-at", "tool-height", "bore", "tolerance"}

// notHeld refuses flags that say how a part is held where there is none.
func notHeld(flags ...string) error {
	says := " says"
	if len(flags) > 1 {
		says = " say"
	}
	return refuse.Usage(word.List(flags)+says+" how a job's part is held, and there is no --job",
		"give the job's file as well: --job FILE")
}

// OpenJobOn opens a job and the lathe that it is to be turned on.
func OpenJobOn(e *env.Env, c *cobra.Command, profile, job string, tool *Tool) (*shop.Bench, *jobfile.File, error) {
	if job == "-" && profile == "-" {
		return nil, nil, refuse.Usage("standard input cannot be both the job and the profile",
			"give the file of one of them")
	}
	file, err := e.Job(job)
	if err != nil {
		return nil, nil, err
	}
	h, err := tool.centreIn(c, file.Unit)
	if err != nil {
		return nil, nil, err
	}
	l, err := Open(e, profile, tool.Slips, fixedHeight(h))
	if err != nil {
		return nil, nil, err
	}
	l.Units = word.Units{In: file.Unit}
	return l, file, nil
}

// PutOn puts the job's part on the lathe as the flags have it.
func PutOn(e *env.Env, c *cobra.Command, profile string, j *Job, tool *Tool) (*shop.Part, error) {
	if j.OneLength {
		if err := aloneOf(c); err != nil {
			return nil, err
		}
	}
	l, file, err := OpenJobOn(e, c, profile, j.File, tool)
	if err != nil {
		return nil, err
	}
	p := &shop.Part{Bench: l, JobFile: file}
	if p.Holder, err = l.Holder(); err != nil {
		return nil, err
	}
	ways, err := j.ways(c, p)
	if err != nil {
		return nil, err
	}
	s, err := j.setup(c, p)
	if err != nil {
		return nil, err
	}
	var refused []string
	for _, w := range ways {
		s.Way = w
		err := hold(p, s, !c.Flags().Changed("at"))
		var no setup.Refusal
		switch {
		case err == nil:
			return p, j.only(p)
		case !errors.As(err, &no):
			return nil, refuse.With(j.File+": "+err.Error(), "correct it in the job file")
		}
		why := no.Words(l.About)
		if !strings.HasPrefix(why, w.Words()) {
			why = w.Words() + ": " + why
		}
		refused = append(refused, why)
	}
	hint := "wornway plan " + j.File + " " + profile + " looks for ways and places that can be"
	if c.Flags().Changed("at") && slices.Contains(ways, work.Centres) {
		hint = "between centres leave --at out; " + hint
	}
	return nil, refuse.With(fmt.Sprintf("%s: the part cannot be held so on “%s”: %s", j.File, p.Holder.Name,
		strings.Join(refused, "; ")), hint)
}

// ways returns the ways of holding to try, in order.
func (j *Job) ways(c *cobra.Command, p *shop.Part) ([]work.Holding, error) {
	allowed := p.JobFile.Job.Part.Held
	var names []string
	for _, w := range allowed {
		names = append(names, string(w))
	}
	over := c.Flags().Changed("set-over")
	switch {
	case c.Flags().Changed("held"):
		w, err := Way(j.Held)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(allowed, w) {
			return nil, refuse.Usage(fmt.Sprintf("--held %s: the job does not have it so", w),
				"it has "+word.List(names)+"; held in "+j.File+" says so")
		}
		if over && w != work.Centres {
			return nil, refuse.Usage("--set-over is for work between centres, and --held is "+string(w),
				"leave one of them out")
		}
		return []work.Holding{w}, nil
	case over && slices.Contains(allowed, work.Centres):
		return []work.Holding{work.Centres}, nil
	case over:
		return nil, refuse.Usage("--set-over is for work between centres, and the job does not have it held so",
			"it has "+word.List(names)+"; held in "+j.File+" says so")
	}
	return allowed, nil
}

// setup puts the flags together; where the part lies only where that is given.
func (j *Job) setup(c *cobra.Command, p *shop.Part) (setup.Setup, error) {
	s := setup.Setup{EndForEnd: j.endForEnd}
	for _, f := range []struct {
		name string
		l    *length.Length
	}{{"at", &j.at}, {"set-over", &j.setOver}, {"steady", &j.steady}} {
		if err := Sane(f.name, f.l, p.In); err != nil {
			return s, err
		}
	}
	if j.endForEnd && !p.JobFile.Job.Part.EndForEnd {
		return s, refuse.Usage("--end-for-end: the job does not allow it", "write end_for_end = true into "+j.File)
	}
	s.At = j.at.MM(p.In)
	if s.SetOver = j.setOver.MM(p.In); math.Abs(s.SetOver) > p.Holder.SetOver {
		if p.Holder.SetOver == 0 {
			return s, refuse.Usage("--set-over: this tailstock cannot be set over",
				"greatest_set_over in [lathe.holding] says how far it can")
		}
		return s, refuse.Usage(fmt.Sprintf("--set-over %s: the tailstock goes over by %s at the most",
			j.setOver.String(),
			p.At(p.Holder.SetOver)), "greatest_set_over in [lathe.holding] says so")
	}
	if c.Flags().Changed("steady") {
		if !p.Holder.Steady {
			return s, refuse.Usage("--steady: this lathe has none",
				"steady = true in [lathe.holding] says that there is one")
		}
		at := j.steady.MM(p.In)
		s.Steady = &at
	}
	return s, nil
}

// only leaves the feature that was asked for alone, if one was.
func (j *Job) only(p *shop.Part) error {
	if j.feature == "" {
		return nil
	}
	var names []string
	for _, f := range p.Held.Features {
		names = append(names, f.Name)
	}
	if !slices.Contains(names, j.feature) {
		return refuse.Usage(fmt.Sprintf("--feature %s: the job has none of that name", word.Visible(j.feature)),
			"it has "+word.List(names))
	}
	p.Only = j.feature
	return nil
}

// hold holds the part; at the nearest place that can be where nearest is set.
func hold(p *shop.Part, s setup.Setup, nearest bool) error {
	p.Taken = ""
	if nearest {
		at, all, ok := p.Holder.Nearest(p.JobFile.Job, s.Way, s.EndForEnd, s.Steady != nil)
		s.At = at
		switch {
		case !ok || !s.Way.Gripped():
		case all:
			p.Taken = "Nearer to the headstock a feature would lie under the jaws; --at puts it elsewhere."
		default:
			p.Taken = "That is as far out as it can be held; --at puts it elsewhere."
		}
	}
	held, err := p.Holder.Set(p.JobFile.Job, s)
	p.Held = held
	return err
}

// Cuts returns the features that can be turned, as they are told of, by their numbers in the job, and the positions of
// their tables.
func Cuts(p *shop.Part, c *cobra.Command, every length.Length) (map[int]say.Cut, error) {
	all := 0.0
	for _, f := range p.Asked() {
		if f.Hidden == "" {
			all += f.To - f.From
		}
	}
	out := map[int]say.Cut{}
	for i, f := range p.Asked() {
		if f.Hidden != "" {
			continue
		}
		curve, err := p.Held.Curve(i, f.To)
		if err != nil {
			return nil, p.Explain(err)
		}
		at, err := StationsAmong(c, p.In, every, f.From, f.To, all)
		if err != nil {
			return nil, err
		}
		out[i] = say.Cut{Curve: curve, Stations: at}
	}
	return out, nil
}
