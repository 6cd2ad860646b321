package ask

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// reading is a reading where it was taken, in whatever unit.
type reading struct {
	row      int
	z, value float64
}

// clash are two neighbours whose readings have opposite signs and would lie much nearer to each other with the same.
type clash struct {
	pair  [2]int // rows, as they lie along the bed
	wrong []int  // of these, those that may have the wrong sign: one where the readings beside them tell which
}

// opposites finds neighbours that may differ by a wrong sign, u being the uncertainty of one reading. The readings
// beside them tell which of the two is wrong, or that neither is: that which makes the run smoother. Common practice,
// no source.
func opposites(all []reading, u float64) []clash {
	const (
		clear  = 5.0 // times the uncertainty of a reading: less may be chance
		nearer = 4.0 // times
		plain  = 2.0 // times as smooth as otherwise
	)
	slices.SortStableFunc(all, func(a, b reading) int { return cmp.Compare(a.z, b.z) })
	var out []clash
	for i := range len(all) - 1 {
		a, b := all[i].value, all[i+1].value
		if min(math.Abs(a), math.Abs(b)) < clear*u || nearer*math.Abs(a+b) > math.Abs(a-b) {
			continue
		}
		around := all[max(i-2, 0):min(i+4, len(all))]
		first := i - max(i-2, 0)
		as := rough(around, -1) + u
		left, right := rough(around, first)+u, rough(around, first+1)+u
		o := clash{pair: [2]int{all[i].row, all[i+1].row}}
		switch {
		case len(around) > 2 && as < plain*min(left, right): // as they stand they lie as smoothly
			continue
		case plain*left < right:
			o.wrong = []int{o.pair[0]}
		case plain*right < left:
			o.wrong = []int{o.pair[1]}
		default:
			o.wrong = o.pair[:]
		}
		out = append(out, o)
	}
	return out
}

// rough is how far each reading lies from the straight line between those beside it, one of them with its sign changed.
func rough(all []reading, changed int) float64 {
	value := func(i int) float64 {
		if i == changed {
			return -all[i].value
		}
		return all[i].value
	}
	sum := 0.0
	for i := 1; i < len(all)-1; i++ {
		between := value(i)
		if d := all[i+1].z - all[i-1].z; d > 0 {
			between = value(i-1) + (value(i+1)-value(i-1))*(all[i].z-all[i-1].z)/d
		}
		sum += math.Abs(value(i) - between)
	}
	return sum
}

// otherSign says at once that a reading may have the wrong sign, and returns whether it said so: the estimate tells it
// only once others stand on both sides. Of two neighbours it names the one that is wrong once the others tell.
func (r *Recording) otherSign(row int) bool {
	i := r.index()
	if i < 0 || r.Under.Returning() || r.Method.Name == "saddle-rock" {
		return false
	}
	u, _ := r.Profile.Surveys[i].Set.StatesUncertainty()
	u /= r.Profile.Surveys[i].Set.Scale
	var all []reading
	for k, other := range r.Under.Rows {
		if v, err := strconv.ParseFloat(other.Cells["reading"], 64); err == nil {
			all = append(all, reading{k, other.At[0], v})
		}
	}
	for _, o := range opposites(all, u) {
		id := ""
		for _, k := range o.wrong {
			id += r.identity(k)
		}
		if r.told[id] {
			continue
		}
		r.told[id] = true
		r.odd = slices.Contains(o.wrong, row)
		r.tell(Odd, r.opposite(o, row))
		return true
	}
	return false
}

// opposite says which of two neighbours may have the wrong sign, and what to do.
func (r *Recording) opposite(o clash, row int) string {
	where := func(k int) string { return r.place(r.Under.Rows[k].At) }
	if len(o.wrong) == 2 {
		return fmt.Sprintf("%s and %s have opposite signs: look at both. %s; %s.", where(o.pair[0]), where(o.pair[1]),
			r.plus(), r.toMend(o.pair[:], row))
	}
	k := o.wrong[0]
	which := fmt.Sprintf("the reading at %s", where(k))
	if k == row {
		which = "this"
	}
	return fmt.Sprintf("With the other sign %s would lie much nearer to those beside it. %s; %s.", which, r.plus(),
		r.toMend(o.wrong, row))
}

// plus is what to do where the sign may be wrong, without a full stop.
func (r *Recording) plus() string { return strings.TrimSuffix(strings.TrimSpace(r.sign()), ".") }

// toMend says which answers measure rows anew, one of which may have been read last, and keeps them for a page.
func (r *Recording) toMend(rows []int, last int) string {
	var out []string
	for _, k := range rows {
		answer := "again"
		if k != last {
			answer = r.againWords(r.Under.Rows[k].At)
		}
		r.turn.Mends = append(r.turn.Mends, answer)
		out = append(out, answer)
	}
	if len(rows) > 1 {
		return fmt.Sprintf("answer %s, whichever is wrong", strings.Join(out, " or "))
	}
	return fmt.Sprintf("answer %s if it is wrong", strings.Join(out, " or "))
}
