package ways

import (
	"fmt"
	"math"
	"slices"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile/bed"
	"wornway/profile/estimate"
)

type WearJSON struct {
	Format   int               `json:"format"`
	Lathe    string            `json:"lathe"`
	Unit     string            `json:"unit"`
	Stations []wearRangeJSON   `json:"stations"`
	Deepest  *deepestJSON      `json:"deepest"`
	Worn     *answer.RangeJSON `json:"worn"`
	Twist    float64           `json:"twist"`
	TwistU   *float64          `json:"twist_uncertainty"`
	Seating  float64           `json:"seating"` // how the saddle sits: 0 gives, 1 is stiff
	SeatingU *float64          `json:"seating_uncertainty"`
	Surveys  []surveyJSON      `json:"surveys"`
	Slips    []slipJSON        `json:"slips"`
	Datum    *datumJSON        `json:"worn_datum"` // the stretch taken as unworn that is worn, if any
	Unseen   []string          `json:"unseen"`
	Regrind  []regrindJSON     `json:"regrind"`
	// of what a length needs, where it was asked for
	Covariance *covarianceJSON `json:"covariance,omitempty"`
	Assumed    []string        `json:"assumed"`
	Warnings   []string        `json:"warnings"`
}

type wearStationJSON struct {
	Position float64  `json:"position"`
	Front    float64  `json:"front"`
	Rear     float64  `json:"rear"`
	Shift    float64  `json:"shift"`
	UFront   *float64 `json:"u_front"`
	URear    *float64 `json:"u_rear"`
	UShift   *float64 `json:"u_shift"`
}

// wearRangeJSON has the limits that hold a drop with 95 % where it is skewed, null elsewhere.
type wearRangeJSON struct {
	wearStationJSON
	LowFront  *float64 `json:"low_front"`
	HighFront *float64 `json:"high_front"`
	LowRear   *float64 `json:"low_rear"`
	HighRear  *float64 `json:"high_rear"`
}

type deepestJSON struct {
	Way         string   `json:"way"`
	Position    float64  `json:"position"`
	Drop        float64  `json:"drop"`
	Uncertainty *float64 `json:"uncertainty"`
	// The limits that hold the greatest drop of either way, wherever it is, with 95 %, where the ± would say too
	// little or too much; null elsewhere.
	Low  *float64 `json:"low"`
	High *float64 `json:"high"`
}

// hollow is the deepest wear of the bed, by the estimate: the way, its place and drop; where open with the limits that
// hold the greatest drop of either way, wherever it is.
type hollow struct {
	l              *shop.Bench
	way            bed.Curve
	position, drop float64
	low, high      float64
	open           bool
}

func deepest(l *shop.Bench) hollow {
	k := hollow{l: l}
	k.way, k.position, k.drop = l.Deepest()
	k.low, k.high, k.open = l.Estimate.Depth()
	return k
}

func (k hollow) json() *deepestJSON {
	in := k.l.In.From
	u, stated := k.l.Uncertainty(bed.At(k.way, 0), k.position)
	return &deepestJSON{k.way.String(), in(k.position), in(k.drop), answer.Null(in(u), stated),
		answer.Null(in(k.low), k.open), answer.Null(in(k.high), k.open)}
}

// sure goes on from the drop of the deepest place with how sure it is: by the limits of the deepest place, wherever
// that is, where a ± would say too little or too much.
func (k hollow) sure() string {
	if k.open {
		return ". " + k.depth() + "."
	}
	u, stated := k.l.Uncertainty(bed.At(k.way, 0), k.position)
	return ", " + k.l.PlusMinus(u, stated) + "."
}

// depth says how deep the deepest place is. A ± that stands beside it is of one place; this is of wherever it is.
func (k hollow) depth() string {
	return "The bed's deepest place, wherever it is, lies between " + k.l.Between(k.low, k.high) + " down"
}

// headline says how deep the bed is worn: where no reading tells how far both ways have sunk together, first what is
// known, which is one way against the other, and the depth as a range.
func (k hollow) headline() string {
	l := k.l
	if l.Estimate.Says(estimate.Together, k.position) {
		return fmt.Sprintf("The %s way is worn deepest: %s at %s%s", k.way, l.Small(k.drop), l.About(k.position),
			k.sure())
	}
	other := map[bed.Curve]bed.Curve{bed.Front: bed.Rear, bed.Rear: bed.Front}[k.way]
	apart := bed.At(k.way, 0).Plus(bed.At(other, 0).Times(-1))
	u, _ := l.Uncertainty(apart, k.position)
	more, by := "more", l.Machine.Wear.Value(apart, k.position)
	if by < 0 {
		more = "less"
	}
	return fmt.Sprintf("At %s the %s way has sunk %s %s than the %s way, %s. %s; the readings do not tell how far "+
		"both ways have sunk together.",
		l.About(k.position), k.way, l.Small(math.Abs(by)), more, other, l.PlusMinus(u, true), k.depth())
}

