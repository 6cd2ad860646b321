package chapters

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/lesson"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

// Parts are a lesson's page as it stands on paper: what is to be predicted and then checked, a story, and the chapters
// and questions of the page with room to write.
func (t *Numbers) Parts(p *lesson.Page) ([]Block, error) {
	c, err := t.curveOf(t.Machine.Wear, t.Diameters()[p.Usual])
	if err != nil {
		return nil, t.Explain(err)
	}
	here, set := c.Steps(t.positions()[p.Asked]), c.Steps(t.To)
	// The shaft of the story stands between centres.
	m := t.Machine
	m.Axis = compensate.Axis{}
	shaft, err := m.Curve(c.Cut)
	if err != nil {
		return nil, t.Explain(err)
	}
	return []Block{t.predicting(p, c, here, set), t.story(p, shaft.Steps(here.Position), shaft.Steps(t.To)),
		asked(p)}, nil
}

// predicting makes a pupil commit to a diameter before he sees it.
func (t *Numbers) predicting(p *lesson.Page, c *compensate.Curve, here, set compensate.Steps) Block {
	first := p.Chapters[0]
	place, zero := p.Places[p.Asked], p.Places[len(p.Places)-1]
	lean := func(s compensate.Steps) string { return length.Fixed(1000*s.Roll, 4) }
	said := []string{
		fmt.Sprintf("Work of %s stands in the chuck. It is measured at %s, the dial set there and not touched "+
			"again; the "+
			"carriage is fed toward the headstock. Spindle axis above the point about which the saddle leans: %s. "+
			"Front way "+
			"to rear way: %s. The tool post stands %s.", t.Diameter(c.Diameter), zero,
			t.At(t.Machine.Lathe.GuideHeight()),
			t.At(t.Machine.Lathe.Span), map[bool]string{true: "behind the work", false: "in front of the " +
				"work"}[t.Machine.Lathe.RearPost]),
		fmt.Sprintf("Under the saddle, with the tool at %s: front way down %s, rear way down %s, saddle shifted "+
			"toward the "+
			"operator by %s. With the tool at %s: %s, %s and %s.", place, t.Small(here.FrontMean),
			t.Small(here.RearMean),
			t.Small(here.Shift), zero, t.Small(set.FrontMean), t.Small(set.RearMean), t.Small(set.Shift)),
	}
	if here.Twist != set.Twist {
		said = append(said, fmt.Sprintf("The bed's twist adds %s mrad to the lean at %s, %s mrad at %s.",
			length.Fixed(1000*here.Twist, 4), place, length.Fixed(1000*set.Twist, 4), zero))
	}
	formula := "shift + height × lean"
	if t.Machine.Lathe.RearPost {
		formula = "−(shift + height × lean)"
	}
	sinking := ""
	for _, k := range c.Portions(here, set) {
		if k.Origin == compensate.FromHeight {
			sinking = fmt.Sprintf(" The tool's sinking makes %s of it.", t.Small(k.Error))
		}
	}
	sure := ""
	if here.Stated {
		sure = fmt.Sprintf(", ± %s", t.Small(2*here.Uncertainty))
	}
	return Block{Title: fmt.Sprintf("Predict the diameter at %s, then check", place), Text: said, Bed: true,
		Tasks: []Task{
			{Question: fmt.Sprintf("Before you calculate: at %s, against %s, the work comes out", place, zero),
				Options: first.Options, Lines: 2, Answer: append([]string{word.Upper(first.Options[first.Right]) +
					"."}, first.Answer...)},
			{Question: fmt.Sprintf("Now calculate. Lean = (front − rear) / way span; tool out = %s, less the same at "+
				"%s; diameter = twice that. What comes out at %s? Sign it before you turn "+
				"over.", formula, zero, place),
				Lines: 4,
				Answer: []string{fmt.Sprintf("The saddle leans %s mrad at %s, %s at %s; the tool is out %s and %s. "+
					"Twice the "+
					"difference, and what the sinking adds: the diameter is off by %s%s.%s", lean(here), place,
					lean(set), zero,
					t.Small(here.ToolOut), t.Small(set.ToolOut), t.Small(here.DiameterError), sure, sinking)}},
			{Question: "Check it with the page (wornway lesson), with wornway predict, or with a collar at the " +
				"machine. What was " +
				"it, and by how much were you off?", Lines: 2,
				Answer: []string{fmt.Sprintf("wornway predict: %s at %s. A collar differs by what is not known of the "+
					"bed, by the "+
					"micrometer and by how the cut pushes the work.", t.Small(here.DiameterError), place)}},
			{Question: "If you guessed the other way: which step did you miss?", Lines: 1,
				Answer: []string{"Most often: that the lean is that of the difference of the ways, that it counts " +
					"with " +
					"the height, or " +
					"that the diameter feels it twice."}},
		}}
}

