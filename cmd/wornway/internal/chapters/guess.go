package chapters

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/lesson"
	"wornway/cmd/wornway/internal/turning"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/bed"
)

// What can be guessed of a diameter.
const (
	bigger = iota
	smaller
	alike
)

var guesses = []string{"bigger", "smaller", "hardly differs"}

// teller tells the chapters of a page that has its numbers.
type teller struct {
	*Numbers
	page        *lesson.Page
	asked, set  float64 // mm
	names       [2]string
	cases       []wearCase
	curves      []*compensate.Curve // by case, of work of the usual diameter
	explanation turning.Explanation
}

// chapters are what is guessed first and then seen: the lathe as it was found, one way worn, both alike, one flank, and
// where the dial was set.
func (t *Numbers) chapters(p *lesson.Page, cases []wearCase) ([]lesson.Chapter, error) {
	k := &teller{Numbers: t, page: p, asked: t.positions()[p.Asked], set: t.To, cases: cases,
		names:       [2]string{p.Places[p.Asked], p.Places[len(p.Places)-1]},
		explanation: turning.Explanation{Bench: t.Bench}}
	for _, c := range cases {
		curve, err := t.curveOf(c.wear, t.told())
		if err != nil {
			return nil, t.Explain(err)
		}
		k.curves = append(k.curves, curve)
	}
	return []lesson.Chapter{k.found(), k.oneWay(), k.both(), k.flank(), k.where()}, nil
}

// The wears, in the order of cases.
const (
	asFound = iota
	equalWays
	frontOnly
	rearOnly
	flankOnly
)

// error is that at the place asked about, mm.
func (k *teller) error(wear int) float64 { return k.curves[wear].At(k.asked, 0) }

// right is the guess that is right of a wear: an error counts where it is a twentieth at least of the greatest there,
// and greater than its ±.
func (k *teller) right(wear int) int {
	const little = 0.05
	most := 0.0
	for i := range k.cases {
		most = math.Max(most, math.Abs(k.error(i)))
	}
	e := k.error(wear)
	s := k.curves[wear].Station(k.asked)
	switch {
	case math.Abs(e) < little*most || e == 0 || s.Stated && math.Abs(e) <= 2*s.Uncertainty:
		return alike
	case e > 0:
		return bigger
	}
	return smaller
}

// comes says how the work comes out at the place asked about.
func (k *teller) comes(wear int) string {
	e := k.error(wear)
	s := k.curves[wear].Station(k.asked)
	sure := ""
	if s.Stated {
		sure = ", ± " + k.Small(2*s.Uncertainty)
	}
	switch {
	case k.Small(e) == k.Small(0):
		return fmt.Sprintf("At %s the diameter is the same as at %s%s.", k.names[0], k.names[1], sure)
	case s.Stated && math.Abs(e) <= 2*s.Uncertainty:
		return fmt.Sprintf("At %s the likeliest error is %s, and its ± of %s is larger: nobody can tell which way it "+
			"goes.", k.names[0], k.explanation.Signed(e), k.Small(2*s.Uncertainty))
	}
	return fmt.Sprintf("At %s it comes out %s %s%s.", k.names[0], k.Small(math.Abs(e)),
		map[bool]string{true: "bigger", false: "smaller"}[e > 0], sure)
}

// goes says which way the saddle leans and the tool goes since it was set.
func (k *teller) goes(wear int) string {
	c := k.curves[wear]
	here, set := c.Steps(k.asked), c.Steps(k.set)
	const none = 1e-7 // radians
	roll, out := here.Roll-set.Roll, here.ToolOut-set.ToolOut
	lean := "The saddle does not lean"
	switch {
	case roll > none:
		lean = "The saddle's top leans toward the operator"
	case roll < -none:
		lean = "The saddle's top leans away from the operator"
	}
	switch {
	case k.Small(out) == k.Small(0):
		return lean + ", and the tool stays as far from the work's axis as it was set."
	case out > 0:
		return fmt.Sprintf("%s, and the tool is carried %s away from the work.", lean, k.Small(out))
	}
	return fmt.Sprintf("%s, and the tool is carried %s into the work.", lean, k.Small(-out))
}

// portion is what a part makes of the error at the place asked about, mm.
func (k *teller) portion(wear int, of compensate.Origin) float64 {
	c := k.curves[wear]
	for _, p := range c.Portions(c.Steps(k.asked), c.Steps(k.set)) {
		if p.Origin == of {
			return p.Error
		}
	}
	return 0
}

const twice = "The diameter feels that twice, once on either side."

func (k *teller) found() lesson.Chapter {
	return lesson.Chapter{Name: "This lathe",
		Question: fmt.Sprintf("Work of %s is measured at %s, the dial set there and left alone. What do you "+
			"think: how does it come out at %s, nearer to the chuck?", k.Diameter(k.thick()), k.names[1], k.names[0]),
		Options: guesses, Right: k.right(asFound), Wear: asFound,
		Answer: []string{k.comes(asFound), k.goes(asFound) + " " + twice},
		Try: "Drag the carriage along the bed and watch the tool against the work. Where is the work biggest, and " +
			"how does the saddle stand there?"}
}

// thick is the usual diameter, mm.
func (k *teller) thick() float64 { return k.Diameters()[k.page.Usual] }

