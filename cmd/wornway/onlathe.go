package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/jobfile"
	"wornway/compensate/setup"
	"wornway/compensate/work"
	"wornway/profile/length"
)

// jobFlags put a job's part on the lathe, in place of the flags that describe one length.
type jobFlags struct {
	file                string
	at, setOver, steady length.Length
	held                string
	endForEnd           bool
	ownHeld             bool // the command has a flag --held of its own, which is read in its place
}

// placesPart are the flags that say where and how a job's part is held.
var placesPart = []string{"at", "held", "end-for-end", "set-over", "steady"}

func (j *jobFlags) flags(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&j.file, "job", "", "`file` of a job, in place of the flags for one length")
	f.Var(&j.at, "at", "with --job: where the part's headstock end lies (default: nearest to the headstock)")
	if !j.ownHeld {
		f.StringVar(&j.held, "held", "", "with --job: the `way` of holding (default: the first of the job's that can "+
			"be)")
	}
	f.BoolVar(&j.endForEnd, "end-for-end", false, "with --job: the part is turned end for end")
	f.Var(&j.setOver, "set-over", "with --job, between centres: how far the tailstock is set over, plus toward the "+
		"operator")
	f.Var(&j.steady, "steady", "with --job: where the steady stands, from the spindle nose")
}

// asked says whether a job was given. It refuses what contradicts one, and what says nothing without one; instead are
// the flags whose place it takes.
func (j *jobFlags) asked(c *cobra.Command, instead ...string) (bool, error) {
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
		if j.ownHeld {
			places = slices.DeleteFunc(slices.Clone(places), func(n string) bool { return n == "held" })
		}
		if alone := changed(places); len(alone) > 0 {
			says := " says"
			if len(alone) > 1 {
				says = " say"
			}
			return false, refuse.Usage(word.List(alone)+says+" how a job's part is held, and there is no --job",
				"give the job's file as well: --job FILE")
		}
		return false, nil
	}
	if len(changed([]string{"plot"})) > 0 {
		return true, refuse.Usage("--plot and --job do not go together: a plot is of one length, and a job has several",
			"wornway plan JOB PROFILE --plot FILE draws the features of a part")
	}
	if too := changed(instead); len(too) > 0 {
		return true, refuse.Usage(word.List(append([]string{"--job"}, too...))+
			" do not go together: the job's file says it",
			"write it into the file, or leave --job out")
	}
	return true, nil
}

// cutInstead are the flags of a cut whose place a job takes.
var cutInstead = []string{"from", "to", "diameter", "set-at", "tool-height", "bore", "tolerance"}

// onLathe is a job's part as it lies on a lathe. All is said in the job's unit.
type onLathe struct {
	*lathe
	file  *jobfile.File
	bench setup.Lathe
	held  *setup.Held
	taken string // how its place was come by, as a sentence; empty where it was given
}

// openJobOn opens a job and the lathe that it is to be turned on.
func openJobOn(e *env.Env, c *cobra.Command, profile, job string, tool *toolFlags) (*lathe, *jobfile.File, error) {
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
	l, err := openLathe(e, profile, tool.slips, fixedHeight(h))
	if err != nil {
		return nil, nil, err
	}
	l.Units = word.Units{In: file.Unit}
	return l, file, nil
}

// putOn puts the job's part on the lathe as the flags have it.
func putOn(e *env.Env, c *cobra.Command, profile string, j *jobFlags, tool *toolFlags) (*onLathe, error) {
	l, file, err := openJobOn(e, c, profile, j.file, tool)
	if err != nil {
		return nil, err
	}
	p := &onLathe{lathe: l, file: file}
	if p.bench, err = l.holding(); err != nil {
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
		err := p.hold(s, !c.Flags().Changed("at"))
		var no setup.Refusal
		switch {
		case err == nil:
			return p, nil
		case !errors.As(err, &no):
			return nil, refuse.With(j.file+": "+err.Error(), "correct it in the job file")
		}
		why := no.Words(l.About)
		if !strings.HasPrefix(why, w.Words()) {
			why = w.Words() + ": " + why
		}
		refused = append(refused, why)
	}
	hint := "wornway plan " + j.file + " " + profile + " looks for ways and places that can be"
	if c.Flags().Changed("at") && slices.Contains(ways, work.Centres) {
		hint = "between centres leave --at out; " + hint
	}
	return nil, refuse.With(fmt.Sprintf("%s: the part cannot be held so on “%s”: %s", j.file, p.bench.Name,
		strings.Join(refused, "; ")), hint)
}