// WearReport reports the wear; covariance is what is to be added for other programs, nil for nothing.
func WearReport(l *shop.Bench, stations []float64, covariance *covarianceJSON) (show.Report, error) {
	j := WearJSON{Format: 1, Lathe: l.Lathe.Name, Unit: l.In.String(),
		Twist:  l.Machine.Wear.Scalar(bed.Twist) * l.In.MM(),
		TwistU: answer.Null(l.Estimate.TwistU*l.In.MM(), l.Machine.Wear.Stated()), Surveys: []surveyJSON{},
		Slips: []slipJSON{}, Unseen: say.Unseen(l), Warnings: []string{}}
	r := show.Report{Assumed: say.Wear(l), Limits: say.Departs(l), Warnings: say.Warnings(l.Profile),
		Next: []string{"What to measure next: --for FROM,TO; what the lathe will turn: --verdict; where to turn a " +
			"length: wornway place."}}
	sits, sitsU, stated := l.Machine.Wear.Seating()
	j.Seating, j.SeatingU = sits, answer.Null(sitsU, stated)
	j.Warnings = append(j.Warnings, r.Warnings...)
	k := deepest(l)
	way, drop := k.way, k.drop
	if drop > 0 {
		in := l.In.From
		j.Deepest = k.json()
		s := k.headline()
		if from, to, ok := l.Machine.Wear.Above(way, drop/10); ok {
			j.Worn = &answer.RangeJSON{From: in(from), To: in(to)}
			it := "It"
			if k.open { // something else has been said meanwhile
				it = fmt.Sprintf("The %s way", way)
			}
			s += fmt.Sprintf(" %s is worn from %s to %s (more than a tenth as deep).", it, l.BareNear(from), l.Near(to))
		}
		r.Answer = append(r.Answer, s)
	} else {
		r.Answer = append(r.Answer, "Neither way has sunk anywhere.")
	}
	table := wearTable(l, &j, stations, way, drop)
	regrind, sentence, err := regrind(l, &j)
	if err != nil {
		return r, err
	}
	r.Answer = append(r.Answer, sentence)
	r.Tables = []show.Table{table, regrind}
	if len(l.Estimate.Surveys) > 0 {
		surveys, sentences := surveys(l, &j)
		slips, sure, err := slips(l, &j)
		if err != nil {
			return r, err
		}
		if !sure { // otherwise what else does not agree comes of that, or is seen once it is undone
			slips = append(slips, say.Conflicts(l)...)
		}
		r.Answer = slices.Concat(r.Answer, slips, sentences)
		r.Tables = append(r.Tables, surveys)
		if say.Twisted(l) {
			r.Remarks = append(r.Remarks, say.Twist(l))
		} else {
			r.Notes = append(r.Notes, say.Twist(l))
		}
		r.Remarks = append(r.Remarks, say.Seated(l)...)
		r.Remarks, r.Notes = append(r.Remarks, j.Unseen...), append(r.Notes, say.Limits(l)...)
	}
	for _, d := range l.Damage {
		r.Remarks = append(r.Remarks, fmt.Sprintf("Damage seen: %s way, %s to %s%s. It enters no number here.", d.Way,
			l.Bare(d.From), l.At(d.To), word.Note(d.Note)))
	}
	holds := "± holds 19 times in 20."
	if k.open && drop > 0 {
		holds = "± holds 19 times in 20, each at its own place; the deepest may lie elsewhere."
	}
	r.Remarks = append(r.Remarks, "A drop is plus when the way has sunk, a shift plus toward the operator. "+holds)
	r.Notes = append(r.Notes, "Taper is the least-squares line's, minus: smaller toward the tailstock; the tool is "+
		"set at the length's tailstock end.")
	j.Assumed, j.Covariance = r.Assumed, covariance
	r.JSON = j
	return r, nil
}

func wearTable(l *shop.Bench, j *WearJSON, stations []float64, way bed.Curve, deepest float64) show.Table {
	small := l.SmallName()
	t := show.Table{Name: "stations", Most: 12, Columns: []show.Column{
		{Head: "at, " + l.UnitName(), Key: "position"},
		{Head: "front, " + small, Key: "front"}, {Head: "±", Key: "u_front"},
		{Key: "low_front", Data: true}, {Key: "high_front", Data: true},
		{Head: "rear, " + small, Key: "rear"}, {Head: "±", Key: "u_rear"},
		{Key: "low_rear", Data: true}, {Key: "high_rear", Data: true},
		{Head: "shift, " + small, Key: "shift", Spare: true}, {Head: "±", Key: "u_shift", Spare: true},
		{Head: way.String() + "'s drop", Key: "bar", Left: true, Spare: true},
	}}
	in := l.In.From
	_, lowest, _ := l.Deepest()
	for _, z := range stations {
		s := wearRangeJSON{wearStationJSON: wearStationJSON{Position: in(z)}}
		at := l.Bare(z)
		if z == lowest { // worked out, and no sharper known than it is shown elsewhere
			at = l.BareAbout(z)
		}
		row := []show.Cell{{Text: at, Value: s.Position}}
		drop := 0.0
		for _, k := range []struct {
			curve        bed.Curve
			v            *float64
			u, low, high **float64
		}{{bed.Front, &s.Front, &s.UFront, &s.LowFront, &s.HighFront},
			{bed.Rear, &s.Rear, &s.URear, &s.LowRear, &s.HighRear},
			{bed.Shift, &s.Shift, &s.UShift, nil, nil}} {
			v := l.Machine.Wear.Value(bed.At(k.curve, 0), z)
			u, stated := l.Uncertainty(bed.At(k.curve, 0), z)
			stated = stated && l.Given(k.curve)
			*k.v, *k.u = in(v), answer.Null(in(u), stated)
			if k.curve == way {
				drop = v
			}
			row = append(row, show.Cell{Text: l.Cell(v), Value: *k.v},
				show.Cell{Text: l.Expanded(u, stated), Value: *k.u})
			if k.low != nil {
				low, high, skewed := l.Estimate.Range(k.curve, z)
				*k.low, *k.high = answer.Null(in(low), skewed), answer.Null(in(high), skewed)
				row = append(row, show.Cell{Value: *k.low}, show.Cell{Value: *k.high})
			}
		}
		j.Stations = append(j.Stations, s)
		if drop == deepest && len(t.Keep) == 0 {
			t.Keep = []int{len(t.Rows)}
		}
		t.Rows = append(t.Rows, append(row, show.Cell{Text: show.Bar(drop, deepest, 20, false)}))
	}
	return t
}