// story is of a shaft that went wrong. It is made up; its numbers are the lathe's.
func (t *Numbers) story(p *lesson.Page, here, set compensate.Steps) Block {
	place, zero := p.Places[p.Asked], p.Places[len(p.Places)-1]
	e := here.DiameterError
	fitted, way := "would not go on", "bigger"
	if e < 0 {
		fitted, way = "fell on, and rattled", "smaller"
	}
	leaned := "toward the operator"
	if here.Roll < set.Roll {
		leaned = "away from him"
	}
	said := []string{
		fmt.Sprintf("This story is made up; its numbers are those of this lathe. A shaft between centres had two "+
			"seats for "+
			"bearings, one at %s from the spindle nose and one at %s. The turner set the dial at the first, "+
			"measured, and had it to size. He "+
			"fed on and took the other seat at the same setting. The dial had not been touched, so he did not "+
			"measure there.",
			zero, place),
		fmt.Sprintf("The first bearing slid on. The second %s. He blamed the headstock; a bar in the spindle ran "+
			"true. He blamed "+
			"the tailstock, set it over, and cut a new shaft: both seats came to size, and now the length between "+
			"them did not.",
			fitted),
		fmt.Sprintf("On the third day the apprentice laid a level on the saddle and wound the carriage along the "+
			"bed. Near the chuck "+
			"the saddle's top leaned %s. Years of short work had been turned there.", leaned),
	}
	if p.Chapters[0].Right == alike {
		said = append(said, "On this lathe the story could hardly have happened: what is known of its wear says of "+
			"neither seat "+
			"that it is bigger. It happened on another.")
	}
	return Block{Title: "A shaft that went wrong", Text: said, Tasks: []Task{
		{Question: "Why was the first seat right, and why did that prove nothing of the second?", Lines: 2,
			Answer: []string{
				"It was measured and cut to size there: the error is zero where the dial is set, by definition. " +
					"Elsewhere the tool " +
					"stands where the bed carries it."}},
		{Question: "Which way had the tool gone at the second seat, and by how much was the seat off?", Lines: 2,
			Answer: []string{
				fmt.Sprintf("The tool had gone %s by %s against the work; the seat was %s %s.",
					map[bool]string{true: "out", false: "in"}[here.Out > 0], t.Small(math.Abs(here.Out)),
					t.Small(math.Abs(e)), way)}},
		{Question: "Why did setting the tailstock over bring the ends to size and not the length between?",
			Lines: 2, Answer: []string{
				"Setting over takes out a straight taper. A bed wears in a curve, and what lies beside the straight " +
					"line stays."}},
		{Question: "What would have shown it before a shaft was cut? What would you do on this lathe?", Lines: 3,
			Answer: []string{
				"A level on the saddle along the bed, a bar read from the carriage, or three to five collars at one " +
					"setting. Then: " +
					"measure at every seat, turn the seats where the bed is even (wornway place), or dial the " +
					"corrections as the " +
					"carriage goes (wornway correct)."}},
	}}
}

// asked are the page's other chapters and its questions.
func asked(p *lesson.Page) Block {
	o := Block{Title: "What do you think, and why?"}
	for _, c := range p.Chapters[1:] {
		o.Tasks = append(o.Tasks, Task{Question: c.Question, Options: c.Options, Lines: 2,
			Answer: append([]string{word.Upper(c.Options[c.Right]) + "."}, c.Answer...)})
	}
	for _, q := range p.More {
		o.Tasks = append(o.Tasks, Task{Question: q.Question, Lines: 2, Answer: q.Answer})
	}
	return o
}
