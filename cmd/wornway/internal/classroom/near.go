package classroom

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"

	"wornway/compensate/cause"
	"wornway/compensate/exercise"
)

// otherNames are what people write for a cause beside its name.
var otherNames = map[string]cause.Kind{
	"none": cause.AsSurveyed, "nothing": cause.AsSurveyed, "nothing-wrong": cause.AsSurveyed, "wear": cause.WornOn,
	"more-wear": cause.WornOn, "worn": cause.WornOn, "spindle": cause.Lean, "spindle-leans": cause.Lean,
	"tailstock": cause.SetOver, "setover": cause.SetOver, "pushoff": cause.PushOff, "can't-tell": exercise.CannotTell,
	"cant-tell": exercise.CannotTell,
}

// causeOf reads the name of a cause as people write it.
func causeOf(text string) (cause.Kind, bool) {
	text = joined(text)
	if k, ok := otherNames[text]; ok {
		return k, true
	}
	var names []string
	for _, k := range append(exercise.Causes(), exercise.CannotTell) {
		names = append(names, string(k))
	}
	name, ok := nearest(text, names)
	return cause.Kind(name), ok
}

// joined writes words as names are written: small letters, with hyphens.
func joined(text string) string {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return r == ' ' || r == '_' || r == '-'
	})
	return strings.ReplaceAll(strings.Join(words, "-"), "’", "'")
}

// nearest is the one name that a text is, but for a slip or two of the pen: one letter in four at most.
func nearest(text string, names []string) (string, bool) {
	const letters = 4
	if slices.Contains(names, text) {
		return text, true
	}
	found, least, alone := "", math.MaxInt, false
	for _, n := range names {
		switch d := slips(text, n); {
		case d < least:
			found, least, alone = n, d, true
		case d == least:
			alone = false
		}
	}
	return found, alone && least <= min(2, len(found)/letters)
}

// slips is how many letters are put in, left out or changed between two words, after V. Levenshtein, from memory.
func slips(a, b string) int {
	s, t := []rune(a), []rune(b)
	const far = 64
	if len(s) > far {
		return len(s)
	}
	row := make([]int, len(t)+1)
	for j := range row {
		row[j] = j
	}
	for i, r := range s {
		before := row[0]
		row[0] = i + 1
		for j, u := range t {
			d := before
			if r != u {
				d++
			}
			before = row[j+1]
			row[j+1] = min(d, row[j]+1, before+1)
		}
	}
	return row[len(t)]
}

var errNoNumber = errors.New("is not a number")

// strengthOf reads a strength; a per cent sign goes with a share of the wear alone.
func strengthOf(text string, k cause.Kind) (float64, error) {
	bare, share := strings.CutSuffix(strings.TrimSpace(text), "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(bare), 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) || share && k != cause.WornOn {
		return 0, errNoNumber
	}
	return v, nil
}
