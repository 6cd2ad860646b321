package survey

import (
	"math"

	"wornway/profile/bed"
	"wornway/profile/length"
)

// edge is a straightedge that rests on a way or flank at two contacts: the gap under it is the way's drop (or the metal
// lost from the flank) less the chord between its values at the contacts, and the edge's own bow, a parabola with its
// greatest height midway.
type edge struct {
	sees bed.Sum
	a, b float64
	bow  int
	most float64 // standard uncertainty of the bow's height, mm
}

// edgeSag is the length, mm, from which a straightedge's own sag is warned of.
const edgeSag = 500

func newEdge(k *Keys) edge {
	e := edge{sees: k.way("on", k.Choice("on", true, "front", "rear", "outer", "inner", "tail-front", "tail-rear"))}
	e.a, e.b = k.Contacts()
	limit := k.Length("edge_error", 0.002+(e.b-e.a)/250000)
	if limit < 0 {
		k.Table.Fault("edge_error", "give how far the edge may be from straight", "must not be less than zero")
	}
	e.most = limit / math.Sqrt(3)
	e.bow = k.Free(Term{Name: "bow", U: 1})
	if e.b-e.a > edgeSag {
		k.Warn("contacts", "support the edge at 0.22 of its length from either end, or take shorter stretches that "+
			"overlap",
			"an edge resting %s apart sags under its own weight; only its bow of ± %s is counted",
			length.Position(e.b-e.a, k.Unit)+" "+k.Unit.String(),
			length.Small(limit, k.Unit)+" "+k.Unit.Small().String())
	}
	return e
}

// gap returns the equation of a gap that lies between two values, mm, or is at most the greater one where the lesser is
// zero: a gap is never less than nothing, and that none could be seen or felt says no more. u is how sure the limits
// are.
func (e edge) gap(z, least, most, u float64) Equation {
	t := (z - e.a) / (e.b - e.a)
	q := Equation{
		Position: z,
		Parts:    []bed.Addend{e.sees.At(z, 1), e.sees.At(e.a, t-1), e.sees.At(e.b, -t)},
		Shares:   []Share{{e.bow, 4 * t * (1 - t) * e.most}},
		Reading:  most, U: u, Side: AtMost,
	}
	if least > 0 {
		q.Reading, q.Half, q.Side = (least+most)/2, (most-least)/2, Between
	}
	return q
}

// straightedge is a gap under a straightedge felt with leaves: it lies between the thickest that goes and the thinnest
// that does not.
func straightedge() Method {
	return Method{
		Name: "straightedge", Columns: []string{"position", "goes", "stops"},
		U: 0.002, Why: "thickness of a feeler leaf and the burr on it: common practice, no source; the step from " +
			"leaf to leaf is counted apart",
		Unseen: "a straightedge sees only how a way bends between its two contacts",
		New: func(k *Keys) func(Row) []Equation {
			e := newEdge(k)
			goes, stops := k.Column("goes"), k.Column("stops")
			return func(r Row) []Equation {
				return []Equation{e.gap(k.position(r), r.Numbers[goes]*k.scale, r.Numbers[stops]*k.scale, k.u)}
			}
		},
	}
}
