package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/profile/length"
)

// Slip is one way in which a survey may have been read or written down wrongly as a whole, and the survey as it would
// be then.
type Slip struct {
	Name string // as it is asked for: sign, tenfold, mm, …
	If   string // completes "it agrees with the others if …"
	Set  Set
	// Odds is how likely it is beforehand among the slips with the survey; together they make 1.
	Odds float64
	// Gain is the logarithm of how much denser the readings lie once they are changed, for all of them: to be added to
	// the logarithm of a density of the changed readings when it is compared with one of the readings as written.
	// Without it, whatever makes readings smaller would seem to fit better.
	Gain float64
}

// amendment is how a survey would have to be changed.
type amendment struct {
	name, words string
	row         func(r Row) Row
	scale       float64           // of the readings' unit; 0: as it is
	wholly      bool              // what the survey says of its uncertainty is in that unit too
	keyWords    map[string]string // keys with other words
	offset      *float64          // another tip_offset, mm
	gain        float64           // by reading
}

// choice is a choice among words that a method has made.
type choice struct {
	key, chosen string
	of          []string
}

// Slips returns the usual slips with a survey of the method: read with the wrong sign, in another unit, by a factor of
// ten, at shifted or reversed positions, on another way. Which slips are usual is common practice, no source.
func (s Set) Slips() []Slip {
	if s.reading == nil {
		return nil
	}
	var out []Slip
	sum := 0.0
	for _, c := range s.reading.slips() {
		set := s.reading.with(c)
		n := 0.0
		for _, e := range set.Equations {
			if e.Side == Value {
				n++
			}
		}
		out = append(out, Slip{Name: c.name, If: c.words, Set: set, Odds: usual(c.name), Gain: n * c.gain})
		sum += usual(c.name)
	}
	for i := range out {
		out[i].Odds /= sum
	}
	return out
}

// usual returns how usual a slip is beside the others: common practice, no source.
func usual(name string) float64 {
	switch name {
	case "sign":
		return 6
	case "tenfold", "tenth", "radius", "diameter":
		return 2
	}
	return 1
}

// with returns the survey as it would be, once changed.
func (r *Reading) with(c amendment) Set {
	k := r.keys
	k.terms, k.rows, k.count, k.offers = nil, nil, 0, nil
	k.words, k.offset = c.keyWords, c.offset
	k.Warn = func(string, string, string, ...any) {}
	if c.scale > 0 {
		k.scale *= c.scale
		if c.wholly {
			k.u *= c.scale
		}
	}
	other := &Reading{keys: k, count: r.count, back: r.back}
	other.equations = k.method.New(&other.keys)
	for _, row := range slices.DeleteFunc(slices.Concat(r.rows, r.bins), func(row Row) bool { return row.Count == 0 }) {
		if c.row != nil {
			row.Numbers = slices.Clone(row.Numbers)
			row = c.row(row)
		}
		other.rows = append(other.rows, row)
	}
	return other.Set()
}

// slips returns the changes that would undo the usual slips.
func (r *Reading) slips() []amendment {
	k := &r.keys
	var out []amendment
	out = append(out, r.readingSlips()...)
	out = append(out, r.placeSlips()...)
	for _, o := range k.offers {
		for _, word := range o.of {
			// Front and rear are mixed up, or the flanks, but hardly a tailstock's way with the carriage's.
			if word == o.chosen || strings.HasPrefix(word, "tail-") != strings.HasPrefix(o.chosen, "tail-") ||
				o.key != "on" && o.key != "touch" || !k.has(word) || k.method.Name == "way-micrometer" &&
				word == "front" && k.Lathe.V != nil {
				continue
			}
			words := fmt.Sprintf("what it touched is %s and not %s", wayWords(word), wayWords(o.chosen))
			out = append(out, amendment{name: word, words: words, keyWords: map[string]string{o.key: word}})
		}
	}
	return out
}

// has says whether the lathe has a way or flank of that name, to be touched by itself.
func (k *Keys) has(way string) bool {
	switch way {
	case "outer", "inner":
		return k.Lathe.V != nil
	case "front":
		return k.Lathe.V == nil || k.method.Name == "level-along"
	}
	return true
}

// wayWords says which way or flank is meant.
func wayWords(name string) string {
	switch name {
	case "outer", "inner":
		return "the V's " + name + " flank"
	case "tail-front", "tail-rear":
		return "the tailstock's " + strings.TrimPrefix(name, "tail-") + " way"
	}
	return "the " + name + " way"
}

