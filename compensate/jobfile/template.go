package jobfile

import (
	"fmt"
	"strings"

	"wornway/profile/form"
	"wornway/profile/length"
)

// Template returns a commented job file: the keys that were answered with their values, the others as comments with an
// example, each with what it is and how to decide it. Of the features the first is commented; of the others there are
// the answers alone.
func Template(unit length.Unit, answers form.Answers, features ...form.Answers) string {
	var b strings.Builder
	b.WriteString("# A part to be turned. Take the # away from a line to fill it in; what stands behind an = there " +
		"is an example, not your part.\n")
	b.WriteString("# Positions count along the part from its headstock end. Forces are in newtons, angles in " +
		"degrees.\n\n")
	fmt.Fprintf(&b, "format = 1\nunit = %q # every length in this file\n", unit.String())
	table := ""
	for _, k := range Keys() {
		if t := k.Table(); t != table {
			table = t
			header := "[" + t + "]"
			if t == "feature" {
				header = "[[" + t + "]]"
			}
			fmt.Fprintf(&b, "\n%s%s%s\n", form.Off(open(t, answers)), header, note(t))
		}
		if table == "feature" && len(features) > 0 {
			k.Write(&b, unit, features[0])
		} else {
			k.Write(&b, unit, answers)
		}
	}
	for _, f := range features[min(1, len(features)):] {
		b.WriteString("\n[[feature]]\n")
		for _, k := range Keys() {
			if v, ok := f[k.Path]; ok {
				fmt.Fprintf(&b, "%s = %s\n", k.Name(), v)
			}
		}
	}
	return b.String()
}

// open says whether a table's header is to stand: those that every job needs, and those of which something was
// answered.
func open(table string, answers form.Answers) bool {
	if table == "job" || table == "feature" {
		return true
	}
	for path := range answers {
		if (form.Key{Path: path}).Table() == table {
			return true
		}
	}
	return false
}

func note(table string) string {
	return map[string]string{
		"job.cut":         " # the finishing cut; without this table the work's bending is left out",
		"job.cut.collars": " # the surest way to the force: two collars tell it",
		"feature":         " # one such block for each length that is turned",
	}[table]
}
