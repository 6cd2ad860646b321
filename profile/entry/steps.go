package entry

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"wornway/profile/document"
)

// What a step cannot be done for, as people are told it.
var (
	ErrNothing   = errors.New("nothing has been read yet")
	ErrNoStation = errors.New("all stations are read")
	ErrOneWay    = errors.New("readings by this method are not taken on the way back")
	ErrReturning = errors.New("this is the way back already")
	ErrAgain     = errors.New("it is being measured again already")
	ErrNotRead   = errors.New("nothing has been read there")
	ErrNotBack   = errors.New("the way back has not come there yet")
)

// back is the column of the readings on the way back.
const back = "back"

// Returning says whether the way back has begun.
func (e *Entry) Returning() bool { return slices.Contains(e.Columns, back) }

// CanReturn says whether the method takes readings on the way back.
func (e *Entry) CanReturn() bool { return slices.Contains(e.Method.Also, back) }

// Repeating says whether the next station is one that was read and is measured again; its row then is the row's index.
func (e *Entry) Repeating() (row int, yes bool) {
	row = e.again - 1
	if row < 0 || row >= len(e.Rows) || len(e.Left) == 0 || !e.Rows[row].At.same(e.Left[0]) {
		return 0, false
	}
	return row, true
}

// rest is what is left once nothing is measured again.
func (e *Entry) rest() []Station {
	if _, yes := e.Repeating(); yes {
		return e.Left[1:]
	}
	return e.Left
}

// rowAt is the index of the row of a station, −1 where there is none; of several the last one that has been read in the
// direction of now, or has not.
func (e *Entry) rowAt(s Station, read bool) int {
	for i, r := range slices.Backward(e.Rows) {
		if r.At.same(s) && read == e.CanAgain(i) {
			return i
		}
	}
	return -1
}

// Last is the index of the row that was read last, on the way back of the one read last there; −1 where there is
// none.
func (e *Entry) Last() int {
	if !e.Returning() {
		return len(e.Rows) - 1
	}
	return slices.IndexFunc(e.Rows, func(r Row) bool { return r.Cells[back] != empty })
}

// Read takes a reading at the next station: the text of each cell by its column, of the column back on the way back.
func (e *Entry) Read(cells map[string]string) ([]byte, error) {
	if len(e.Left) == 0 {
		return nil, ErrNoStation
	}
	i, repeating := e.Repeating()
	if e.Returning() && !repeating {
		if i = e.rowAt(e.Left[0], false); i < 0 {
			i = e.rowAt(e.Left[0], true)
		}
	}
	var read change
	switch row := e.row(e.Left[0], cells); {
	case e.Returning() && i < 0:
		return nil, fmt.Errorf("there is no row at %s to come back to", places(e.Left[0]))
	case e.Returning():
		read = e.setBack(i, cells[back])
	case repeating:
		read = func(d *document.Document) ([]byte, error) {
			return d.Set(fmt.Sprintf("%s[%d]", e.path("rows"), i+1), row)
		}
	default:
		read = func(d *document.Document) ([]byte, error) { return d.Append(e.path("rows"), row) }
	}
	return e.steps(append(e.without(again), read, e.leave(e.Left[1:]))...)
}

// setBack writes what was read on the way back into a row.
func (e *Entry) setBack(row int, cell string) change {
	path := fmt.Sprintf("%s[%d][%d]", e.path("rows"), row+1, slices.Index(e.Columns, back)+1)
	return func(d *document.Document) ([]byte, error) { return d.Set(path, cell) }
}