// ways returns the ways of holding to try, in order.
func (j *jobFlags) ways(c *cobra.Command, p *onLathe) ([]work.Held, error) {
	allowed := p.file.Job.Part.Held
	var names []string
	for _, w := range allowed {
		names = append(names, string(w))
	}
	over := c.Flags().Changed("set-over")
	switch {
	case c.Flags().Changed("held"):
		w, err := work.ParseHeld(strings.ReplaceAll(j.held, "center", "centre"))
		if err != nil {
			return nil, refuse.Usage(fmt.Sprintf("--held %s: is no way of holding work", word.Visible(j.held)),
				"give chuck, chuck-and-centre or centres")
		}
		if !slices.Contains(allowed, w) {
			return nil, refuse.Usage(fmt.Sprintf("--held %s: the job does not have it so", w),
				"it has "+word.List(names)+"; held in "+j.file+" says so")
		}
		if over && w != work.Centres {
			return nil, refuse.Usage("--set-over is for work between centres, and --held is "+string(w),
				"leave one of them out")
		}
		return []work.Held{w}, nil
	case over && slices.Contains(allowed, work.Centres):
		return []work.Held{work.Centres}, nil
	case over:
		return nil, refuse.Usage("--set-over is for work between centres, and the job does not have it held so",
			"it has "+word.List(names)+"; held in "+j.file+" says so")
	}
	return allowed, nil
}

// setup puts the flags together; where the part lies only where that is given.
func (j *jobFlags) setup(c *cobra.Command, p *onLathe) (setup.Setup, error) {
	s := setup.Setup{EndForEnd: j.endForEnd}
	for _, f := range []struct {
		name string
		l    *length.Length
	}{{"at", &j.at}, {"set-over", &j.setOver}, {"steady", &j.steady}} {
		if err := flags.Sane(f.name, f.l, p.In); err != nil {
			return s, err
		}
	}
	if j.endForEnd && !p.file.Job.Part.EndForEnd {
		return s, refuse.Usage("--end-for-end: the job does not allow it", "write end_for_end = true into "+j.file)
	}
	s.At = j.at.MM(p.In)
	if s.SetOver = j.setOver.MM(p.In); math.Abs(s.SetOver) > p.bench.SetOver {
		if p.bench.SetOver == 0 {
			return s, refuse.Usage("--set-over: this tailstock cannot be set over",
				"greatest_set_over in [lathe.holding] says how far it can")
		}
		return s, refuse.Usage(fmt.Sprintf("--set-over %s: the tailstock goes over by %s at the most",
			j.setOver.String(),
			p.At(p.bench.SetOver)), "greatest_set_over in [lathe.holding] says so")
	}
	if c.Flags().Changed("steady") {
		if !p.bench.Steady {
			return s, refuse.Usage("--steady: this lathe has none",
				"steady = true in [lathe.holding] says that there is one")
		}
		at := j.steady.MM(p.In)
		s.Steady = &at
	}
	return s, nil
}

// hold holds the part; at the nearest place that can be where nearest is set.
func (p *onLathe) hold(s setup.Setup, nearest bool) error {
	p.taken = ""
	if nearest {
		at, all, ok := p.bench.Nearest(p.file.Job, s.Way, s.EndForEnd, s.Steady != nil)
		s.At = at
		switch {
		case !ok || !s.Way.Gripped():
		case all:
			p.taken = "Nearer to the headstock a feature would lie under the jaws; --at puts it elsewhere."
		default:
			p.taken = "That is as far out as it can be held; --at puts it elsewhere."
		}
	}
	held, err := p.bench.Set(p.file.Job, s)
	p.held = held
	return err
}

// where says how the part lies, as an answer's first sentence.
func (p *onLathe) where() string {
	s := p.file.Job.Name
	if s == "" {
		s = "The part"
	}
	s += ": " + holdIt(p.lathe.Units, p.file.Job.Part, p.held) + "."
	if p.taken != "" {
		s += " " + p.taken
	}
	return s
}

// cuts returns the features that can be turned, as they are told of, by their numbers in the job, and the positions of
// their tables.
func (p *onLathe) cuts(c *cobra.Command, every length.Length) (map[int]seen, error) {
	all := 0.0
	for _, f := range p.held.Features {
		if f.Hidden == "" {
			all += f.To - f.From
		}
	}
	out := map[int]seen{}
	for i, f := range p.held.Features {
		if f.Hidden != "" {
			continue
		}
		curve, err := p.held.Curve(i, f.To)
		if err != nil {
			return nil, p.explain(err)
		}
		at, err := p.stationsAmong(c, every, f.From, f.To, all)
		if err != nil {
			return nil, err
		}
		out[i] = seen{curve, at}
	}
	return out, nil
}

