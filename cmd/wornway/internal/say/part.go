package say

import (
	"fmt"
	"slices"

	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/setup"
	"wornway/compensate/work"
)

// Where says how the part lies, as an answer's first sentence.
func Where(p *shop.Part) string {
	s := p.JobFile.Job.Name
	if s == "" {
		s = "The part"
	}
	s += ": " + Hold(p.Bench.Units, p.JobFile.Job.Part, p.Held) + "."
	if p.Taken != "" {
		s += " " + p.Taken
	}
	return s
}

// Bending says what of the work's bending under a finishing cut counts.
func Bending(c work.Finish, counts bool) string {
	if !counts {
		return "Bending under the cut is left out: " + c.Source + "."
	}
	return "Bending under the cut: " + c.Source + ". Shear, the part's own weight and the give of centres, " +
		"tailstock, steady and tool are left out."
}

// AssumedOf says what is taken for granted for cuts, with a sentence on where they are measured.
func AssumedOf(p *shop.Part, set string, cuts ...Cut) Basis {
	g := Terms{set: set, axis: partAxis(p, cuts), bends: Bending(p.JobFile.Job.Part.Cut, p.Held.Push != nil)}
	g.axis = append(g.axis, Holding(p.Bench, p.Held.Way.Tailed(), p.Held.Way.Gripped())...)
	g.axis = append(g.axis, fmt.Sprintf("The tool stops %s from jaws, dog and steady.", p.Bench.At(setup.JawsClear)))
	s := AssumedOfAll(p.Bench, g, cuts...)
	limit := func(sentences ...string) {
		s.Assumed, s.Limits = append(s.Assumed, sentences...), append(s.Limits, sentences...)
	}
	if p.Held.Push == nil {
		s.Limits = append(s.Limits, g.bends)
	}
	for _, f := range p.Asked() {
		if f.Sized == work.Once {
			limit("Features that the job has sized by the dial from another are taken here " +
				"as if each were measured; wornway plan counts their size in.")
			break
		}
	}
	limit(Recalled(p, cuts)...)
	s.Assumed = append(s.Assumed, "Heat and the wear of the tool are left out.")
	s.Warnings = append(Faults(p.JobFile.Warnings), s.Warnings...)
	return s
}

// Recalled says which limits of size rest on memory.
func Recalled(p *shop.Part, cuts []Cut) []string {
	var fits []string
	for _, k := range cuts {
		if f := k.Curve.Feature; f.Recalled && !slices.Contains(fits, f.Fit) {
			fits = append(fits, f.Fit)
		}
	}
	if len(fits) == 0 {
		return nil
	}
	return []string{FromMemory(fits)}
}

// partAxis says about what the work turns.
func partAxis(p *shop.Part, cuts []Cut) []string {
	if p.Held.Way.Tailed() {
		return tailedAxis(p.Bench, p.Held.Way, p.Holder.Headstock, p.Held.At+p.JobFile.Job.Part.Length)
	}
	longest := slices.MaxFunc(cuts, func(a, b Cut) int { return CompareLengths(a.Curve, b.Curve) })
	return Axis(p.Bench, longest.Curve)
}

// tailedAxis says about what work turns whose far end the tailstock's centre carries.
func tailedAxis(l *shop.Bench, way work.Holding, headstock, far float64) []string {
	if way == work.Centres {
		return []string{fmt.Sprintf("The work turns between centres, about the straight line from the headstock's "+
			"centre at %s to the tailstock's at %s; the headstock's is taken to run true, and the spindle's lean "+
			"does not matter.",
			l.At(headstock), l.At(far))}
	}
	return []string{"The work is bent to where the tailstock's centre stands from the axis of the spindle, " + Lean(l)}
}

func CompareLengths(a, b *compensate.Curve) int {
	switch x, y := a.To-a.From, b.To-b.From; {
	case x < y:
		return -1
	case x > y:
		return 1
	}
	return 0
}

// FromMemory says of fits that their limits rest on memory.
func FromMemory(fits []string) string {
	return fmt.Sprintf("The limits of %s are from memory: check them in the standard's table, or give upper and "+
		"lower.", word.List(fits))
}
