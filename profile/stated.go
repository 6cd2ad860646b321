package profile

import (
	"fmt"
	"math"
	"slices"

	"wornway/profile/bed"
	"wornway/profile/document"
	"wornway/profile/form"
	"wornway/profile/length"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

// statedColumns are the names that a column of stated wear can have.
var statedColumns = []string{"position", "front", "rear", "shift", "outer", "inner"}

// stated reads [wear]; beside surveys it is one survey more.
func (r *reader) stated(t *document.Table, beside bool) {
	s := &Stated{}
	columns, ok := t.Texts("columns")
	if t.Has("columns") && (!ok || !r.statedColumns(t, columns.V)) {
		t.Has("rows")
		t.Has("file")
		t.Has("uncertainty")
		t.Has("reach")
		return
	}
	if ok {
		s.Columns = columns.V
	}
	if v, ok := r.Number(t, "uncertainty", form.Limit{AtLeast: form.Zero}); ok {
		u := r.Unit.ToMM(v)
		s.Uncertainty = &u
	}
	s.Rows, s.File, ok = r.rows(t, s.Columns, []string{"position", "front", "rear", "shift"}, nil, nil, nil)
	if s.Rows == nil {
		return
	}
	if s.Columns == nil { // the CSV file's header
		s.Columns = s.Rows.Columns
		if !r.statedColumns(t, s.Columns) {
			return
		}
	}
	if !r.statedRows(t, s, ok) || !ok {
		return
	}
	m, _ := survey.Find("stated")
	k := r.keys(t)
	if beside {
		s.set = survey.Read(m, k, s.Rows, r.Doc.Add)
		s.Reach = s.set.Reach
	} else {
		s.Reach = k.Reach()
	}
	s.asSurvey = func() survey.Set {
		k := r.keys(t)
		k.Warn = func(string, string, string, ...any) {}
		return survey.Read(m, k, s.Rows, func(document.Fault) {})
	}
	r.profile.Stated = s
}

// statedColumns checks which columns there are and that they make sense together.
func (r *reader) statedColumns(t *document.Table, columns []string) bool {
	key := "columns"
	if !t.Has(key) {
		key = "file"
	}
	good := true
	bad := func(hint, format string, args ...any) {
		t.Fault(key, hint, format, args...)
		good = false
	}
	has := func(name string) bool { return slices.Contains(columns, name) }
	for i, c := range columns {
		if !slices.Contains(statedColumns, c) {
			bad("the columns of stated wear are position, front, rear, shift, or outer and inner in place of front "+
				"and shift", "there is no column %q", c)
		}
		if slices.Contains(columns[:i], c) {
			bad("leave one of them out", "column %q stands twice", c)
		}
	}
	if !has("position") {
		bad("positions count from the spindle nose", "a column position is needed")
	}
	flanks := has("outer") || has("inner")
	switch {
	case flanks && (has("front") || has("shift")):
		bad("metal lost from the flanks says both the drop and the shift: give outer and inner, or front and shift",
			"outer and inner stand in place of front and shift")
	case has("outer") != has("inner"):
		bad("a flank that is not worn has 0", "outer and inner belong together")
	case flanks && r.profile.Lathe.Bed.V == nil:
		bad("give [lathe.front_way] with the flanks' angles, or front and shift", "outer and inner need a V front way")
	case good && len(columns) > 0 && !flanks && !has("front") && !has("rear") && !has("shift"):
		bad("add front, rear or shift", "nothing is said of the wear")
	}
	return good
}

// statedRows checks the rows, which are all there are or only those that could be read. Faults of one kind are listed
// up to twenty times.
func (r *reader) statedRows(t *document.Table, s *Stated, all bool) bool {
	rows := s.Rows
	const most = 20
	count := 0
	if all && rows.Len() < 2 {
		key := "rows"
		if s.File != "" {
			key = "file"
		}
		t.Fault(key, "give the first and the last position at the least", "at least two rows are needed")
		count++
	}
	bad := func(row, col int, hint, format string, args ...any) {
		if count++; count <= most {
			r.Doc.Add(rows.Fault(row, col, fmt.Sprintf(format, args...), hint))
		}
	}
	z := rows.Column("position")
	ways := r.profile.Lathe.Ways
	for i := range rows.Len() {
		p := rows.Number(i, z)
		if i > 0 {
			switch before := rows.Number(i-1, z); {
			case p == before:
				bad(i, z, "give one row for each position; for the mean of two readings, take it first",
					"%v stands twice", p)
			case p < before:
				bad(i, z, "sort the rows by position, headstock end first", "%v comes after %v: positions must ascend",
					p, before)
			}
		}
		if ways != (Range{}) && !ways.holds(r.Unit.ToMM(p)) {
			bad(i, z, "make lathe.bed longer, or correct the position", "%v lies outside lathe.bed", p)
		}
		for c := range rows.Width() {
			if v := r.Unit.ToMM(rows.Number(i, c)); c != z && math.Abs(v) > impossible {
				bad(i, c, "wear is written in the file's unit, as every length: 2 thou is 0.002 in",
					"%v is more than any bed loses", rows.Number(i, c))
			}
		}
	}
	if count > most {
		r.Doc.Add(document.Fault{File: rows.File, Key: rows.Key,
			Message: fmt.Sprintf("and %d more faults like these", count-most), Hint: document.MoreHint})
	}
	if all && count == 0 {
		r.plausible(t, s)
	}
	return count == 0
}

const (
	impossible = 10.0 // mm: no bed loses so much
	unlikely   = 1.0  // mm: hardly one does
)

// plausible warns of what wear does not do: adding metal, or moving the saddle where a flank would have had to grow.
func (r *reader) plausible(t *document.Table, s *Stated) {
	key := "rows"
	if s.File != "" {
		key = "file"
	}
	slack := 1e-6 // mm
	if s.Uncertainty != nil {
		slack += 3 * *s.Uncertainty
	}
	l := r.profile.Lathe
	var risen, sunk, grown, unworn extreme
	knots, curves := s.curves(r.Unit, l.Bed.V)
	at := func(c bed.Curve, i int) float64 {
		if curves[c] == nil {
			return 0
		}
		return curves[c][i]
	}
	for i, z := range knots {
		front, rear := at(bed.Front, i), at(bed.Rear, i)
		risen.take(i, -math.Min(front, rear))
		sunk.take(i, math.Max(front, rear))
		if l.Bed.V != nil && front >= 0 {
			outer, inner := l.Bed.V.Normal(front, at(bed.Shift, i))
			grown.take(i, -math.Min(outer, inner))
		}
		for _, u := range l.Unworn {
			if l.UnwornStated && u.From <= z && z <= u.To {
				unworn.take(i, math.Max(math.Abs(front), math.Abs(rear)))
			}
		}
	}
	warn := func(w extreme, above float64, hint, format string) {
		if w.value > above {
			r.Warn(t, key, hint, format, s.Rows.Number(w.row, s.Rows.Column("position")))
		}
	}
	warn(risen, slack, "a drop is plus when the way has sunk",
		"at position %v a way has risen: wear takes metal away. Are the signs right?")
	warn(sunk, unlikely, "wear is written in the file's unit: 2 thou is 0.002 in",
		"at position %v a way has dropped more than "+r.either("0.04 in", "1 mm")+", which is hardly wear")
	warn(grown, slack, "a shift is plus toward the operator, and a drop alone allows a shift of at most the drop "+
		"over the tangent of a flank's angle",
		"at position %v drop and shift together would need a flank to have grown: metal is only lost")
	warn(unworn, slack, "correct the drop, or lathe.unworn",
		"at position %v the rows give a drop inside an unworn stretch")
}

// extreme is the row at which something is greatest, and how great it is there.
type extreme struct {
	row   int
	value float64
}

func (w *extreme) take(row int, value float64) {
	if value > w.value {
		*w = extreme{row, value}
	}
}

// curves returns positions and curve values in mm.
func (s *Stated) curves(unit length.Unit, vee *bed.V) (knots []float64, curves map[bed.Curve][]float64) {
	n := s.Rows.Len()
	column := func(name string) []float64 {
		c := s.Rows.Column(name)
		if c < 0 {
			return nil
		}
		v := make([]float64, n)
		for i := range v {
			v[i] = unit.ToMM(s.Rows.Number(i, c))
		}
		return v
	}
	curves = map[bed.Curve][]float64{}
	for name, c := range map[string]bed.Curve{"front": bed.Front, "shift": bed.Shift, "rear": bed.Rear} {
		if v := column(name); v != nil {
			curves[c] = v
		}
	}
	if outer, inner := column("outer"), column("inner"); outer != nil && inner != nil && vee != nil {
		drop, shift := make([]float64, n), make([]float64, n)
		for i := range n {
			drop[i], shift[i] = vee.Motion(outer[i], inner[i])
		}
		curves[bed.Front], curves[bed.Shift] = drop, shift
	}
	return column("position"), curves
}

// estimate returns the stated wear as a curve with its covariance: that of an entry wherever the curve is asked, on the
// bed or beyond. Errors of one column go together as the reach says, those of two columns are independent.
func (s *Stated) estimate(p *Profile) (*wear.Wear, error) {
	knots, curves := s.curves(p.Unit, p.Lathe.Bed.V)
	w, err := wear.New(knots, curves)
	if err != nil {
		return nil, err
	}
	if s.Uncertainty == nil {
		return w, nil
	}
	u2 := *s.Uncertainty * *s.Uncertainty
	cov := wear.Stationary{Reach: s.Reach}
	for c := range curves {
		cov.Place[c][c] = u2
	}
	if slices.Contains(s.Columns, "outer") {
		// Drop and shift are two sums of the same two independent errors.
		od, os := p.Lathe.Bed.V.Motion(1, 0)
		id, is := p.Lathe.Bed.V.Motion(0, 1)
		cov.Place[bed.Front][bed.Front] = (od*od + id*id) * u2
		cov.Place[bed.Shift][bed.Shift] = (os*os + is*is) * u2
		cov.Place[bed.Front][bed.Shift] = (od*os + id*is) * u2
		cov.Place[bed.Shift][bed.Front] = cov.Place[bed.Front][bed.Shift]
	}
	l := p.Lathe
	cov.Scalars[bed.Twist] = l.TwistUncertainty * l.TwistUncertainty
	cov.Scalars[bed.LeanOut] = l.Spindle.Uncertainty * l.Spindle.Uncertainty
	cov.Scalars[bed.LeanUp] = cov.Scalars[bed.LeanOut]
	_, u := l.seating()
	cov.Scalars[bed.Seating] = u * u
	return w.WithCovariance(cov), nil
}
