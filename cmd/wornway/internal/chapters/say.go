package chapters

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/lesson"
	"wornway/cmd/wornway/internal/sheet"
	"wornway/cmd/wornway/internal/turning"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/bend"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/length"
	"wornway/profile/wear"
)

// curveOf is the error curve of work of a diameter along the lesson's length, mm, with one wear and in the chuck.
func (t *Numbers) curveOf(w *wear.Wear, diameter float64) (*compensate.Curve, error) {
	m := t.Machine
	m.Wear = w
	return m.Curve(compensate.Cut{Feature: work.Feature{From: t.From, To: t.To, Diameter: diameter}, SetAt: t.To})
}

// greatest is the error that is greatest in size along a curve, mm.
func greatest(c *compensate.Curve) compensate.Extreme {
	least, most := c.Extremes(c.From, c.To, 0)
	if -least.Value > most.Value {
		return least
	}
	return most
}

// questions have their answers on this lathe's numbers.
func (t *Numbers) questions(cases []wearCase) ([]lesson.Question, error) {
	found, err := t.curveOf(cases[0].wear, t.told())
	if err != nil {
		return nil, t.Explain(err)
	}
	return []lesson.Question{
		t.whichEnd(found),
		t.sinking(found),
		t.levelAcross(cases[0].wear),
		t.twoCollars(found),
		t.pushed(),
		t.setOver(found),
		t.swing(found),
		t.hollow(found),
		t.bore(found),
		{
			Question: "The compound is set to 6°. Does one division then take a tenth off the radius?",
			Answer: []string{"Nearly. The sine of 6° is 0.1045, so that it takes 4.5 % more than a tenth. 5.74° " +
				"makes a tenth on the radius, 2.87° a twentieth, so that a tenth of what the slide moves comes off " +
				"the diameter."},
		},
	}, nil
}

func (t *Numbers) whichEnd(c *compensate.Curve) lesson.Question {
	taper := c.Taper()
	here, set := c.Steps(t.From), c.Steps(t.To)
	answer := []string{fmt.Sprintf("On this lathe, as it was found, work of %s comes out %s over %s, set at %s.",
		t.Diameter(c.Diameter), t.Ends(taper.Ends), t.At(t.To-t.From), t.At(t.To))}
	x := turning.Explanation{Bench: t.Bench, C: c, Here: here, Set: set}
	for _, p := range c.Portions(here, set) {
		if p.Error != 0 {
			answer = append(answer, fmt.Sprintf("%s: %s on the diameter.",
				word.Upper(x.Part(p.Origin)), x.Signed(p.Error)))
		}
	}
	answer = append(answer, "Usually the front way wears more than the rear one near the chuck, the saddle's top "+
		"leans toward the operator, and the work is bigger there. More wear at the rear, an outer flank that has "+
		"worn, a twisted bed, a rear tool post or a spindle that leans turn it round: calculate it each time.")
	return lesson.Question{Question: "At which end does the work come out bigger, and why?", Answer: answer}
}

func (t *Numbers) sinking(c *compensate.Curve) lesson.Question {
	answer := []string{"Of a tool that moves down and not aside, the radius feels only what Pythagoras leaves of it: " +
		"it grows with the square of the drop, over the diameter."}
	for _, d := range []float64{t.told(), t.Diameters()[0]} {
		k, err := t.curveOf(c.Wear, d)
		if err != nil {
			continue
		}
		z := greatest(k).Position
		for _, p := range k.Portions(k.Steps(z), k.Steps(t.To)) {
			if p.Origin == compensate.FromHeight {
				answer = append(answer, fmt.Sprintf("Where this lathe's error is greatest, at %s, the sinking makes "+
					"%s of it on work of %s.", t.About(z), (&turning.Explanation{Bench: t.Bench}).Signed(p.Error),
					t.Diameter(d)))
			}
		}
	}
	return lesson.Question{Question: "The saddle has sunk. Must the work be bigger for that alone?",
		Answer: append(answer, "On small work, and with a tool that stands off centre to begin with, it matters: "+
			"choose the smallest diameter and the tool lower.")}
}

func (t *Numbers) levelAcross(w *wear.Wear) lesson.Question {
	span := t.Machine.Lathe.Span
	most, at := 0.0, t.From
	for _, z := range t.positions() {
		if d := (w.Value(bed.At(bed.Front, 0), z) - w.Value(bed.At(bed.Rear, 0),
			z)) / span; math.Abs(d) > math.Abs(most) {
			most, at = d, z
		}
	}
	const division = 0.02e-3 // a level of 0.02 mm/m
	sunk, less := "front", "rear"
	if most < 0 {
		sunk, less = less, sunk
	}
	return lesson.Question{Question: "A level across the ways is off near the chuck. Is the bed twisted?",
		Answer: []string{
			fmt.Sprintf(
				"It reads the wear too. Across this bed, were it not twisted at all, a level of 0.02 mm/m would "+
					"show %.1f divisions at %s, just because the %s way has sunk more than the %s one there.",
				math.Abs(most)/division, t.About(at), sunk, less),
			"Level that out with the feet and the bed is twisted in truth. Level where the ways have not worn, at " +
				"the " +
				"far end and under the headstock, or read a level on the saddle along the whole bed first.",
		}}
}

