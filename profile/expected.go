package profile

import (
	"fmt"
	"math"

	"wornway/profile/bed"
	"wornway/profile/length"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

func newDesigner(p *Profile, w *wear.Wear, from, to, diameter float64) designer {
	if w == nil {
		w = usualWear(p.Lathe.Ways)
	}
	return designer{Profile: p, wear: w, from: from, to: to, diameter: diameter}
}

// UsualDepth is how far a way of a worn bed has usually sunk at its deepest, mm: some two thou (common practice, no
// source).
const UsualDepth = 0.05

// usualWear is what is expected of a bed that nobody has looked at: some thou, deepest half a foot from the spindle
// nose, dying out within a foot or two, the rear way worn half as much (common practice, no source).
func usualWear(ways Range) *wear.Wear {
	const (
		deepest = 150.0 // mm from the spindle nose
		wide    = 250.0 // mm to where a third is left
		count   = 41
	)
	var knots []float64
	values := map[bed.Curve][]float64{}
	for i := range count {
		z := ways.From + (ways.To-ways.From)*float64(i)/(count-1)
		d := UsualDepth * math.Exp(-math.Pow((z-deepest)/wide, 2))
		knots = append(knots, z)
		values[bed.Front] = append(values[bed.Front], d)
		values[bed.Rear] = append(values[bed.Rear], d/2)
		values[bed.Shift] = append(values[bed.Shift], 0)
	}
	w, err := wear.New(knots, values)
	if err != nil { // not seen: the ways of a profile have a length, and positions ascend
		return nil
	}
	return w
}

// step is how far the saddle rises for a step of the lock's feel, mm: the carriage lock's own.
const step = 0.0254

// expect puts readings in place that the expected wear would give, where it is a matter of limits how much they say. It
// reports whether it did.
func (d *designer) expect(method string, q *block, sets []survey.Set) bool {
	if d.wear == nil || len(sets) != 1 || len(sets[0].Equations) != len(q.rows) {
		return false
	}
	var found []float64
	least := 0 // where the saddle stands lowest
	for i, e := range sets[0].Equations {
		v := 0.0
		for _, s := range e.Parts {
			v += s.Factor * d.wear.Value(s.Sum, s.At)
		}
		if found = append(found, v); v < found[least] {
			least = i
		}
	}
	var readings func(v float64) []string
	switch method {
	case "carriage-lock": // tightened where the saddle stands lowest, where it drags a little
		q.keys = fmt.Sprintf("tightened_at = %s\n", d.number(q.rows[least].at))
		readings = func(v float64) []string {
			return []string{fmt.Sprintf("%.0f", math.Min(3, math.Round(1+(v-found[least])/step)))}
		}
	case "light-gap":
		readings = func(v float64) []string {
			switch {
			case v <= 0.003:
				return []string{`"none"`}
			case v <= 0.040:
				return []string{`"some"`}
			}
			return []string{`"wide"`}
		}
	case "straightedge":
		readings = d.leaves
	default:
		return false
	}
	rows := make([]station, len(q.rows))
	for i, r := range q.rows {
		r.readings = readings(found[i])
		rows[i] = r
	}
	q.rows = rows
	return true
}

// leaves returns the feeler leaf that goes into a gap, mm, and the next one, which does not: the thinnest is 0.0015 in
// or 0.04 mm, the next ones are a thou or 0.01 mm apart (common practice, no source).
func (d *designer) leaves(gap float64) []string {
	thinnest, apart := 0.04, 0.01
	if d.Unit == length.Inch {
		thinnest, apart = length.Inch.ToMM(0.0015), length.Inch.ToMM(0.001)
	}
	if gap < thinnest {
		return []string{"0", d.number(thinnest)}
	}
	n := math.Floor((gap-thinnest)/apart + 1e-9)
	return []string{d.number(thinnest + n*apart), d.number(thinnest + (n+1)*apart)}
}
