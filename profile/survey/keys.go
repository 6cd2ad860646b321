package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/profile/bar"
	"wornway/profile/bed"
	"wornway/profile/document"
	"wornway/profile/length"
	"wornway/profile/wear"
)

// Machine is what a survey needs to know of the lathe.
type Machine struct {
	Lathe bed.Lathe
	Base  *bed.Base // nil: the profile has no [lathe.tailstock]
	Unit  length.Unit
	Ways  [2]float64 // the stretch of ways, mm
	// how far work turns in the chuck under a moment, radians per N·mm; 0: not known, taken as rigid
	Turning float64
}

// Keys reads what one [[survey]] says besides its rows. What is wrong goes to the document's faults; what is needed and
// missing too.
type Keys struct {
	Machine
	Table   *document.Table
	Columns []string // of the rows
	Warn    func(key, hint, format string, args ...any)

	method Method
	terms  []Term
	rows   []Row   // all of them, once equations are made
	count  int     // rows as written, likewise
	u      float64 // standard uncertainty of a reading, mm or radians
	scale  float64 // mm or radians per unit of a reading
	reach  wear.Reach

	offers []choice          // choices made, for the slips that another would be
	tipped float64           // where the tip stands, mm, where it was asked for
	words  map[string]string // words in place of what the table says, for such a slip
	offset *float64          // likewise where the tip stands
}

// least is a millimetre as people with the file's unit write it.
func (k *Keys) least() string {
	if k.Unit == length.Inch {
		return "0.04 in"
	}
	return "1 mm"
}

// Free adds a free term and returns its index.
func (k *Keys) Free(t Term) int {
	k.terms = append(k.terms, t)
	return len(k.terms) - 1
}

// ZeroName is the name of the term that is added to all readings of a survey alike.
const ZeroName = "zero"

// Zero adds the survey's arbitrary zero.
func (k *Keys) Zero() Share { return Share{k.Free(Term{Name: ZeroName, Flat: true}), 1} }

// Column returns the index of a column, −1 where the rows do not have it.
func (k *Keys) Column(name string) int { return slices.Index(k.Columns, name) }

// U returns the standard uncertainty of one reading, mm or radians.
func (k *Keys) U() float64 { return k.u }

// Scale returns how many mm (or radians) one unit of a reading is.
func (k *Keys) Scale() float64 { return k.scale }

// Length reads a length in the file's unit and returns mm.
func (k *Keys) Length(key string, otherwise float64) float64 {
	v, ok := k.Table.Number(key)
	if !ok {
		return otherwise
	}
	if math.Abs(v.V) > 1e6 {
		k.Table.Fault(key, "check the number and the file's unit", "is more than any lathe has")
		return otherwise
	}
	return k.Unit.ToMM(v.V)
}

// Choice reads one of a few words; the first of them is taken where the key is absent, unless it is needed.
func (k *Keys) Choice(key string, needed bool, of ...string) string {
	word := k.choice(key, needed, of)
	k.offers = append(k.offers, choice{key, word, of})
	return word
}

func (k *Keys) choice(key string, needed bool, of []string) string {
	if w, ok := k.words[key]; ok {
		return w
	}
	v, ok := k.Table.Text(key)
	quoted := make([]string, len(of))
	for i, o := range of {
		quoted[i] = fmt.Sprintf("%q", o)
	}
	list := strings.Join(quoted, ", ")
	if !ok {
		if needed && !k.Table.Has(key) {
			k.Table.Missing(key, "one of "+list)
		}
		return of[0]
	}
	if !slices.Contains(of, v.V) {
		k.Table.Fault(key, "write one of these, as it stands here", "must be one of %s", list)
		return of[0]
	}
	return v.V
}

// Held reads how something was held, one of some ways; in the chuck where the key is absent. Files of before have
// spindle for chuck.
func (k *Keys) Held(of ...bar.Holding) bar.Holding {
	words := names(of...)
	if v, ok := k.Table.Text("held"); ok {
		if h, err := bar.Parse(v.V); err == nil && slices.Contains(of, h) {
			k.offers = append(k.offers, choice{"held", string(h), words})
			return h
		}
	}
	return bar.Holding(k.Choice("held", false, words...))
}

// Flag reads true or false; false where the key is absent.
func (k *Keys) Flag(key string) bool {
	v, _ := k.Table.Bool(key)
	return v.V
}

// Contacts reads where a straightedge rests, mm.
func (k *Keys) Contacts() (a, b float64) {
	v, ok := k.Table.Numbers("contacts")
	switch {
	case ok && len(v.V) == 2 && v.V[0] < v.V[1]:
		a, b = k.Unit.ToMM(v.V[0]), k.Unit.ToMM(v.V[1])
		const near, shortest = 1e-6, 1 // mm
		if k.Ways[0] < k.Ways[1] && (a < k.Ways[0]-near || b > k.Ways[1]+near) {
			k.Table.Fault("contacts", "make lathe.bed longer, or correct the positions", "must lie on lathe.bed")
		} else if b-a < shortest {
			k.Table.Fault("contacts", "they are positions along the bed, in the file's unit",
				"are nearer to each other than %s", k.least())
		} else {
			return a, b
		}
	case ok:
		k.Table.Fault("contacts", "the two places where the edge touches, headstock end first",
			"must be two positions that ascend")
	case !k.Table.Has("contacts"):
		k.Table.Missing("contacts", "the two places where the edge touches, for instance contacts = [2.0, 26.0]")
	}
	return 0, 1
}