// twoCollars looks for two collars that agree although the work between them does not.
func (t *Numbers) twoCollars(c *compensate.Curve) lesson.Question {
	at := t.positions()
	best, a, b := 0.0, 0, 0
	for i := range at {
		for j := i + 4; j < len(at); j++ {
			ends := math.Abs(c.At(at[i], 0) - c.At(at[j], 0))
			least, most := c.Extremes(at[i], at[j], 0)
			if hidden := most.Value - least.Value - ends; hidden-3*ends > best {
				best, a, b = hidden-3*ends, i, j
			}
		}
	}
	answer := []string{"Two collars give a straight line, and a bed wears in a curve."}
	if best > 0 {
		least, most := c.Extremes(at[a], at[b], 0)
		answer = append(answer, fmt.Sprintf("On this lathe collars at %s and %s would measure the same to %s, and "+
			"between them the work is up to %s off.", t.About(at[a]), t.About(at[b]),
			t.Small(math.Abs(c.At(at[a], 0)-c.At(at[b], 0))), t.Small(most.Value-least.Value)))
	}
	return lesson.Question{Question: "Two collars measure the same. Is the bed straight between them?",
		Answer: append(answer, "Turn three to five, the bar in the chuck and no tailstock, with a light cut.")}
}

func (t *Numbers) pushed() lesson.Question {
	long, thick := 125.0, 25.0
	if t.In == length.Inch {
		long, thick = 127, 25.4
	}
	const force, modulus = 90, 206000
	bar := bend.Shaft{Sections: []bend.Section{{From: 0, To: long, Diameter: thick}}, Modulus: modulus,
		Clamp: &bend.Clamp{}}
	give := 0.0
	if b, err := bar.Solve(); err == nil {
		give = 2 * force * b.Under(long)
	}
	return lesson.Question{Question: "The free end comes out bigger. Is it the bed?", Answer: []string{
		fmt.Sprintf("Perhaps the cut pushes the work away. A steel bar of %s that stands out by %s gives so much "+
			"under %d N that it is left %s bigger at its end.", t.Diameter(thick), t.At(long), force, t.Small(give)),
		"Push-off changes with the depth of cut and with the overhang, and grows with the third power of the " +
			"distance from the jaws. Wear does none of that: take a light cut at the same place, and what is left is " +
			"the bed.",
	}}
}

func (t *Numbers) setOver(c *compensate.Curve) lesson.Question {
	taper := c.Taper()
	return lesson.Question{Question: "Can the tailstock be set over to make the work parallel?", Answer: []string{
		fmt.Sprintf("Between centres it takes out a straight taper, and nothing else. Of this lathe's spread of %s "+
			"over %s it would leave %s, and only with the tailstock where it then stands.", t.Small(taper.Spread),
			t.At(t.To-t.From), t.Small(taper.Form)),
		"Small at the tail end: tailstock away from the operator.",
	}}
}

// swing answers with the error that would be calculated if the swing stood for the centre height.
func (t *Numbers) swing(c *compensate.Curve) lesson.Question {
	answer := []string{"The height of the spindle's axis above the front way's contacts, which is about half the " +
		"swing. The roll times that height is what moves the tool's point aside."}
	m := t.Machine
	m.Lathe.CentreHeight *= 2
	if twice, err := m.Curve(c.Cut); err == nil {
		answer = append(answer, fmt.Sprintf("The greatest error on work of %s is %s as the profile stands; with the "+
			"swing given for the centre height it would be calculated as %s.", t.Diameter(c.Diameter),
			t.Small(math.Abs(greatest(c).Value)), t.Small(math.Abs(greatest(twice).Value))))
	}
	return lesson.Question{Question: "Which height counts: the swing on the maker's plate, or another?",
		Answer: append(answer, "Nor is the way span the bed's width: it goes from the middle of the front way's "+
			"contact to that of the rear way's.")}
}

// hollow sets the deepest place of the front way against what the saddle makes of it.
func (t *Numbers) hollow(c *compensate.Curve) lesson.Question {
	deepest, at := 0.0, t.From
	for _, z := range t.positions() {
		if d := c.Wear.Value(bed.At(bed.Front, 0), z); d > deepest {
			deepest, at = d, z
		}
	}
	return lesson.Question{Question: "The front way has a hollow. Does the tool sink as deep as that?",
		Answer: []string{
			fmt.Sprintf("The saddle bridges it, and bears near its ends. The front way is down by %s at %s; with the "+
				"tool there the saddle's front lies %s down there.", t.Small(deepest), t.About(at),
				t.Small(c.Steps(at).Front)),
			"So a straightedge or a micrometer on the way, an indicator on the saddle, and collars that were cut " +
				"show three different things. A hollow shorter than the saddle may hardly be felt; a long one is " +
				"felt in full.",
		}}
}

// bore is about the safe side.
func (t *Numbers) bore(c *compensate.Curve) lesson.Question {
	cut := c.Cut
	cut.Bore = true
	answer := []string{"No. A tool that is carried away from the axis makes either bigger, but a shaft that is too " +
		"big can be cut again, and a bore that is too big is scrap."}
	if inside, err := t.Machine.Curve(cut); err == nil {
		least, most := inside.Extremes(inside.From, inside.To, 0)
		answer = append(answer, fmt.Sprintf("A bore of %s over the same length would come out between %s and %s: set "+
			"the dial where it comes out biggest, and bring the rest up to it.", t.Diameter(cut.Diameter),
			(&turning.Explanation{Bench: t.Bench}).Signed(least.Value), (&turning.Explanation{Bench: t.Bench}).Signed(
				most.Value)))
	}
	return lesson.Question{Question: "Is an error in a bore the same matter as on a shaft?", Answer: answer}
}

// methodsTaught says of each survey method how it is taken and what it cannot see.
func methodsTaught() []lesson.Method {
	var out []lesson.Method
	for _, m := range sheet.InOrderOfSurvey() {
		out = append(out, lesson.Method{Name: m.Name, How: m.Setup(), Sees: word.Upper(m.Unseen) + "."})
	}
	return out
}
