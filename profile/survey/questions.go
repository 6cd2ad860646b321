package survey

import (
	"slices"
	"strings"

	"wornway/profile/bar"
	"wornway/profile/length"
)

// Kind is what the answer to a Question is.
type Kind int

// The kinds.
const (
	Word      Kind = iota // one of a few words
	Distance              // a length or position
	Ends                  // two positions that ascend
	Slope                 // what one division of a level is
	YesNo                 // true where it is so
	Precision             // the standard uncertainty of one reading, in the reading's unit
	Day                   // a date
)

// Question asks for one key of a survey.
type Question struct {
	Key  string
	Kind Kind
	What string   // what is asked for, in a line
	How  string   // how it is found or what the answers mean
	Of   []string // the words, for Word
	// Along: a Distance is a position along the bed, or how far something stands out along it, not a small one
	Along bool
	// Needed: the survey cannot be read without it. Otherwise an empty answer leaves the key out, and Else says what is
	// then taken.
	Needed bool
	Else   string
	// Usual is the word that an empty answer stands for, where it is to be written down as if it had been given.
	Usual string
	// If says, by the answers before it, whether it is to be asked at all; nil: always.
	If func(answer func(key string) string) bool
}

// Setup says in a few sentences how a survey of the method is taken: what stands where, and which way a reading counts.
func (m Method) Setup() string { return setups[m.Name] }

// Plus says, as a clause, what a reading of the method is plus for; empty where readings have no sign to be minded.
func (m Method) Plus() string {
	_, after, _ := strings.Cut(m.Setup(), "Plus: ")
	return strings.TrimSuffix(after, ".")
}

var setups = map[string]string{
	"carriage-lock": "Tighten the carriage lock lightly at one place and leave it so. At each station slide " +
		"the carriage there by hand and feel: 0 free, 1 drags, 2 tight, 3 will not move.",
	"light-gap": "Rest the straightedge at its two contacts with a lamp behind it, and look: none, some or " +
		"wide (n, s, w).",
	"straightedge": "Rest the straightedge at its two contacts. At each station give the thickest leaf that " +
		"goes, 0 for none, and the thinnest that stops.",
	"carriage-indicator": "Stand the indicator on the saddle, its tip on the tailstock way. Slide the carriage by " +
		"hand, always coming from the same side. Plus: the plunger goes in.",
	"tailstock-indicator": "Stand the indicator on the tailstock's base, its tip on the carriage way. Slide the " +
		"tailstock by hand, unclamped. Plus: the plunger goes in.",
	"way-micrometer": "Measure from the way's top to its unworn underside, always at the same distance from the " +
		"edge.",
	"level-along": "Set the level along the way on its two feet and let the bubble come to rest. Plus: the " +
		"tailstock's side is high.",
	"level-across": "Bridge both carriage ways with the level, always the same way round. Plus: the " +
		"operator's side is high.",
	"saddle-level": "Lay the level across the saddle and leave it there. A position is that of the tool. " +
		"Plus: the operator's side is high, where the bubble runs.",
	"saddle-rock": "With the machine isolated, stand an indicator at a rear corner of the saddle. Press down on that " +
		"corner, then on the other rear corner, and read how far it differs. A position is that of the tool. Always " +
		"plus.",
	"bar-side": "Stand the indicator on the saddle, its tip at centre height on the operator's side of " +
		"the bar. A position is that of the tool. Plus: the plunger goes in.",
	"bar-top": "Stand the indicator on the saddle, its tip on top of the bar. A position is that of the " +
		"tool. Plus: the plunger goes in.",
	"test-cut": "Turn the collars at one setting of the dial. Leave the tailstock away where the chuck " +
		"alone is to hold the work. Unsupported stock: about 3 diameters is usual, 5 is the limit. Stop the spindle, " +
		"and measure each collar where it lies.",
	"stated": "Write down how far the front and the rear way have sunk, plus down, and the shift of the " +
		"front way, plus toward the operator.",
}

// names are ways of holding as words.
func names(of ...bar.Holding) []string {
	var out []string
	for _, h := range of {
		out = append(out, string(h))
	}
	return out
}

// reads returns the method's question for what its tip, level or edge stands on.
func reads(key, what string, words ...string) Question {
	return Question{Key: key, Kind: Word, What: what, Of: words, Needed: true}
}

