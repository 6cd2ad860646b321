package ask

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/word"
	"wornway/profile/entry"
)

// elsewhere takes an answer that names another station than the next one: at 8 goes there next, again 8 measures it
// once more. It says whether it was one.
func (r *Recording) elsewhere(text string) (bool, error) {
	text = strings.ToLower(text)
	if where, is := strings.CutPrefix(text, "again "); is {
		return true, r.againAt(strings.TrimPrefix(strings.TrimSpace(where), "at "))
	}
	if where, is := strings.CutPrefix(text, "at "); is {
		return true, r.goTo(where)
	}
	return false, nil
}

// station reads the one that an answer names; false where what is wrong with it has been said.
func (r *Recording) station(where, such string) (entry.Station, bool) {
	stations, err := r.Listed(where)
	if err == nil && len(stations) != 1 {
		err = fmt.Errorf("one station is needed, such as %s", such)
	}
	if err != nil {
		r.tell(Refused, word.Upper(plainError(err))+".")
		return nil, false
	}
	return stations[0], true
}

// goTo makes a station the next one.
func (r *Recording) goTo(where string) error {
	station, ok := r.station(where, "at 8")
	if !ok {
		return nil
	}
	read := slices.ContainsFunc(r.Under.Rows, func(row entry.Row) bool { return slices.Equal(row.At, station) })
	if id := "twice " + r.place(station); read && !r.Under.Returning() && !r.told[id] {
		r.told[id] = true
		r.turn.Mends = append(r.turn.Mends, r.againWords(station))
		r.tell(Refused, fmt.Sprintf("%s was read already. To replace that reading, type: %s. Type at %s once more for "+
			"a second reading there: then both count.", r.place(station), r.againWords(station), r.short(station)))
		return nil
	}
	next, err := r.Under.First(station)
	if err != nil {
		r.tell(Refused, word.Upper(err.Error())+".")
		return nil
	}
	return r.write(next)
}

// againAt asks for a station anew that was read before, and goes on then where the survey was.
func (r *Recording) againAt(where string) error {
	station, ok := r.station(where, "again 8")
	if !ok {
		return nil
	}
	next, err := r.Under.AgainAt(station)
	switch {
	case errors.Is(err, entry.ErrNotRead):
		r.tell(Refused, fmt.Sprintf("Nothing has been read at %s in this survey%s.", r.place(station), r.readAt()))
		return nil
	case err != nil:
		r.tell(Refused, word.Upper(err.Error())+".")
		return nil
	}
	if err := r.write(next); err != nil {
		return err
	}
	i, _ := r.Under.Repeating()
	var was []string
	for _, c := range r.Under.Wanted() {
		was = append(was, strings.TrimSuffix(strings.Trim(r.Under.Rows[i].Cells[c], `"`), ".0"))
	}
	r.tell(Meaning, fmt.Sprintf("At %s stands %s. The next reading takes its place; skip keeps it.", r.place(station),
		strings.TrimRight(strings.Join(was, ", ")+" "+r.Under.Unit(), " ")))
	return nil
}

// readAt names the stations that have been read, where they are few enough to be named.
func (r *Recording) readAt() string {
	const most = 12
	var out []string
	for _, row := range r.Under.Rows {
		out = append(out, r.short(row.At))
	}
	if len(out) == 0 || len(out) > most {
		return ""
	}
	return ", only at " + strings.Join(out, ", ")
}

// againWords is the answer that measures a station anew.
func (r *Recording) againWords(s entry.Station) string { return "again " + r.short(s) }

// such is a station of the survey, for examples of an answer; of one without any, what a station looks like.
func (r *Recording) such() string {
	all := slices.Clone(r.Under.Left)
	for _, row := range r.Under.Rows {
		all = append(all, row.At)
	}
	switch {
	case len(all) > 0:
	case r.Method.Stretches():
		return "8 12"
	default:
		return "8"
	}
	return r.short(all[len(all)/2])
}

// short writes where a station is, as it can be typed.
func (r *Recording) short(s entry.Station) string {
	return strings.ReplaceAll(strings.TrimSuffix(r.place(s), " "+r.In.String()), " to ", " ")
}
