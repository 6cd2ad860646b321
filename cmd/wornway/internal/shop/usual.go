package shop

import (
	"fmt"

	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/length"
)

// UsualDiameter is what is taken where none is given, mm: 1 in, 25 mm.
func UsualDiameter(u length.Unit) float64 {
	if u == length.Inch {
		return length.Inch.ToMM(1)
	}
	return 25
}

// UsualWork is a length that is looked at where none is given: 4 to 12 in, 100 to 300 mm, or what of it lies on the
// bed.
func UsualWork(p *profile.Profile) compensate.Cut {
	from, to := 100.0, 300.0
	if p.Unit == length.Inch {
		from, to = length.Inch.ToMM(4), length.Inch.ToMM(12)
	}
	ways := p.Lathe.Ways
	if to > ways.To || from < ways.From {
		from, to = ways.From+(ways.To-ways.From)/4, ways.To-(ways.To-ways.From)/4
	}
	return compensate.Cut{Feature: work.Feature{From: from, To: to, Diameter: UsualDiameter(p.Unit)}, SetAt: to}
}

// Particulars is what was said of a length of work beside where it lies, to be said again in the commands that come
// next.
type Particulars struct {
	Diameter bool         // otherwise it is the usual one
	Held     work.Holding // empty: not said
	Tools    string       // names with commas between; empty: not said
}

// Ask are the flags that ask for the next survey of work on a lathe.
func (g Particulars) Ask(u word.Units, c compensate.Cut) string {
	s := fmt.Sprintf(" --for %s,%s", u.Bare(c.From), u.Bare(c.To))
	if g.Diameter {
		s += " --diameter " + word.Flag(u.Diameter(c.Diameter))
	}
	s += g.also(u, c)
	if g.Tools != "" {
		s += " --with " + g.Tools
	}
	return s
}

// Turn are the flags that say what is to be turned.
func (g Particulars) Turn(u word.Units, c compensate.Cut) string {
	return fmt.Sprintf(" --from %s --to %s --diameter %s", u.Bare(c.From), u.Bare(c.To),
		word.Flag(u.Diameter(c.Diameter))) + g.also(u, c)
}

func (g Particulars) also(u word.Units, c compensate.Cut) (s string) {
	if c.Tolerance > 0 {
		s += " --tolerance " + word.Flag(u.Small(c.Tolerance))
	}
	if g.Held != "" {
		s += " --held " + string(g.Held)
	}
	return s
}

// RecordFirst is the command that says what to read first on a bed of which nothing is known; name is what its profile
// was opened under.
func RecordFirst(p *profile.Profile, name string) string {
	c, w := UsualWork(p), word.Units{In: p.Unit}
	if name == "-" {
		name = "PROFILE"
	}
	return fmt.Sprintf("wornway record %s --for %s,%s", name, w.BareAbout(c.From), w.BareAbout(c.To))
}

// BarFor is the diameter, mm, of a bar for a test cut that is stiff enough and fits the lathe: the largest usual one of
// no more than a quarter of the centre height. Common practice, no source.
func BarFor(p *profile.Profile) float64 {
	usual := []float64{6, 8, 10, 12, 16, 20, 25, 30, 40, 50, 60, 80}
	if p.Unit == length.Inch {
		usual = []float64{6.35, 9.525, 12.7, 19.05, 25.4, 38.1, 50.8, 76.2}
	}
	out := usual[0]
	for _, d := range usual {
		if d <= p.Lathe.Bed.CentreHeight/4+1e-6 {
			out = d
		}
	}
	return out
}

// UsualMeasuring is the standard uncertainty, mm, of a diameter measured at the machine: a micrometer read to half a
// division of 0.01 mm on clean, cool work. Common practice, no source.
const UsualMeasuring = 0.002

// UsualLengths are the part lengths that are told of, mm.
func UsualLengths(u length.Unit) []float64 {
	if u != length.Inch {
		return []float64{25, 50, 100, 150, 250, 500}
	}
	out := []float64{1, 2, 4, 6, 10, 20}
	for i := range out {
		out[i] = length.Inch.ToMM(out[i])
	}
	return out
}

// UsualTolerances are those for which the longest length is told, mm: full spread on diameter.
func UsualTolerances(u length.Unit) []float64 {
	if u != length.Inch {
		return []float64{0.01, 0.02, 0.05, 0.1}
	}
	return []float64{0.0005 * 25.4, 0.001 * 25.4, 0.002 * 25.4, 0.005 * 25.4}
}