// Questions returns what is to be asked about a survey of the method on a machine, in the order in which a turner would
// set it up.
func (m Method) Questions(on Machine) []Question {
	out := []Question{{Key: "date", Kind: Day, What: "day on which the readings are taken",
		How: "year-month-day, such as 2026-03-14", Needed: true}}
	front := []string{"front"}
	if on.Lathe.V != nil {
		front = []string{"front", "outer", "inner"}
	}
	edge := slices.Concat([]string{front[0], "rear"}, front[1:], []string{"tail-front", "tail-rear"})
	tip := Question{Key: "tip_offset", Kind: Distance, Along: true,
		What: "the indicator's tip, from the middle of the saddle or base that carries it",
		How:  "along the bed, minus toward the headstock", Else: "as the tool stands"}
	held := Question{Key: "held", Kind: Word, What: "how it is held", Of: names(bar.Chuck, bar.Centres),
		Usual: string(bar.Chuck), How: "chuck for a chuck or the spindle's taper, centres for between centres"}
	turned := Question{Key: "turned", Kind: YesNo, What: "is each reading the mean of two, the bar half a turn apart?",
		How: "that takes the bar's own tilt out", Else: "no"}
	contacts := Question{Key: "contacts", Kind: Ends, What: "where the edge touches",
		How: "the positions of its two contacts, headstock end first, such as 2 26", Needed: true}
	switch m.Name {
	case "carriage-lock":
		out = append(out, Question{Key: "tightened_at", Kind: Distance, Along: true, Needed: true,
			What: "where the lock was tightened", How: "position of the tool when you tightened it lightly"})
	case "light-gap":
		out = append(out, reads("on", "way or flank that the edge lies on", edge...), contacts)
	case "straightedge":
		out = append(out, reads("on", "way or flank that the edge lies on", edge...), contacts,
			Question{Key: "edge_error", Kind: Distance, What: "how far the edge itself may be from straight",
				How: "the maker's limit", Else: "a knife edge's"})
	case "carriage-indicator":
		out = append(out, reads("touch", "tailstock way that the tip rests on", "tail-front", "tail-rear"), tip)
	case "tailstock-indicator":
		tip.Else = "0"
		out = append(out, reads("touch", "way or flank that the tip rests on",
			slices.Concat([]string{"front", "rear"}, front[1:])...),
			Question{Key: "plunger", Kind: Word, What: "how the plunger stands to the flank",
				Of: []string{"square", "vertical"}, Usual: "square", How: "square to the flank, or upright",
				If: func(answer func(string) string) bool {
					return answer("touch") == "outer" ||
						answer("touch") == "inner"
				}},
			tip)
	case "way-micrometer":
		ways := []string{"rear", "tail-front", "tail-rear"}
		if on.Lathe.V == nil {
			ways = slices.Insert(ways, 0, "front")
		}
		out = append(out, reads("on", "way that is measured", ways...))
	case "level-along":
		out = append(out, reads("on", "way that the level stands on", "front", "rear", "tail-front", "tail-rear"))
	case "bar-side":
		out = append(out, held, turned, tip)
	case "bar-top":
		out = append(out, held, turned, tip, Question{Key: "bar_diameter", Kind: Distance, What: "diameter of the bar",
			How: "a solid steel bar's own sag is then taken off", Else: "no sag taken off"},
			Question{Key: "bar_overhang", Kind: Distance, Along: true,
				What: "how far it stands out of the spindle nose",
				How:  "to its free end", Else: "no sag taken off",
				If: func(answer func(string) string) bool { return answer("bar_diameter") != "" }})
	case "test-cut":
		held.Of, held.How = names(bar.All()...), "the other end free, on the tailstock's centre, or no chuck but two "+
			"centres"
		way := func(answer func(string) string) bar.Holding {
			if h, err := bar.Parse(answer("held")); err == nil {
				return h
			}
			return bar.Chuck
		}
		out = append(out, held, Question{Key: "held_at", Kind: Distance, Along: true, What: "position of the jaws",
			How: "push-off is then allowed for", Else: "not allowed for; with the centre, half a diameter before the " +
				"first collar",
			If: func(answer func(string) string) bool { return way(answer).Gripped() }},
			Question{Key: "centre_at", Kind: Distance, Along: true, What: "position of the tailstock's centre",
				How:  "of its point",
				Else: "a diameter beyond the last collar",
				If:   func(answer func(string) string) bool { return way(answer) == bar.ChuckAndCentre }},
			Question{Key: "depth", Kind: Distance, What: "depth of cut", How: "of the last pass, on the radius",
				Else: "not noted"},
			Question{Key: "feed", Kind: Distance, What: "feed", How: "for each turn", Else: "not noted"})
	}
	if m.Level {
		out = append(out, Question{Key: "per_division", Kind: Slope, Needed: true,
			What: "what one division of the level is", How: "as it stands on the level: 0.02 mm/m or 0.0005 in/ft"})
	} else if !slices.Contains(m.Columns, "feel") && !slices.Contains(m.Columns, "light") {
		out = append(out, Question{Key: "reading_unit", Kind: Word, What: "what you read in",
			Of: []string{"in", "thou", "mm", "um"}, Usual: m.usualUnit(on.Unit),
			How: "an answer may carry another unit"})
	}
	if !slices.Contains(m.Columns, "light") && !slices.Contains(m.Columns, "feel") {
		out = append(out, Question{Key: "uncertainty", Kind: Precision, What: "how sure one reading is",
			How: "two readings in three lie within it", Else: "usual for the method"})
	}
	return out
}

// usualUnit is what such readings are usually taken in, in a shop that works in the given unit: common practice, no
// source.
func (m Method) usualUnit(file length.Unit) string {
	whole := m.Name == "way-micrometer" || m.Name == "test-cut"
	switch {
	case file == length.Inch && !whole && m.Name != "stated":
		return "thou"
	case file == length.Inch:
		return "in"
	}
	return "mm"
}
