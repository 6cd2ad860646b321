package testcut

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate/cause"
	"wornway/profile"
)

// Inquiry is the question which cause explains cuts, with its answer.
type Inquiry struct {
	*shop.Bench
	*cause.Result
	Cuts    []*profile.Cut
	Files   []string
	further []profile.Proposal
	told    []cause.Distinction // as further
}

type causeJSON struct {
	Format       int               `json:"format"`
	Lathe        string            `json:"lathe"`
	Unit         string            `json:"unit"`
	Decided      bool              `json:"decided"`
	Freedom      int               `json:"freedom"`
	Causes       []foundJSON       `json:"causes"`
	Explanations []explanationJSON `json:"explanations"`
	Alike        [][2]cause.Kind   `json:"alike"`
	Further      []furtherJSON     `json:"further"`
	Assumed      []string          `json:"assumed"`
	Warnings     []string          `json:"warnings"`
}

type foundJSON struct {
	Cause       cause.Kind `json:"cause"`
	Probability float64    `json:"probability"`
	Alone       float64    `json:"alone"`
	Strength    *float64   `json:"strength"`
	Uncertainty *float64   `json:"uncertainty"`
	StrengthIn  string     `json:"strength_in"`
	ChiSquare   float64    `json:"chi_square"`
	Seen        *bool      `json:"seen"`
	Ground      string     `json:"ground"`
}

type explanationJSON struct {
	Causes      []cause.Kind `json:"causes"`
	Probability float64      `json:"probability"`
	ChiSquare   float64      `json:"chi_square"`
}

type furtherJSON struct {
	Name        string   `json:"name"`
	From        float64  `json:"from"`
	To          float64  `json:"to"`
	Depth       *float64 `json:"depth"`
	Separation  float64  `json:"separation"`
	Apart       float64  `json:"apart"`
	Uncertainty float64  `json:"uncertainty"`
	ApartIn     string   `json:"apart_in"`
}

// Find asks the library.
func (k *Inquiry) Find(file string) error {
	if !k.Machine.Wear.Stated() {
		return refuse.With(fmt.Sprintf("%s: the wear has no ±, and without one nothing can be told from chance", file),
			"give [wear] its uncertainty, the standard one of a drop")
	}
	q := cause.Question{Bed: cause.Bed{Lathe: k.Profile.Lathe.Bed, Wear: k.Machine.Wear, Headstock: math.NaN()}}
	if h := k.Profile.Lathe.Holding; h != nil {
		q.Headstock = h.HeadstockCentre
	}
	first, last := k.Machine.Wear.Range()
	for i, c := range k.Cuts {
		for _, e := range c.Set.Equations {
			if e.Position < first || e.Position > last {
				return refuse.With(fmt.Sprintf("%s: %s lies outside the known wear, %s to %s",
					k.Files[i], k.At(e.Position),
					k.Bare(first), k.At(last)), "leave it out, or survey the bed there")
			}
		}
		q.Readings = append(q.Readings, c.Set)
	}
	if len(k.Surveys) > 0 {
		mistaken, err := k.Profile.Mistaken(k.Estimate)
		if err != nil {
			return err
		}
		for _, m := range mistaken {
			q.Mistaken = append(q.Mistaken, cause.Misreading{Survey: m.Number, Wear: m.Wear, Odds: m.Odds})
		}
	}
	var err error
	k.Result, err = cause.Find(q)
	switch {
	case errors.Is(err, cause.ErrFew):
		return refuse.With(strings.Join(k.Files, ", ")+": measured in too few places to tell causes apart",
			"three to five collars for each cut")
	case err != nil:
		return err
	}
	return k.tell()
}

// tell asks what further cut or reading would tell the two best explanations apart.
func (k *Inquiry) tell() error {
	made := profile.Practice{From: math.Inf(1), To: math.Inf(-1), HeldAt: math.NaN(), Light: math.Inf(1),
		Feed: math.NaN(), U: math.NaN()}
	for _, c := range k.Cuts {
		for i, z := range c.As.Positions {
			made.Diameter = c.As.Diameters[i]
			if c.As.Held.Gripped() || math.IsInf(made.From, 1) {
				made.From, made.To = math.Min(made.From, z), math.Max(made.To, z)
			}
		}
		if len(c.As.Positions) == 0 {
			continue
		}
		made.U, _ = c.Set.StatesUncertainty()
		if !math.IsNaN(c.As.HeldAt) {
			made.HeldAt = c.As.HeldAt
		}
		if c.As.Depth > 0 {
			made.Light, made.Deep = math.Min(made.Light, c.As.Depth), math.Max(made.Deep, c.As.Depth)
		}
		if c.As.Feed > 0 {
			made.Feed = c.As.Feed
		}
	}
	if math.IsInf(made.From, 1) || made.Diameter == 0 {
		return nil // no cut yet
	}
	if math.IsInf(made.Light, 1) {
		made.Light = 0
	}
	further, err := k.Profile.Further(made)
	if err != nil {
		return err
	}
	var of []cause.Proposal
	for _, f := range further {
		of = append(of, cause.Proposal{Name: f.Name, Set: f.Set})
	}
	told, err := k.Tell(of)
	if err != nil {
		return err
	}
	order := make([]int, len(told))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(told[b].Separation, told[a].Separation) })
	for _, i := range order {
		k.further, k.told = append(k.further, further[i]), append(k.told, told[i])
	}
	return nil
}