// row writes a row in the order of the columns.
func (e *Entry) row(at Station, cells map[string]string) string {
	var out []string
	for _, c := range e.Columns {
		text, ok := cells[c]
		if i := slices.Index(e.places(), c); i >= 0 {
			text, ok = Decimal(at[i]), true
		}
		if !ok {
			text = empty
		}
		out = append(out, text)
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// Skip leaves the next station out; of one that was to be measured again the first reading stays.
func (e *Entry) Skip() ([]byte, error) {
	if len(e.Left) == 0 {
		return nil, ErrNoStation
	}
	return e.steps(append(e.without(again), e.leave(e.Left[1:]))...)
}

// Again puts the station that was read last before all that are left; the reading there is replaced when the new one
// comes, and until then it stays.
func (e *Entry) Again() ([]byte, error) {
	i := e.Last()
	if i < 0 {
		return nil, ErrNothing
	}
	return e.anew(i)
}

// AgainAt is Again for a station that was read earlier; where it was read more than once, the last of these readings is
// replaced.
func (e *Entry) AgainAt(s Station) ([]byte, error) {
	i := e.rowAt(s, true)
	switch {
	case i >= 0:
		return e.anew(i)
	case e.rowAt(s, false) >= 0:
		return nil, ErrNotBack
	}
	return nil, ErrNotRead
}

// CanAgain says whether a row can be measured again now: on the way back only once it has been read there.
func (e *Entry) CanAgain(row int) bool { return !e.Returning() || e.Rows[row].Cells[back] != empty }

// anew asks for a row once more, in place of another that was to be.
func (e *Entry) anew(row int) ([]byte, error) {
	if i, yes := e.Repeating(); yes && i == row {
		return nil, ErrAgain
	}
	return e.steps(e.leave(slices.Concat([]Station{e.Rows[row].At}, e.rest())),
		func(d *document.Document) ([]byte, error) { return d.Set(e.path(again), strconv.Itoa(row+1)) })
}

// Return starts the way back: all rows once more, the last one first.
func (e *Entry) Return() ([]byte, error) {
	switch {
	case !e.CanReturn():
		return nil, ErrOneWay
	case e.Returning():
		return nil, ErrReturning
	case len(e.Rows) == 0:
		return nil, ErrNothing
	}
	var stations []Station
	all := []change{
		func(d *document.Document) ([]byte, error) { return d.Append(e.path("columns"), document.Quote(back)) },
	}
	for i, r := range e.Rows {
		stations = slices.Insert(stations, 0, r.At)
		all = append(all, func(d *document.Document) ([]byte, error) {
			return d.Append(fmt.Sprintf("%s[%d]", e.path("rows"), i+1), empty)
		})
	}
	return e.steps(slices.Concat(all, e.without(again), []change{e.leave(stations)})...)
}

// Undo takes back the last reading, or that it was to be measured again, or the way back where nothing was read on it;
// what else may have been answered meanwhile it does not know.
func (e *Entry) Undo() ([]byte, error) {
	if _, yes := e.Repeating(); yes {
		return e.Skip()
	}
	i := e.Last()
	switch {
	case e.Returning() && i < 0:
		return e.steps(append(e.oneWay(), e.leave(nil))...)
	case i < 0:
		return nil, ErrNothing
	}
	rest := e.leave(append([]Station{e.Rows[i].At}, e.Left...))
	return e.steps(func(d *document.Document) ([]byte, error) {
		if e.Returning() {
			return e.setBack(i, empty)(d)
		}
		return d.Remove(fmt.Sprintf("%s[%d]", e.path("rows"), i+1))
	}, rest)
}

// oneWay takes the column of the way back out again.
func (e *Entry) oneWay() []change {
	k := slices.Index(e.Columns, back) + 1
	var all []change
	for i := range e.Rows {
		all = append(all, func(d *document.Document) ([]byte, error) {
			return d.Remove(fmt.Sprintf("%s[%d][%d]", e.path("rows"), i+1, k))
		})
	}
	return append(all, func(d *document.Document) ([]byte, error) {
		return d.Remove(fmt.Sprintf("%s[%d]", e.path("columns"), k))
	})
}

// Done ends the survey. A way back on which nothing was read leaves no trace.
func (e *Entry) Done() ([]byte, error) {
	if len(e.Rows) == 0 {
		return nil, ErrNothing
	}
	var all []change
	if e.Returning() && e.Last() < 0 {
		all = e.oneWay()
	}
	return e.steps(slices.Concat(all, e.under())...)
}