// readingSlips are those with the readings themselves.
func (r *Reading) readingSlips() []amendment {
	k := &r.keys
	m := k.method
	columns := k.columnsOf("reading", "back", "reference", "goes", "stops")
	times := func(f float64, columns []int) func(Row) Row {
		return func(row Row) Row {
			for _, c := range columns {
				row.Numbers[c] *= f
			}
			return row
		}
	}
	var out []amendment
	if k.Column("reading") >= 0 && m.Name != saddleRock().Name { // which has no side
		words := "plus and minus of the indicator are exchanged"
		switch {
		case m.Level:
			words = "the bubble was read the other way round"
		case m.Name == "way-micrometer":
			words = "what was read grows as the way wears"
		}
		out = append(out, amendment{name: "sign", words: words, row: times(-1, columns)})
	}
	if len(columns) > 0 {
		out = append(out,
			amendment{name: "tenfold", words: "its readings are ten times what is written", row: times(10, columns),
				gain: math.Log(10)},
			amendment{name: "tenth", words: "its readings are a tenth of what is written", row: times(0.1, columns),
				gain: -math.Log(10)})
		if !m.Level {
			out = append(out, r.unitSlips(columns)...)
		}
	}
	if d := k.Column("diameter"); d >= 0 {
		middle, n := 0.0, 0.0
		for _, row := range r.rows {
			n++
			middle += (row.Numbers[d] - middle) / n
		}
		about := func(f float64) func(Row) Row {
			return func(row Row) Row {
				row.Numbers[d] = middle + f*(row.Numbers[d]-middle)
				return row
			}
		}
		out = append(out,
			amendment{name: "sign", words: "the differences between its diameters have the wrong sign", row: about(-1)},
			amendment{name: "radius", words: "its differences were noted on radius", row: about(2), gain: math.Log(2)},
			amendment{name: "diameter", words: "its differences were doubled", row: about(0.5), gain: -math.Log(2)})
	}
	front, rear := k.Column("front"), k.Column("rear")
	if front >= 0 && rear >= 0 {
		out = append(out, amendment{name: "exchanged", words: "front and rear are exchanged", row: func(row Row) Row {
			row.Numbers[front], row.Numbers[rear] = row.Numbers[rear], row.Numbers[front]
			return row
		}})
	}
	if drops := k.columnsOf("front", "rear", "shift", "outer", "inner"); len(drops) > 0 {
		out = append(out, amendment{name: "sign", words: "its drops count the other way", row: times(-1, drops)})
		out = append(out, r.unitSlips(drops)...)
	}
	if shift := k.columnsOf("shift"); len(shift) > 0 {
		out = append(out, amendment{name: "shift", words: "its shift counts the other way", row: times(-1, shift)})
	}
	return out
}

// unitSlips are readings written in another unit than they are said to be in. What is said of their uncertainty is then
// in that unit too; but nobody who reads to a thou is unsure by an inch.
func (r *Reading) unitSlips(columns []int) []amendment {
	k := &r.keys
	var out []amendment
	for _, name := range []string{"in", "thou", "mm", "um"} {
		u, err := length.ParseUnit(name)
		if err != nil || u.MM() == k.scale {
			continue
		}
		f := u.MM() / k.scale
		out = append(out, amendment{name: name, words: "its readings are in " + name, scale: f,
			wholly: k.Table.Has("uncertainty") && f < 1, gain: math.Log(f)})
	}
	return out
}

// placeSlips are those with where it was read.
func (r *Reading) placeSlips() []amendment {
	k := &r.keys
	columns := k.columnsOf("position", "from", "to")
	var at []float64
	for _, row := range r.rows {
		at = append(at, row.Numbers[columns[0]])
	}
	if len(at) < 3 {
		return nil
	}
	slices.Sort(at)
	by := func(d float64) func(Row) Row {
		return func(row Row) Row {
			for _, c := range columns {
				row.Numbers[c] += d
			}
			return row
		}
	}
	var out []amendment
	var steps []float64
	for i := range len(at) - 1 {
		steps = append(steps, at[i+1]-at[i])
	}
	slices.Sort(steps)
	shift := func(name, words string, d float64) {
		least, most := k.Unit.ToMM(at[0]+d), k.Unit.ToMM(at[len(at)-1]+d)
		if d != 0 && least >= k.Ways[0] && most <= k.Ways[1] {
			out = append(out, amendment{name: name, words: words, row: by(d)})
		}
	}
	step := steps[len(steps)/2]
	shift("step-on", "its positions are one step further from the headstock", step)
	shift("step-back", "its positions are one step nearer to the headstock", -step)
	if o := k.Lathe.Saddle.ToolOffset; o != 0 && k.Column("from") < 0 {
		shift("middle", "its positions are those of the saddle's middle and not the tool's", k.Unit.From(o))
		if offset := k.tipped; offset != 0 {
			other := -offset
			out = append(out, amendment{name: "offset", words: "the tip stood on the other side of the middle",
				offset: &other})
		}
	}
	if k.Column("from") < 0 {
		first, last := at[0], at[len(at)-1]
		out = append(out, amendment{name: "reversed", words: "its rows are written from the other end",
			row: func(row Row) Row {
				row.Numbers[columns[0]] = first + last - row.Numbers[columns[0]]
				return row
			}})
	}
	return out
}

// columnsOf returns the indices of those of the columns that the rows have.
func (k *Keys) columnsOf(names ...string) []int {
	var out []int
	for _, n := range names {
		if i := k.Column(n); i >= 0 {
			out = append(out, i)
		}
	}
	return out
}

// Misread returns what would bring a single reading that is off by so much, mm or radians, to what the others say of it
// within their uncertainty u: completes "it fits if …". It is empty where no usual slip does. What is usual is common
// practice, no source.
func (m Method) Misread(reading, off, u float64) string {
	const (
		within = 2.5 // standard deviations
		better = 4.0 // times nearer than as written
	)
	expected := reading - off
	fits := func(v float64) bool {
		return math.Abs(v-expected) < within*u && math.Abs(v-expected)*better < math.Abs(off)
	}
	plain := slices.Contains(m.Columns, "reading")
	switch {
	case plain && fits(-reading):
		return "its sign is changed"
	case plain && fits(reading/10):
		return "it is a tenth of what is written"
	case plain && fits(reading*10):
		return "it is ten times what is written"
	case m.Level:
		return ""
	}
	for _, turn := range []struct {
		mm    float64
		words string
	}{{1, "a hand or thimble that goes round in 1 mm was read a turn wrong"},
		{0.5, "a thimble that goes round in 0.5 mm was read a turn wrong"},
		{0.635, "a thimble that goes round in 25 thou was read a turn wrong"},
		{2.54, "a hand that goes round in 100 thou was read a turn wrong"}} {
		if fits(reading-turn.mm) || fits(reading+turn.mm) {
			return turn.words
		}
	}
	return ""
}
