package ask

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile/collars"
	"wornway/profile/document"
	"wornway/profile/entry"
	"wornway/profile/length"
	"wornway/profile/survey"
)

// table is a table of collars into which a cut is recorded. The conversation is the one over a profile of which no more
// is known than that one survey; only what is on disk looks otherwise: the rows stand in the table, and below the last
// of them, in comments, whatever else has been answered, until the cut is finished.
type table struct {
	file string
	unit length.Unit // of positions, diameters and depths
	text string      // of the file but for the cut under way
	cut  int         // its number
	seen []float64   // where the cut before was measured, in the unit
	disk []byte      // of the file as it is; nil: there is none yet
}

// under begins a line that holds a key of the cut under way.
const under = "#: "

// heads is the line that names the columns which record writes.
var heads = strings.Join(collars.Columns, ",")

// IsTable says whether readings in a file are a table of collars' and no profile's: where there is none yet its name
// says so.
func IsTable(file string) bool {
	info, err := os.Stat(file)
	if errors.Is(err, fs.ErrNotExist) {
		return env.EndingOf(file) == ".csv"
	}
	if err != nil || !info.Mode().IsRegular() {
		return false
	}
	data, err := document.ReadFile(os.DirFS(filepath.Dir(file)), filepath.Base(file))
	return err == nil && collars.Is(data)
}

// openTable reads a table, and returns with it the profile's text over which the conversation goes.
func openTable(e *env.Env, file string, unit length.Unit) (*table, []byte, error) {
	t := &table{file: file, unit: unit, cut: 1}
	if _, err := os.Stat(file); err == nil {
		if t.disk, err = e.Contents(file, "a table of collars", ""); err != nil {
			return nil, nil, err
		}
	}
	var keys, rows []string
	for line := range strings.Lines(string(t.disk)) {
		if key, is := strings.CutPrefix(line, under); is {
			keys = append(keys, strings.TrimRight(key, "\r\n"))
		}
	}
	number := strconv.Itoa(t.number(keys))
	for line := range strings.Lines(string(t.disk)) {
		cells := strings.Split(strings.TrimSpace(line), ",")
		switch {
		case strings.HasPrefix(line, under):
		case len(keys) > 0 && len(cells) == len(collars.Columns) && cells[2] == number:
			rows = append(rows, "["+cells[0]+", "+cells[1]+"],\n")
		default:
			t.text += line
		}
	}
	if t.text == "" {
		t.text = fmt.Sprintf("# Collars: positions, diameters and depths in %s.\n%s\n", unit, heads)
	}
	if err := t.look(); err != nil {
		return nil, nil, err
	}
	name := map[length.Unit]string{length.Inch: "in", length.Millimetre: "mm"}[unit]
	const far = 25_000 // mm: a profile takes a bed twice as long
	text := fmt.Sprintf("format = 1\nunit = %q\n[lathe]\ncentre_height = %[2]v\nway_span = %[2]v\n"+
		"bed = [-%[3]v, %[3]v]\n[lathe.saddle]\nbearing_length = 0\n", name,
		entry.Decimal(unit.From(150)), entry.Decimal(unit.From(far)))
	if len(keys) > 0 {
		t.cut = t.number(keys)
		text += "[[survey]]\n" + strings.Join(keys[1:], "\n") + "\n"
		if started(keys) {
			text += "rows = [\n" + strings.Join(rows, "") + "]\n"
		}
	}
	return t, []byte(text), nil
}

// number is that of the cut under way, which the first of its lines names; 0 where none is.
func (t *table) number(keys []string) int {
	if len(keys) == 0 {
		return 0
	}
	n, _ := strconv.Atoi(strings.TrimPrefix(keys[0], "cut = "))
	return n
}

func started(keys []string) bool {
	return slices.ContainsFunc(keys, func(k string) bool { return strings.HasPrefix(k, "columns ") })
}

// look takes from the cuts that are in the table what the next one needs to know.
func (t *table) look() error {
	for line := range strings.Lines(t.text) {
		if line = strings.TrimSpace(line); line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		if strings.ReplaceAll(strings.ToLower(line), " ", "") != heads {
			return refuse.With(t.file+": record adds a cut only to a table whose first line is "+heads,
				"put ,cut,depth behind that line and ,1, behind each of its rows, or give another name")
		}
		break
	}
	read, err := collars.Parse(t.file, []byte(t.text), t.unit, t.unit)
	if err := rowFaults(err); err != nil {
		return err
	}
	for _, c := range read.Cuts {
		t.cut, t.seen = c.Number+1, nil
		for _, z := range c.Positions {
			t.seen = append(t.seen, t.unit.From(z))
		}
	}
	if t.cut > collars.Most {
		return refuse.With(t.file+": it holds as many cuts as can be used", "begin another table")
	}
	return nil
}

// rowFaults leaves of what is wrong with a table that is not whole yet what is wrong with single rows.
func rowFaults(err error) error {
	var all, rows document.Faults
	if !errors.As(err, &all) {
		return err
	}
	for _, f := range all {
		if f.Line > 0 {
			rows = append(rows, f)
		}
	}
	return rows.Err()
}

