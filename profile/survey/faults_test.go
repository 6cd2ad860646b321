package survey_test

import (
	"testing"

	"wornway/profile"
)

// What is wrong with a survey, each with its place in the file and how to put it right. The survey begins on line 9.
func TestFaults(t *testing.T) {
	const methods = `"stated", "carriage-lock", "light-gap", "straightedge", "carriage-indicator", ` +
		`"tailstock-indicator", "way-micrometer", "level-along", "level-across", "saddle-level", "saddle-rock", ` +
		`"bar-side", "bar-top" or "test-cut"`
	for _, c := range []struct{ name, way, tables, keys, want string }{
		{"no touch", "", tailstock, "method = 'carriage-indicator'\ncolumns = ['position', 'reading']\nrows = [[20, " +
			"0]]",
			`bed.toml:9:1: survey[1].touch: missing
  hint: one of "tail-front", "tail-rear"`},
		{"another touch", "", tailstock, "method = 'tailstock-indicator'\ntouch = 'tail-front'\ncolumns = " +
			"['position', 'reading']\nrows = [[20, 0]]",
			`bed.toml:11:9: survey[1].touch = 'tail-front': must be one of "front", "rear", "outer", "inner"
  hint: write one of these, as it stands here`},
		{"flank of a flat way", "", tailstock, "method = 'tailstock-indicator'\ntouch = 'outer'\ncolumns = " +
			"['position', 'reading']\nrows = [[20, 0]]",
			`bed.toml:11:9: survey[1].touch = 'outer': there is no flank on a flat front way
  hint: a flat front way is called front`},
		{"no tailstock", "", "", "method = 'carriage-indicator'\ntouch = 'tail-front'\ncolumns = ['position', " +
			"'reading']\nrows = [[20, 0]]",
			`bed.toml:10:10: survey[1].method = 'carriage-indicator': needs to know the tailstock's ways
  hint: add [lathe.tailstock] with front_way_setback, rear_way_setback and base_length`},
		{"no tailstock either", "", "", "method = 'tailstock-indicator'\ntouch = 'front'\ncolumns = ['position', " +
			"'reading']\nrows = [[20, 0]]",
			`bed.toml:10:10: survey[1].method = 'tailstock-indicator': needs to know the tailstock's ways
  hint: add [lathe.tailstock] with front_way_setback, rear_way_setback and base_length`},
		{"no contacts", "", "", "method = 'straightedge'\non = 'front'\ncolumns = ['position', 'goes', " +
			"'stops']\nrows = [[20, 0, 1]]",
			`bed.toml:9:1: survey[1].contacts: missing
  hint: the two places where the edge touches, for instance contacts = [2.0, 26.0]`},
		{"contacts that descend", "", "", "method = 'straightedge'\non = 'front'\ncontacts = [30, 10]\ncolumns = " +
			"['position', 'goes', 'stops']\nrows = [[20, 0, 1]]",
			`bed.toml:12:12: survey[1].contacts = [30, 10]: must be two positions that ascend
  hint: the two places where the edge touches, headstock end first`},
		{"one contact", "", "", "method = 'light-gap'\non = 'front'\ncontacts = [30]\ncolumns = ['position', " +
			"'light']\nrows = [[20, 'none']]",
			`bed.toml:12:12: survey[1].contacts = [30]: must be two positions that ascend
  hint: the two places where the edge touches, headstock end first`},
		{"contacts off the bed", "", "", "method = 'light-gap'\non = 'front'\ncontacts = [30, 50]\ncolumns = " +
			"['position', 'light']\nrows = [[20, 'none']]",
			`bed.toml:12:12: survey[1].contacts = [30, 50]: must lie on lathe.bed
  hint: make lathe.bed longer, or correct the positions`},
		{"no edge", "", "", "method = 'straightedge'\ncontacts = [10, 30]\ncolumns = ['position', 'goes', " +
			"'stops']\nrows = [[20, 0, 1]]",
			`bed.toml:9:1: survey[1].on: missing
  hint: one of "front", "rear", "outer", "inner", "tail-front", "tail-rear"`},
		{"edge error", "", "", "method = 'straightedge'\non = 'rear'\nedge_error = -1\ncontacts = [10, 12]\ncolumns " +
			"= ['position', 'goes', 'stops']\nrows = [[20, 0, 1]]",
			`bed.toml:12:14: survey[1].edge_error = -1: must not be less than zero
  hint: give how far the edge may be from straight`},
		{"goes and stops", "", "", "method = 'straightedge'\non = 'rear'\ncontacts = [10, 12]\ncolumns = " +
			"['position', 'goes', 'stops']\nrows = [[11, 0, 1], [11, 2, 2], [11, 3, 2],\n [11, -1, 2]]",
			`bed.toml:14:22: survey[1].rows: row 2: the leaf that goes must be thinner than the one that does not
  hint: write 0 for goes where none goes
bed.toml:14:34: survey[1].rows: row 3: the leaf that goes must be thinner than the one that does not
  hint: write 0 for goes where none goes
bed.toml:15:3: survey[1].rows: row 4: the leaf that goes must be thinner than the one that does not
  hint: write 0 for goes where none goes`},
		{"no stops", "", "", "method = 'straightedge'\non = 'rear'\ncontacts = [10, 12]\ncolumns = ['position', " +
			"'goes']\nrows = [[11, 0]]",
			`bed.toml:13:11: survey[1].columns = ['position', 'goes']: column "stops" is missing
  hint: the columns of straightedge are position, goes, stops`},
		{"feel", "", "", "method = 'carriage-lock'\ntightened_at = 30\ncolumns = ['position', 'feel']\nrows = [[20, " +
			"3], [20, 4], [20, 1.5]]",
			`bed.toml:13:19: survey[1].rows: row 2: feel must be 0, 1, 2 or 3
  hint: 0 free, 1 drags, 2 tight, 3 will not move
bed.toml:13:28: survey[1].rows: row 3: feel must be 0, 1, 2 or 3
  hint: 0 free, 1 drags, 2 tight, 3 will not move`},
		{"nowhere tightened", "", "", "method = 'carriage-lock'\ncolumns = ['position', 'feel']\nrows = [[20, 3]]",
			`bed.toml:9:1: survey[1].tightened_at: missing
  hint: where the carriage stood when the lock was tightened lightly`},
		{"light", "", "", "method = 'light-gap'\non = 'rear'\ncontacts = [10, 12]\ncolumns = ['position', " +
			"'light']\nrows = [[11, 'none'], [11, 'bright'], [11, 2]]",
			`bed.toml:14:24: survey[1].rows: row 2: light must be "none", "some" or "wide"
  hint: what is seen between edge and way against a lamp
bed.toml:14:40: survey[1].rows: row 3: light must be "none", "some" or "wide"
  hint: what is seen between edge and way against a lamp`},
		{"no per_division", "", "", "method = 'saddle-level'\ncolumns = ['position', 'reading']\nrows = [[20, 0]]",
			`bed.toml:9:1: survey[1].per_division: missing
  hint: as it stands on the level: "0.02 mm/m" or "0.0005 in/ft"`},
		{"per_division without a length", "", "", "method = 'saddle-level'\nper_division = '0.02'\ncolumns = " +
			"['position', 'reading']\nrows = [[20, 0]]",
			`bed.toml:11:16: survey[1].per_division = '0.02': is not a slope
  hint: write it as "0.02 mm/m" or "0.0005 in/ft"`},
		{"per_division too big", "", "", "method = 'level-across'\nper_division = 0.02\ncolumns = ['position', " +
			"'reading']\nrows = [[20, 0]]",
			`bed.toml:11:16: survey[1].per_division = 0.02: must be a slope greater than zero and not more than 0.01
  hint: 0.02 mm/m is 0.00002`},
		{"a level in thou", "", "", "method = 'level-across'\nper_division = 2e-5\nreading_unit = 'thou'\ncolumns = " +
			"['position', 'reading']\nrows = [[20, 0]]",
			`bed.toml:12:1: survey[1].reading_unit: unknown key
  hint: keys known here: again, columns, date, file, left_out, method, per_division, rows, stations, uncertainty, unfinished`},
		{"feet of a level", "", "", "method = 'level-along'\non = 'front'\nper_division = 2e-5\ncolumns = ['from', " +
			"'to', 'reading']\nrows = [[20, 20, 0], [22, 20, 0]]",
			`bed.toml:14:10: survey[1].rows: row 1: from must be nearer to the headstock than to
  hint: from and to are where the level's two feet stand
bed.toml:14:23: survey[1].rows: row 2: from must be nearer to the headstock than to
  hint: from and to are where the level's two feet stand`},
		{"unit", "", "", "method = 'bar-side'\nreading_unit = 'mil'\ncolumns = ['position', 'reading']\nrows = [[20, " +
			"0]]",
			`bed.toml:11:16: survey[1].reading_unit = 'mil': must be "in", "thou", "mm" or "um"
  hint: write one of these, as it stands here`},
		{"uncertainty", "", "", "method = 'bar-side'\nuncertainty = 0\ncolumns = ['position', 'reading']\nrows = " +
			"[[20, 0]]",
			`bed.toml:11:15: survey[1].uncertainty = 0: must be greater than zero
  hint: no reading is exact: leave it out to take the method's own`},
		{"held", "", "", "method = 'bar-side'\nheld = 'taper'\ncolumns = ['position', 'reading']\nrows = [[20, 0]]",
			`bed.toml:11:8: survey[1].held = 'taper': must be one of "chuck", "centres"
  hint: write one of these, as it stands here`},
		{"diameter", "", "", "method = 'test-cut'\ncolumns = ['position', 'diameter']\nrows = [[20, 1], [18, 0], " +
			"[16, -1]]",
			`bed.toml:12:19: survey[1].rows: row 2: the diameter must be greater than zero
  hint: write what the micrometer read
bed.toml:12:28: survey[1].rows: row 3: the diameter must be greater than zero
  hint: write what the micrometer read`},
		{"micrometer over a V", vee, "", "method = 'way-micrometer'\non = 'front'\ncolumns = ['position', " +
			"'reading']\nrows = [[20, 0]]",
			`bed.toml:11:6: survey[1].on = 'front': a micrometer needs a flat way: the top of a V does not wear
  hint: read the flanks, or the drop by another method`},
		{"method", "", "", "method = 'guess'\ncolumns = ['position', 'reading']\nrows = [[20, 0]]",
			`bed.toml:10:10: survey[1].method = 'guess': must be ` + methods + `
  hint: write one of these, as it stands here`},
		{"no method", "", "", "columns = ['position', 'reading']\nrows = [[20, 0]]",
			`bed.toml:9:1: survey[1].method: missing
  hint: one of ` + methods},
		{"position", "", "", "method = 'bar-side'\ncolumns = ['position', 'reading']\nrows = [[20, 0], [45, 0]]",
			`bed.toml:12:19: survey[1].rows: row 2, position: 45 lies outside lathe.bed
  hint: make lathe.bed longer, or correct the position`},
		{"column", "", "", "method = 'bar-side'\ncolumns = ['position', 'readings']\nrows = [[20, 0]]",
			`bed.toml:11:11: survey[1].columns = ['position', 'readings']: there is no column "readings"
  hint: the columns of bar-side are position, reading, back
bed.toml:11:11: survey[1].columns = ['position', 'readings']: column "reading" is missing
  hint: the columns of bar-side are position, reading, back`},
		{"twice", "", "", "method = 'bar-side'\ncolumns = ['position', 'reading', 'reading']\nrows = [[20, 0, 0]]",
			`bed.toml:11:11: survey[1].columns = ['position', 'reading', 'reading']: column "reading" stands twice
  hint: leave one of them out`},
		{"nothing stated", "", "", "method = 'stated'\ncolumns = ['position']\nrows = [[20]]",
			`bed.toml:11:11: survey[1].columns = ['position']: nothing is said of the wear
  hint: add front, rear or shift`},
		{"no rows", "", "", "method = 'bar-side'\ncolumns = ['position', 'reading']\nrows = []",
			`bed.toml:12:8: survey[1].rows = []: there are no readings
  hint: give a row for each reading`},
		{"unknown key", "", "", "method = 'bar-side'\nturn = true\ncolumns = ['position', 'reading']\nrows = [[20, 0]]",
			`bed.toml:11:1: survey[1].turn: unknown key
  hint: keys known here: again, columns, date, file, held, left_out, method, reading_unit, rows, stations, ` +
				`tip_offset, turned, uncertainty, unfinished`},
		{"reading beyond reason", "", "", "method = 'bar-side'\ncolumns = ['position', 'reading']\nrows = [[20, " +
			"1e300]]",
			`bed.toml:12:10: survey[1].rows: row 1: reading 1e+300 is more than any lathe has
  hint: check the number and its unit`},
		{"uncertainty beyond reason", "", "", "method = 'bar-side'\nuncertainty = 1e-300\ncolumns = ['position', " +
			"'reading']\nrows = [[20, 0]]",
			`bed.toml:11:15: survey[1].uncertainty = 1e-300: is not what anything in a shop reads to
  hint: it is the standard uncertainty of one reading, in the reading's own unit`},
		{"tailstock ways in one", "", "[lathe.tailstock]\nfront_way_setback = 3\nrear_way_setback = 3\nbase_length = " +
			"6\n", "method = 'carriage-indicator'\ntouch = 'tail-front'\ncolumns = ['position', 'reading']\nrows = " +
			"[[20, 0]]",
			`bed.toml:10:10: survey[1].method = 'carriage-indicator': needs the tailstock's two ways ` +
				`apart and its base longer than 0.04 in
  hint: in [lathe.tailstock] both setbacks count from the front carriage way, so that rear_way_setback is the greater`},
		{"a gap in the reference", "", "", "method = 'saddle-level'\nper_division = 2e-5\ncolumns = ['position', " +
			"'reading', 'reference']\nrows = [[20, 3, 1], [22, 3, '']]",
			`bed.toml:13:22: survey[1].rows: row 2: the reference was not read, which the other rows are counted from
  hint: write what it read, or leave the row out`},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := "format = 1\nunit = 'in'\nlathe.centre_height = 6\nlathe.way_span = 8\nlathe.bed = [-8, 44]\n"
			if c.way != "" {
				text += "lathe." + c.way
			}
			text += "\nlathe.saddle = { bearing_length = 11 }\n\n[[survey]]\n" + c.keys + "\n" + c.tables
			_, err := profile.Parse(nil, "bed.toml", []byte(text))
			got := ""
			if err != nil {
				got = err.Error()
			}
			if got != c.want {
				t.Errorf("faults\n%s\nwant\n%s", got, c.want)
			}
		})
	}
}
