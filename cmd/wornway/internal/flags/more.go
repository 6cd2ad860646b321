package flags

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/agnivade/levenshtein"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// TwoPositions reads two positions with a comma between, mm.
func TwoPositions(flag, given, example string, u length.Unit) (from, to float64, err error) {
	both := strings.Split(given, ",")
	if from, to, is := length.Between(given); is {
		both = []string{from, to}
	}
	if len(both) != 2 {
		return 0, 0, refuse.Usage(fmt.Sprintf("--%s %s: must be two positions with a comma between, from and to", flag,
			word.Visible(given)), example+"; decimals have a point")
	}
	var mm [2]float64
	for i := range mm {
		v, err := length.Parse(both[i])
		var fault *length.Error
		switch {
		case errors.As(err, &fault):
			hint := example
			if fault.Hint != "" {
				hint = fault.Hint + "; " + example
			}
			return 0, 0, refuse.Usage(fmt.Sprintf("--%s %s: %q %s", flag, word.Visible(given), both[i], fault.What),
				hint)
		case err != nil:
			return 0, 0, refuse.Usage(fmt.Sprintf("--%s %s: %v", flag, word.Visible(given), err), example)
		}
		if err := Sane(flag, &v, u); err != nil {
			return 0, 0, err
		}
		mm[i] = v.MM(u)
	}
	if !(mm[0] < mm[1]) || math.IsNaN(mm[1]-mm[0]) {
		return 0, 0, refuse.Usage(fmt.Sprintf("--%s %s: the first must lie nearer to the headstock", flag, given),
			example)
	}
	return mm[0], mm[1], nil
}

func MethodNames() []string {
	var out []string
	for _, m := range survey.Methods() {
		out = append(out, m.Name)
	}
	return out
}

// Method finds the method that --method names.
func Method(name string) (survey.Method, error) {
	m, ok := survey.Find(name)
	if ok {
		return m, nil
	}
	hint := "one of " + strings.Join(MethodNames(), ", ")
	if name == "" {
		return m, refuse.Usage("--method is missing", hint)
	}
	for _, n := range MethodNames() {
		if levenshtein.ComputeDistance(strings.ToLower(name), n) <= 3 {
			hint = "did you mean " + n + "?"
		}
	}
	return m, refuse.Usage(fmt.Sprintf("--method %s: there is no such method", word.Visible(name)), hint)
}