// written returns the table as it is on disk once the conversation's text says so. e is the cut: under way or, where
// done, finished; nil: not begun.
func (t *table) written(text []byte, e *entry.Entry, done bool) ([]byte, error) {
	var b strings.Builder
	b.WriteString(t.text)
	if e == nil {
		return []byte(t.text), nil
	}
	if !strings.HasSuffix(t.text, "\n") {
		b.WriteString("\n")
	}
	if done {
		fmt.Fprintf(&b, "# Cut %d", t.cut)
		for line := range strings.Lines(string(text)) {
			key, value, _ := strings.Cut(strings.TrimSpace(line), " = ")
			if key == "date" || key == "held_at" || key == "uncertainty" {
				fmt.Fprintf(&b, ", %s %s", strings.ReplaceAll(key, "_", " "), value)
			}
		}
		b.WriteString(".\n")
	}
	for _, r := range e.Rows {
		fmt.Fprintf(&b, "%s,%s,%d,%s\n", whole(r.At[0]), r.Cells["diameter"], t.cut, e.Word("depth"))
	}
	if !done {
		fmt.Fprintf(&b, "%scut = %d\n", under, t.cut)
		_, block, _ := strings.Cut(string(text), "[[survey]]\n")
		block, rows, _ := strings.Cut(block, "rows = [")
		_, behind, _ := strings.Cut(rows, "\n]\n")
		for line := range strings.Lines(block + behind) {
			b.WriteString(under + strings.TrimRight(line, "\r\n") + "\n")
		}
	}
	out := []byte(b.String())
	_, err := collars.Parse(t.file, out, t.unit, t.unit)
	return out, rowFaults(err)
}

// whole writes a position.
func whole(z float64) string { return strings.TrimSuffix(entry.Decimal(z), ".0") }

// put puts the table on disk as the conversation's text has it. Before and now are the cut under way as it was and as
// it is; where it is gone but the text has it still, it is finished.
func (t *table) put(text []byte, before, now *entry.Entry, write func(string, []byte, []byte) error) error {
	done := now == nil && strings.Contains(string(text), "[[survey]]")
	if done {
		now = before
	}
	out, err := t.written(text, now, done)
	if err != nil {
		return err
	}
	if t.disk == nil {
		write = func(file string, _, out []byte) error { return disk.WriteNew(file, out, false) }
	}
	if err := write(t.file, t.disk, out); err != nil {
		return err
	}
	t.disk = out
	return nil
}

// questions leaves of a cut's questions those whose answers a table can hold, or the commands that read it ask for.
func (t *table) questions(all []survey.Question) []survey.Question {
	return slices.DeleteFunc(all, func(q survey.Question) bool {
		return q.Key == "held" || q.Key == "feed" || q.Key == "reading_unit"
	})
}

// command is what records into the table.
func (t *table) command() string {
	return fmt.Sprintf("wornway record %s --reading-unit %s", t.file, t.unit)
}

// collar says how a collar compares with the first of its cut.
func (r *Recording) collar(row int) {
	rows := r.Under.Rows
	if row < 1 {
		r.tell(Meaning, "Written down; the next ones are compared with it.")
		return
	}
	var d [2]float64
	for i, k := range []int{0, row} {
		v, err := strconv.ParseFloat(rows[k].Cells["diameter"], 64)
		if err != nil {
			return
		}
		d[i] = r.In.ToMM(v)
	}
	const much = 0.3 // mm on diameter, more than a worn bed makes: common practice, no source
	if math.Abs(d[1]-d[0]) > much {
		r.turn.Mends = append(r.turn.Mends, "again")
		defer r.tell(Odd, "That is more than a worn bed makes. Look at the micrometer and what was typed: again takes "+
			"a new reading.")
	}
	switch off := d[1] - d[0]; {
	case off > 0:
		r.tell(Meaning, fmt.Sprintf("%s bigger than at %s.", r.Small(off), r.place(rows[0].At)))
	case off < 0:
		r.tell(Meaning, fmt.Sprintf("%s smaller than at %s.", r.Small(-off), r.place(rows[0].At)))
	default:
		r.tell(Meaning, fmt.Sprintf("As at %s.", r.place(rows[0].At)))
	}
}

// finished says what to do with the table next.
func (t *table) finished(r *Recording, e *entry.Entry) {
	read, err := collars.Parse(t.file, t.disk, t.unit, t.unit)
	said := fmt.Sprintf("Done: %s of cut %d in %s.", word.Count(len(e.Rows), "collar"), t.cut, t.file)
	if err != nil {
		r.tell(Plain, fmt.Sprintf("%s It takes %d collars in all before they can be used. This adds a cut:", said,
			collars.Fewest))
		r.tell(Command, t.command())
		return
	}
	from, to := read.Range()
	command := fmt.Sprintf("wornway predict %s --reading-unit %s --from %s --to %s --diameter %s%s", t.file, t.unit,
		r.Bare(from), r.Bare(to), r.Bare(read.Diameter()), t.unit)
	if v := e.Word("held_at"); v != "" {
		command += " --held-at " + strings.TrimSuffix(v, ".0") + t.unit.String()
	}
	if v := e.Word("uncertainty"); v != "" {
		command += " --uncertainty " + v + t.unit.String()
	}
	r.tell(Plain, said+" Next, with --held chuck-and-centre where the tailstock held the bar:")
	r.tell(Command, command)
}