func (k *teller) oneWay() lesson.Chapter {
	return lesson.Chapter{Name: "One way",
		Question: fmt.Sprintf("Now let the front way alone have worn, and the rear way be as new. How does the "+
			"work come "+
			"out at %s?", k.names[0]),
		Options: guesses, Right: k.right(frontOnly), Wear: frontOnly,
		Answer: []string{k.comes(frontOnly), k.goes(frontOnly) + " " + twice,
			fmt.Sprintf("It was %s with the rear way worn too, as it was found: what the rear way loses rolls the "+
				"saddle "+
				"back.", k.explanation.Signed(k.error(asFound)))},
		Try: "Fold the choices out and let the rear way alone be worn. Which way does the saddle lean now, and what " +
			"does the diameter say?"}
}

func (k *teller) both() lesson.Chapter {
	c := k.curves[equalWays]
	sunk := 0.0
	for _, z := range k.positions() {
		sunk = math.Max(sunk, c.Station(z).ToolDrop)
	}
	return lesson.Chapter{Name: "Both alike",
		Question: fmt.Sprintf("Both ways have sunk alike, as deep as the front one has. How does the work come out "+
			"at %s?",
			k.names[0]),
		Options: guesses, Right: k.right(equalWays), Wear: equalWays,
		Answer: []string{k.comes(equalWays), fmt.Sprintf("The saddle sinks and does not lean. The tool goes down "+
			"by up to "+
			"%s, hardly out, and a tool that goes down only moves along the work's side. It is the difference of the "+
			"two ways that makes a taper. The most that is left anywhere is %s.", k.Small(sunk),
			k.Small(math.Abs(greatest(c).Value)))},
		Try: "Fold the choices out, take the smallest diameter and set the tool lower. Now sinking matters: see " +
			"how much."}
}

func (k *teller) flank() lesson.Chapter {
	what, v := "the front way's guiding edge alone has worn, and its top has not", k.Machine.Lathe.V
	if v != nil {
		what = "only the V's outer flank, the one that faces the operator, has worn"
	}
	c := lesson.Chapter{Name: "One flank",
		Question: fmt.Sprintf("Now %s. How does the work come out at %s?", what, k.names[0]),
		Options:  guesses, Right: k.right(flankOnly), Wear: flankOnly,
		Answer: []string{k.comes(flankOnly)},
		Try: "Look at the saddle from the end while you drag: it goes down and aside at once. Which of the two " +
			"carries " +
			"the tool further?"}
	if v == nil {
		c.Answer = append(c.Answer, "The saddle goes sideways and takes the tool with it, without a lean.")
		c.Try = "Look at the saddle from the end while you drag: which way does it go?"
		return c
	}
	c.Answer = append(c.Answer, fmt.Sprintf("Two things happen at once. The saddle slides down the worn flank, "+
		"sideways: "+
		"%s on the diameter. And its front sinks, which leans it: %s. On this V, with flanks of %s and %s, that is "+
		"what "+
		"is left of the two; on another it may turn round.",
		k.explanation.Signed(k.portion(flankOnly, compensate.FromShift)),
		k.explanation.Signed(k.portion(flankOnly, compensate.FromFront)), word.Degrees(v.Outer), word.Degrees(v.Inner)))
	return c
}

// dialThere is the page's dial that is set at the headstock end.
const dialThere = 2

func (k *teller) where() lesson.Chapter {
	run := k.page.Dials[dialThere].Runs[k.page.Usual]
	first := k.page.Places[0]
	cut := k.curves[asFound].Cut
	cut.SetAt = k.From
	answer := []string{"Where the diameter is measured it is right, by definition. The bed is the same, and so is " +
		"the taper."}
	if c, err := k.Machine.Curve(cut); err == nil {
		answer = append(answer, fmt.Sprintf("Set at %s the work varies by %s along its length, set at %s by %s. "+
			"What was "+
			"too much at one end is missing at the other: %s at %s.", k.names[1],
			k.Small(k.curves[asFound].Spread()), first,
			k.Small(c.Spread()), k.explanation.Signed(c.At(k.To, 0)), k.names[1]))
	}
	if corrected := k.page.Dials[1].Runs[k.page.Usual]; !corrected.None {
		answer = append(answer, fmt.Sprintf("Only turning the dial along the way changes the shape: with %s, %s",
			word.Count(len(corrected.Stops), "setting"), word.Lower(corrected.Left)))
	}
	return lesson.Chapter{Name: "The dial",
		Question: fmt.Sprintf("The lathe as it was found again, but %s What becomes of the taper?",
			word.Lower(run.Told)),
		Options: []string{"it goes away", "it stays, and what is right is another place", "it turns round"}, Right: 1,
		Wear: asFound, Dial: dialThere, Answer: answer,
		Try: "Fold the choices out and have the corrections dialled. Watch the tool where a setting is due: it " +
			"steps in, " +
			"and so does the work."}
}

// alike says why it makes no difference whether work is held in the chuck or between centres.
func (t *Numbers) alike() string {
	if w := t.Machine.Wear; w.Value(bed.Of(bed.LeanOut), 1) != 0 || w.Value(bed.Of(bed.LeanUp), 1) != 0 {
		return "This wear is supposed, and with it a spindle that lies true: chuck and centres make no difference here."
	}
	return "Chuck or centres make no difference here: no lean of the spindle is known, so that it is taken as in " +
		"line with " +
		"the bed, and centres are taken as standing true. A bar in the chuck would tell."
}