// Report puts table, JSON and sentences together.
func (k *Inquiry) Report(held int) show.Report {
	in := k.In.From
	j := causeJSON{Format: 1, Lathe: k.Profile.Lathe.Name, Unit: k.In.String(), Decided: k.Decided,
		Freedom: k.Freedom, Alike: append([][2]cause.Kind{}, k.Alike...), Further: []furtherJSON{},
		Warnings: []string{}}
	t := show.Table{Name: "causes", Columns: []show.Column{{Head: "cause", Key: "cause", Left: true},
		{Head: "probability", Key: "probability"}, {Head: "strength", Key: "strength", Left: true, Words: true},
		{Key: "uncertainty", Data: true},
		{Key: "strength_in", Data: true}, {Head: "left over", Key: "chi_square", Full: true},
		{Key: "ground", Data: true}}}
	const (
		worth    = 0.05 // a probability of which the ground is told
		unlikely = 0.01 // less is for the full answer
		fewest   = 3    // so many causes stand in any answer
	)
	var grounds []string
	for i, f := range k.Causes {
		if i >= fewest && f.Probability < unlikely {
			t.Fine = append(t.Fine, i)
		}
		s := k.Strength(f)
		v := foundJSON{Cause: f.Kind, Probability: f.Probability, Alone: f.Alone, Strength: answer.Null(s.Value, true),
			Uncertainty: answer.Null(s.u, true), StrengthIn: s.In, ChiSquare: f.ChiSquare, Ground: k.ground(f)}
		if !math.IsNaN(f.Seen) {
			seen := f.Seen >= cause.Unseen
			v.Seen = &seen
		}
		j.Causes = append(j.Causes, v)
		if worth <= f.Probability {
			grounds = append(grounds, fmt.Sprintf("The ground for %s: %s.", k.Called(f.Kind), v.Ground))
		}
		text := s.String()
		if f.Seen < cause.Unseen {
			text = "not seen in these cuts"
		}
		t.Rows = append(t.Rows, []show.Cell{{Text: k.Called(f.Kind), Value: string(f.Kind)},
			{Text: word.Percent(f.Probability), Value: f.Probability}, {Text: text, Value: v.Strength},
			{Value: v.Uncertainty}, {Value: s.In},
			{Text: word.Fixed(f.ChiSquare, 1), Value: f.ChiSquare}, {Value: v.Ground}})
	}
	for _, e := range k.Explanations {
		const least = 0.005
		if e.Probability >= least {
			j.Explanations = append(j.Explanations, explanationJSON{e.Causes, e.Probability, e.ChiSquare})
		}
	}
	for i, f := range k.told {
		v := furtherJSON{Name: f.Name, From: in(k.further[i].From), To: in(k.further[i].To),
			Depth: answer.Null(in(k.further[i].Depth), true), Separation: f.Separation, Apart: f.Apart,
			Uncertainty: f.U,
			ApartIn:     "radians"}
		if f.Name != "saddle-level" {
			v.Apart, v.Uncertainty, v.ApartIn = in(f.Apart), in(f.U), k.In.String()
		}
		j.Further = append(j.Further, v)
	}
	j.Assumed = k.granted()
	remarks := []string{"A probability is that the cause is there, alone or with another, so that they may add up to " +
		"more than 100 %. ± holds 19 times in 20."}
	notes := []string{fmt.Sprintf("Left over is what the cause does not explain: chance makes about %d.", k.Freedom)}
	if held > 0 {
		remarks = append(remarks, fmt.Sprintf("The profile holds %d of these already, and was taken without.", held))
	}
	remarks = append(remarks, grounds...)
	return show.Report{Answer: k.answer(), Tables: []show.Table{t}, Remarks: remarks, Notes: notes,
		Assumed: j.Assumed, Usual: Cautions, JSON: j}
}

// granted is what is taken for granted.
func (k *Inquiry) granted() []string {
	out := []string{
		"How usual each cause is beforehand, and of what size, is common practice with no source: that nothing more " +
			"than the survey is needed 25 %, one cause 50 %, two together 15 %, something else 10 %; of the causes " +
			"one in five is three times as strong as is usual. Something else is above all one bump somewhere along " +
			"the cuts.",
		"Three in a hundred are kept for measurements that mislead in a way that nothing here allows for, so that " +
			"no cause is ever quite sure; and the ± of the survey may be half or twice what it says.",
		"The tool stood on centre height when it was set, once for each cut, and all cuts came after the survey.",
	}
	centres := false
	for _, c := range k.Cuts {
		centres = centres || c.As.Held.Tailed()
	}
	if centres {
		out = append(out, "On its centre the tailstock stood at the same place each time, in line to 0.01 mm in "+
			"300 (0.0004 in 12 in), standard, unless a cause puts it elsewhere. Work between centres does not see the "+
			"spindle's lean, nor an even twist; work in the chuck and on the centre sees what is left of them once it "+
			"bends to the centre.")
	}
	out = append(out, "Push-off goes with the depth of cut, where it is given, and with how far a bar of even "+
		"diameter bends; the give of chuck, tool and machine, heat and the wear of the tool are left out.")
	out = append(out, say.Geometry(k.Bench)...)
	return append(out, say.Wear(k.Bench)...)
}