// TipOffset reads where the tip or the level stands against the middle of what carries it, mm.
func (k *Keys) TipOffset(otherwise float64) float64 {
	k.tipped = k.Length("tip_offset", otherwise)
	if k.offset != nil {
		k.tipped = *k.offset
	}
	return k.tipped
}

// base returns the tailstock's base, or notes that the profile has none.
func (k *Keys) base() bed.Base {
	if k.Base == nil {
		k.Table.Fault("method", "add [lathe.tailstock] with front_way_setback, rear_way_setback and base_length",
			"needs to know the tailstock's ways")
		return bed.Base{FrontSetback: 0, RearSetback: 1, Length: 1}
	}
	if !(k.Base.FrontSetback < k.Base.RearSetback) || k.Base.Length < 1 {
		k.Table.Fault("method", "in [lathe.tailstock] both setbacks count from the front carriage way, so that "+
			"rear_way_setback is the greater",
			"needs the tailstock's two ways apart and its base longer than %s", k.least())
		return bed.Base{FrontSetback: 0, RearSetback: 1, Length: 1}
	}
	return *k.Base
}

// way returns the drop of a carriage way, or metal lost from a flank of the V, as seen by something that touches it
// squarely.
func (k *Keys) way(key, name string) bed.Sum {
	switch name {
	case "rear":
		return bed.At(bed.Rear, 0)
	case "tail-front":
		return bed.TailDrop(bed.TailFront)
	case "tail-rear":
		return bed.TailDrop(bed.TailRear)
	case "outer", "inner":
		v := k.Lathe.V
		if v == nil {
			k.Table.Fault(key, "a flat front way is called front", "there is no flank on a flat front way")
			return bed.At(bed.Front, 0)
		}
		if name == "outer" {
			return bed.At(bed.Front, 0).Times(math.Cos(v.Outer)).Plus(bed.At(bed.Shift, 0).Times(-math.Sin(v.Outer)))
		}
		return bed.At(bed.Front, 0).Times(math.Cos(v.Inner)).Plus(bed.At(bed.Shift, 0).Times(math.Sin(v.Inner)))
	}
	return bed.At(bed.Front, 0)
}

// readings reads what readings are written in and how sure they are.
func (k *Keys) readings() {
	k.scale = k.Unit.MM()
	if k.method.Level {
		k.scale = k.perDivision()
	} else if v, ok := k.Table.Text("reading_unit"); ok {
		u, err := length.ParseUnit(v.V)
		if err != nil {
			k.Table.Fault("reading_unit", "write one of these, as it stands here", `must be "in", "thou", "mm" or "um"`)
		}
		k.scale = u.MM()
	}
	k.u = k.method.U
	if k.method.Level {
		k.u *= k.scale
	}
	if v, ok := k.Table.Number("uncertainty"); ok {
		if v.V <= 0 {
			k.Table.Fault("uncertainty", "no reading is exact: leave it out to take the method's own",
				"must be greater than zero")
			return
		}
		// mm or radians: nothing in a shop reads finer, and with less the sums lose their figures
		const finest, coarsest = 1e-9, 1e3
		if u := v.V * k.scale; u < finest || u > coarsest {
			k.Table.Fault("uncertainty", "it is the standard uncertainty of one reading, in the reading's own unit",
				"is not what anything in a shop reads to")
			return
		}
		k.u = v.V * k.scale
		const coarse = 0.5 // mm
		if !k.method.Level && k.u > coarse {
			k.Warn("uncertainty", "give the standard uncertainty of one reading, in the unit of the readings",
				"readings that are only sure to %s tell nothing about wear",
				length.Position(k.u, k.Unit)+" "+k.Unit.String())
		}
	}
}

// perDivision reads the sensitivity of a level, as a slope for one division.
func (k *Keys) perDivision() float64 {
	const usual = 0.02e-3
	v, ok := k.Table.Scalar("per_division")
	if !ok {
		if !k.Table.Has("per_division") {
			k.Table.Missing("per_division", `as it stands on the level: "0.02 mm/m" or "0.0005 in/ft"`)
		}
		return usual
	}
	slope, isNumber := v.V.(float64)
	if !isNumber {
		s, err := length.ParseSlope(v.V.(string))
		if err != nil {
			k.Table.Fault("per_division", `write it as "0.02 mm/m" or "0.0005 in/ft"`, "is not a slope")
			return usual
		}
		slope = float64(s)
	}
	if !(slope > 0) || slope > 0.01 {
		k.Table.Fault("per_division", "0.02 mm/m is 0.00002",
			"must be a slope greater than zero and not more than 0.01")
		return usual
	}
	return slope
}