// assumed says what is taken for granted for cuts, with a sentence on where they are measured.
func (p *onLathe) assumed(set string, cuts ...seen) seated {
	g := granted{set: set, axis: p.axis(cuts), bends: "Bending under the cut is not reckoned with: " +
		p.file.Job.Part.Cut.Source + "."}
	if p.held.Push != nil {
		g.bends = "Bending under the cut: " + p.file.Job.Part.Cut.Source +
			". Shear, the part's own weight and the give of centres, tailstock, steady and tool are left out."
	}
	g.axis = append(g.axis, p.holdingWords(p.held.Way.Tailed(), p.held.Way.Gripped())...)
	g.axis = append(g.axis, fmt.Sprintf("The tool stops %s from jaws, dog and steady.", p.lathe.At(setup.JawsClear)))
	s := p.assumeAll(g, cuts...)
	for _, f := range p.held.Features {
		if f.Sized == work.Once {
			s.assumed = append(s.assumed, "Features that the job has sized by the dial from another are taken here "+
				"as if each were measured; wornway plan reckons with their size.")
			break
		}
	}
	s.assumed = append(s.assumed, p.recalled(cuts)...)
	s.assumed = append(s.assumed, "Heat and the wear of the tool are not reckoned with.")
	s.warnings = append(told(p.file.Warnings), s.warnings...)
	return s
}

// recalled says which limits of size rest on memory.
func (p *onLathe) recalled(cuts []seen) []string {
	var fits []string
	for _, k := range cuts {
		if f := k.curve.Feature; f.Recalled && !slices.Contains(fits, f.Fit) {
			fits = append(fits, f.Fit)
		}
	}
	if len(fits) == 0 {
		return nil
	}
	return []string{fromMemory(fits)}
}

// axis says about what the work turns.
func (p *onLathe) axis(cuts []seen) []string {
	switch p.held.Way {
	case work.Centres:
		return []string{fmt.Sprintf("The work turns between centres, about the straight line from the headstock's "+
			"centre at %s to the tailstock's at %s; the headstock's is taken to run true, and the spindle's lean "+
			"does not matter.",
			p.At(p.bench.Headstock), p.At(p.held.At+p.file.Job.Part.Length))}
	case work.ChuckAndCentre:
		return []string{"The work is bent to where the tailstock's centre stands from the axis of the spindle, " +
			p.leanWords()}
	}
	longest := slices.MaxFunc(cuts, func(a, b seen) int { return compareLengths(a.curve, b.curve) })
	return p.axisWords(longest.curve)
}

func compareLengths(a, b *compensate.Curve) int {
	switch x, y := a.To-a.From, b.To-b.From; {
	case x < y:
		return -1
	case x > y:
		return 1
	}
	return 0
}

// headJSON is what an answer for a job's part begins with.
type headJSON struct {
	Format    int      `json:"format"`
	Job       string   `json:"job"`
	Lathe     string   `json:"lathe"`
	Unit      string   `json:"unit"`
	Held      string   `json:"held"`
	At        float64  `json:"at"`
	EndForEnd bool     `json:"end_for_end"`
	SetOver   float64  `json:"set_over"`
	Steady    *float64 `json:"steady"`
}

func (p *onLathe) head() headJSON {
	in := p.In.From
	j := headJSON{Format: 1, Job: p.file.Job.Name, Lathe: p.Lathe.Name, Unit: p.In.String(), Held: string(p.held.Way),
		At: in(p.held.At), EndForEnd: p.held.EndForEnd, SetOver: in(p.held.SetOver)}
	if p.held.Steady != nil {
		j.Steady = answer.Null(in(*p.held.Steady), true)
	}
	return j
}

// nothing refuses to answer where no feature can be turned.
func (p *onLathe) nothing() error {
	var why []string
	for _, f := range p.held.Features {
		why = append(why, f.Name+": "+f.Hidden)
	}
	return refuse.With(fmt.Sprintf("%s: held %s like this, no feature can be turned: %s",
		p.file.Name, p.held.Way.Words(),
		strings.Join(why, "; ")), "give another --at or --held")
}
