package testcut

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/accord"
)

// IsTOML says whether a file is TOML and not CSV: by its name, or by its first line that says anything.
func IsTOML(name string, data []byte) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".toml":
		return true
	case ".csv", ".tsv":
		return false
	}
	for line := range strings.Lines(strings.TrimPrefix(string(data), "\uFEFF")) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			return strings.HasPrefix(line, "[") || strings.Contains(line, "=")
		}
	}
	return false
}

type CheckJobJSON struct {
	shop.HeadJSON
	Features    []CheckedFeatureJSON `json:"features"`
	Verdict     string               `json:"verdict"`
	ChiSquare   *float64             `json:"chi_square"`
	Freedom     *int                 `json:"freedom"`
	Probability *float64             `json:"probability"`
	Assumed     []string             `json:"assumed"`
	Warnings    []string             `json:"warnings"`
}

// CheckedFeatureJSON is one feature beside its prediction, or why it is not compared.
type CheckedFeatureJSON struct {
	Name     string  `json:"name"`
	Compared bool    `json:"compared"`
	Why      *string `json:"why"`
	*CheckedJSON
}

// BareDifferences makes room for the features' names: people have the measured diameters before them, and read the
// differences.
func BareDifferences(t show.Table) show.Table {
	for i := range t.Columns {
		if t.Columns[i].Key == "diameter" {
			t.Columns[i].Data = true
		}
	}
	return t
}

// Overall says how the part as a whole compares.
func Overall(p *shop.Part, checks []*compensate.Check, all accord.Result, stated bool) string {
	what, agree, not := fmt.Sprintf("The %d features", len(checks)), "agree", "do not agree"
	if len(checks) == 1 {
		what, agree, not = "The part", "agrees", "does not agree"
	}
	switch {
	case !stated:
		return what + " cannot be judged as a whole, as the wear has no ±."
	case all.Probability >= compensate.Alarm:
		return fmt.Sprintf("%s %s with the prediction as a whole (%s).", what, agree, say.ByChance(all))
	}
	return fmt.Sprintf("%s %s with the prediction as a whole (%s).", what, not, say.ByChance(all))
}

// Causes returns what says of a taper what would make it where the tailstock's centre carries the work; nil where it
// does not.
func Causes(p *shop.Part) func(slope float64) string {
	switch p.Held.Way {
	case work.Centres:
		between := p.JobFile.Job.Part.Length
		return func(slope float64) string {
			off := -p.Held.Machine.Lathe.Post() * slope * between / 2
			side := "toward the operator"
			if off < 0 {
				side = "away from the operator"
			}
			return fmt.Sprintf("A tailstock's centre that stands %s further %s than was reckoned would make it.",
				p.Small(math.Abs(off)), side)
		}
	case work.ChuckAndCentre:
		return func(float64) string {
			return "A tailstock's centre that stands elsewhere than was reckoned would make it."
		}
	}
	return nil
}

// FeatureAt returns the number of the feature at a position on the drawing, mm, with that name where one is given; or
// what is wrong with it.
func FeatureAt(p *shop.Part, z float64, called string) (number int, message, hint string) {
	const near = 0.01 // mm: what rounding of a position may make
	var there []int
	var names []string
	for i, f := range p.JobFile.Job.Features {
		names = append(names, f.Name)
		if z >= f.From-near && z <= f.To+near && (called == "" || strings.EqualFold(called, f.Name)) {
			there = append(there, i)
		}
	}
	switch {
	case len(there) == 1:
		return there[0], "", ""
	case len(there) > 1:
		return 0, "several features lie there", "name the one that was measured in a column feature"
	case called != "" && !slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, called) }):
		return 0, fmt.Sprintf("%q is no feature of the job", called), "it has " + word.List(names)
	case called != "":
		return 0, fmt.Sprintf("%s does not lie on %s", p.At(z), called),
			"positions count from the part's headstock end, as on the drawing"
	}
	return 0, fmt.Sprintf("no feature lies at %s", p.At(z)),
		"positions count from the part's headstock end, as on the drawing"
}
