package profile

import (
	"fmt"
	"strings"

	"wornway/profile/form"
	"wornway/profile/length"
)

// Answers are values for a new profile, as TOML text, by the path of their key.
type Answers = form.Answers

// Template returns a commented profile: the keys that were answered with their values, the others as comments with an
// example, each with what it is and how to measure it. Its rows of wear are the answer to "wear.rows".
func Template(unit length.Unit, answers Answers) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# A lathe's wear profile. Take the # away from a line to fill it in; what stands behind an = "+
		"there is an example, not your lathe.\n")
	fmt.Fprintf(&b, "# Positions count along the bed from the spindle nose, plus toward the tailstock. Angles are in "+
		"degrees.\n\n")
	fmt.Fprintf(&b, "format = 1\nunit = %q # every length in this file\n", unit.String())
	table := ""
	for _, k := range Keys() {
		if t := k.Table(); t != table {
			table = t
			fmt.Fprintf(&b, "\n%s[%s]%s\n", form.Off(tableOpen(t, answers)), t, tableNote(t))
		}
		k.Write(&b, unit, answers)
	}
	writeWear(&b, unit, answers)
	b.WriteString("\n# What eye and fingernail find; it enters no number, but is shown where it matters.\n")
	from, to := "6.0", "6.5"
	if unit == length.Millimetre {
		from, to = "150.0", "165.0"
	}
	fmt.Fprintf(&b, "# [[damage]]\n# way = \"front\"\n# from = %s\n# to = %s\n# note = \"scar\"\n", from, to)
	return b.String()
}

// tableOpen says whether a table's header is to stand: those that every profile needs, and those of which something was
// answered.
func tableOpen(table string, answers Answers) bool {
	if table == "lathe" || table == "lathe.saddle" {
		return true
	}
	for path := range answers {
		if strings.HasPrefix(path, table+".") {
			return true
		}
	}
	return false
}

func tableNote(table string) string {
	return map[string]string{
		"lathe.front_way":   " # a V; leave this table out for a flat front way",
		"lathe.cross_slide": " # needed for corrections",
		"lathe.compound":    " # only to correct by the compound; its angle counts from the bed's axis",
		"lathe.tailstock":   " # only for readings that have to do with the tailstock's ways",
		"lathe.spindle":     " # only where a test bar told",
		"lathe.holding":     " # needed to plan how a part is held",
	}[table]
}

func writeWear(b *strings.Builder, unit length.Unit, answers Answers) {
	rows, stated := answers["wear.rows"]
	if !stated {
		rows = "[ [-8.0, 0.0, 0.0, 0.0], [6.0, 0.005, 0.002, 0.001], [44.0, 0.0, 0.0, 0.0] ]"
		if unit == length.Millimetre {
			rows = "[ [-200.0, 0.0, 0.0, 0.0], [150.0, 0.12, 0.05, 0.02], [1100.0, 0.0, 0.0, 0.0] ]"
		}
	}
	o := form.Off(stated)
	fmt.Fprintf(b, "\n# Wear that is known already: a drop is plus when the way has sunk, a shift is plus toward the "+
		"operator. Positions ascend.\n")
	fmt.Fprintf(b, "# In place of front and shift the metal lost from the flanks can be given, as outer and inner. "+
		"file = \"wear.csv\" in place of rows reads a CSV file.\n")
	fmt.Fprintf(b, "%s[wear]\n%scolumns = [\"position\", \"front\", \"rear\", \"shift\"]\n", o, o)
	for _, k := range WearKeys() {
		k.Write(b, unit, answers)
	}
	fmt.Fprintf(b, "%srows = %s\n", o, rows)
}
