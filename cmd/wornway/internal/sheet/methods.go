package sheet

import "wornway/profile/survey"

// InOrderOfSurvey are the methods as one would take them up: quick and without the machine turning first.
func InOrderOfSurvey() []survey.Method {
	var out []survey.Method
	for _, name := range []string{"carriage-lock", "light-gap", "straightedge", "way-micrometer", "level-across",
		"level-along", "saddle-level", "saddle-rock", "carriage-indicator", "tailstock-indicator", "bar-side",
		"bar-top", "test-cut"} {
		if m, ok := survey.Find(name); ok {
			out = append(out, m)
		}
	}
	return out
}
