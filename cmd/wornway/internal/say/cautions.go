package say

import "wornway/compensate"

// MeasureCautions go with what is done at the machine.
var MeasureCautions = []string{
	"Measure, level and indicate with the spindle stopped and the machine isolated. Chuck key out, no gloves, " +
		"sleeves rolled tight.",
	"A test cut is turning: guards in place, eyes protected, nothing long unsupported. The shop's own rules and " +
		"local codes come first.",
}

const SettingHolds = "A setting holds to the next position; “error left” is the greatest error until then."

func FeedName(f compensate.Feed) string {
	if f == compensate.TowardTailstock {
		return "tailstock"
	}
	return "headstock"
}

var CutCautions = []string{
	"Read the list before the cut. Turn the dial from the wheel side; never reach over the chuck or the work, and " +
		"stop short of the jaws.",
	"Measure with the spindle stopped. Chuck key out, no gloves, sleeves rolled tight, no loose hair. The shop's own " +
		"rules and local codes come first.",
}
