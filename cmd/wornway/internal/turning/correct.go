package turning

import (
	"fmt"
	"math"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/length"
)

// NotSoFine says that the dial cannot hold what is allowed.
func NotSoFine(w word.Units, err compensate.AllowError) (message, hint string) {
	return fmt.Sprintf("± %s on diameter cannot be held at %s: the finest setting of this dial makes %s",
			w.Small(err.Allow), w.At(err.Position), w.Small(err.Limit)),
		fmt.Sprintf("give --allow of more than %s", w.Small(err.Limit/2))
}

// Uncorrected is how a length that cannot be corrected as asked is left: as it comes out without a setting.
func Uncorrected(w word.Units, p prediction, how compensate.Correcting, err compensate.AllowError) CorrectedJSON {
	j := CorrectedJSON{Allow: w.In.From(err.Allow), Table: []rowJSON{}, Moves: []moveJSON{},
		TableSpreadLeft: p.JSON.Spread, MovesSpreadLeft: p.JSON.Spread, SpreadBefore: p.JSON.Spread,
		DialLimit: math.Min(p.JSON.Spread, w.In.From(err.Limit))}
	if how.Feed != compensate.EitherFeed {
		j.Feed = say.FeedName(how.Feed)
	}
	if how.Dial.Angle != 0 {
		j.CompoundAngle = answer.Null(how.Dial.Angle*180/math.Pi, true)
	}
	return j
}

// Correction is a correction on its way into a report.
type Correction struct {
	*shop.Bench
	K    *compensate.Correction
	Dial compensate.Dial
}

type CorrectJSON struct {
	PredictJSON
	CorrectedJSON
	Why *string `json:"why"` // why there is no setting; null: corrected as asked
}

// CorrectedJSON is how one length is corrected.
type CorrectedJSON struct {
	Feed            string     `json:"feed"`
	Allow           float64    `json:"allow"`
	CompoundAngle   *float64   `json:"compound_angle"`
	Table           []rowJSON  `json:"table"`
	TableSpreadLeft float64    `json:"table_spread_left"`
	Moves           []moveJSON `json:"moves"`
	MovesSpreadLeft float64    `json:"moves_spread_left"`
	SpreadBefore    float64    `json:"spread_before"`
	DialLimit       float64    `json:"dial_limit"`
}

type rowJSON struct {
	Position          float64 `json:"position"`
	Dial              float64 `json:"dial"`
	Divisions         float64 `json:"divisions"`
	Direction         string  `json:"direction"`
	DiameterErrorLeft float64 `json:"diameter_error_left"`
}

type moveJSON struct {
	rowJSON
	TakeUp bool `json:"take_up"`
}

func (r Correction) Report(p prediction) (show.Report, bool) {
	k := r.K
	in := r.In.From
	j := CorrectJSON{
		PredictJSON: p.JSON,
		CorrectedJSON: CorrectedJSON{Feed: say.FeedName(k.Feed), Allow: in(k.Allow),
			Table: []rowJSON{}, Moves: []moveJSON{},
			TableSpreadLeft: in(k.TableSpread), MovesSpreadLeft: in(k.MovesSpread), SpreadBefore: in(k.Before),
			DialLimit: in(k.Limit)},
	}
	if r.Dial.Angle != 0 {
		j.CompoundAngle = answer.Null(r.Dial.Angle*180/math.Pi, true)
	}
	table := show.Table{Name: "table", Title: "At even steps:", Columns: r.columns()}
	for _, m := range k.Table {
		j.Table = append(j.Table, r.json(m))
		table.Rows = append(table.Rows, r.row(m))
	}
	moves := show.Table{Name: "moves", Title: "The fewest settings, in the order of cutting:",
		Columns: append(r.columns(), show.Column{Head: "backlash", Key: "take_up", Left: true})}
	for _, m := range k.Moves {
		j.Moves = append(j.Moves, moveJSON{r.json(m), m.TakeUp})
		take := ""
		if m.TakeUp {
			take = "take out"
		}
		moves.Rows = append(moves.Rows, append(r.row(m), show.Cell{Text: take, Value: m.TakeUp}))
	}
	out := show.Report{Remarks: []string{r.DialWords(), say.SettingHolds + " The total counts from the setting at " +
		r.At(k.Curve.SetAt) + "."},
		Assumed: append(p.Seated.Assumed, r.Assumed()...), Warnings: p.Seated.Warnings, Cautions: say.CutCautions}
	held := true
	out.Answer = append(word.Said(say.Out(r.Bench, k.Curve)), r.sentence())
	out.Answer = append(out.Answer, r.turnWords()...)
	if t := k.Curve.Tolerance; t > 0 {
		sampled, stated := k.Curve.Sample(k.MovesAt(r.Dial.Step()), t)
		var s string
		s, held = say.Holds(r.Bench, k.Curve, k.MovesSpread, sampled, stated)
		out.Answer = append(out.Answer, "With these settings: "+word.Lower(s))
		if half := t / 2; !held && half < k.Allow && half > r.Dial.Limit()/2 {
			out.Answer = append(out.Answer, fmt.Sprintf("More settings leave less: --allow %s%s strays no further "+
				"than the tolerance allows.", length.Small(half, r.In),
				map[length.Unit]string{length.Inch: "thou", length.Millimetre: "um"}[r.In]))
		}
		j.Probability = answer.Null(sampled.Within, stated)
	}
	if p.Taper.Stated {
		out.Answer = append(out.Answer, fmt.Sprintf("What is not known of the wear stays: %s on the difference of "+
			"the two ends.", r.PlusMinus(p.Taper.UEnds, true)))
	}
	out.Answer = append(out.Answer, word.Said(say.OtherWork(r.Bench), say.Further(r.Bench, k.Curve))...)
	j.Assumed = out.Assumed
	out.JSON = j
	if len(moves.Rows) > 0 {
		out.Tables = append(out.Tables, moves)
	} else {
		moves.Title = "No settings."
	}
	out.Tables = append(out.Tables, table)
	if len(moves.Rows) == 0 {
		out.Tables = append(out.Tables, moves) // so that --csv=moves gives its heading
	}
	return out, held
}

func (r Correction) columns() []show.Column {
	return []show.Column{
		{Head: "at, " + r.UnitName(), Key: "position"},
		{Head: "turn", Key: "direction", Left: true},
		{Head: "divisions", Key: "divisions"},
		{Head: "total on the dial, " + r.UnitName(), Key: "dial"},
		{Head: "error left, " + r.SmallName(), Key: "diameter_error_left"},
	}
}

func direction(change int) string {
	switch {
	case change > 0:
		return "in"
	case change < 0:
		return "out"
	}
	return "none"
}

func (r Correction) json(m compensate.Move) rowJSON {
	in := r.In.From
	return rowJSON{in(m.Position), in(r.Dial.Reading(m.Setting)), math.Abs(r.Dial.Divisions(m.Change)),
		direction(m.Change), in(m.Left.Value)}
}

func (r Correction) row(m compensate.Move) []show.Cell {
	j := r.json(m)
	turn, div := map[string]string{"in": "IN", "out": "OUT", "none": "–"}[j.Direction], "–"
	if m.Change != 0 {
		div = word.Fraction(j.Divisions)
	}
	return []show.Cell{
		{Text: r.BareAbout(m.Position), Value: j.Position},
		{Text: turn, Value: j.Direction},
		{Text: div, Value: j.Divisions},
		{Text: r.total(m.Setting), Value: j.Dial},
		{Text: r.Cell(m.Left.Value), Value: j.DiameterErrorLeft},
	}
}

// total writes the dial's total with its direction.
func (r Correction) total(setting int) string {
	mm := r.Dial.Reading(setting)
	switch {
	case setting > 0:
		return "in " + r.Units.Dial(mm)
	case setting < 0:
		return "out " + r.Units.Dial(-mm)
	}
	return r.Units.Dial(0)
}

// sentence is the answer.
func (r Correction) sentence() string {
	k := r.K
	start := r.At(k.Curve.SetAt)
	feed := fmt.Sprintf("Measure and set the dial at %s, feed toward the %s: ", start, say.FeedName(k.Feed))
	if len(k.Moves) == 0 {
		why := fmt.Sprintf("the error stays within ± %s, spread %s", r.Small(k.Allow), r.Small(k.Before))
		if r.underHalf() {
			why = fmt.Sprintf("less than half the finest setting is due anywhere; the spread is %s", r.Small(k.Before))
		}
		return feed + "there is nothing to dial, as " + why + "."
	}
	return fmt.Sprintf("%s%s %s diameter within ± %s; the spread goes from %s to %s.", feed,
		word.Count(len(k.Moves), "move"),
		map[bool]string{true: "keeps the", false: "keep the"}[len(k.Moves) == 1], r.Small(k.Allow), r.Small(k.Before),
		r.Small(k.MovesSpread))
}

// underHalf says whether nowhere half of the finest setting is due.
func (r Correction) underHalf() bool {
	least, greatest := r.K.Curve.Extremes(r.K.Curve.From, r.K.Curve.To, 0)
	return math.Max(greatest.Value, -least.Value) < r.Dial.Limit()/2
}

// turnWords says the moves as they are read out at the machine, and what there is to say of their direction.
func (r Correction) turnWords() []string {
	k := r.K
	var out []string
	const readable = 12
	if n := len(k.Moves); n > 0 && n <= readable {
		s := ""
		for i, m := range k.Moves {
			if i > 0 {
				s += "; "
			}
			s += fmt.Sprintf("at %s %s %s", r.About(m.Position),
				map[bool]string{true: "IN", false: "OUT"}[m.Change > 0],
				word.Divisions(math.Abs(r.Dial.Divisions(m.Change))))
			if m.TakeUp {
				s += " (take out the backlash)"
			}
		}
		out = append(out, word.Upper(s)+".")
	}
	if !k.OneWay() {
		way, back := "in", "out"
		if k.Curve.Bore {
			way, back = back, way
		}
		s := fmt.Sprintf("The corrections do not all go %s: where the list says %s, %s", way,
			map[string]string{"in": "IN", "out": "OUT"}[back], r.TakeOut(way))
		out = append(out, s+", or split the pass there.")
	}
	return out
}

// TakeOut says how to turn back.
func (r Correction) TakeOut(way string) string {
	switch b := r.Dial.Backlash; {
	case b == 0:
		return "the readout needs no taking up"
	case math.IsNaN(b):
		return fmt.Sprintf("go back past the backlash and come %s again", way)
	default:
		return fmt.Sprintf("go back past the backlash (%s on the dial) and come %s again", r.Division(b), way)
	}
}

// DialWords says what is turned.
func (r Correction) DialWords() string {
	name, counts := "cross slide's", "the slide's own way (a radius dial)"
	if r.Dial.Angle != 0 {
		name = fmt.Sprintf("compound's (set %s° from the bed's axis)", length.Fixed(r.Dial.Angle*180/math.Pi, 2))
	}
	if r.Dial.Diameter {
		counts = "diameter"
	}
	s := fmt.Sprintf("Dial: the %s; it counts %s; one division is %s, the finest setting %s makes %s on the diameter.",
		name, counts, r.Division(r.Dial.Division), word.Divisions(r.Dial.Finest), r.Small(r.Dial.Limit()))
	if r.Dial.Angle != 0 {
		s += fmt.Sprintf(" It also moves the tool along the bed by %s, which is not reckoned with.",
			r.Small(r.Dial.Along()))
	}
	return s
}

func (r Correction) Assumed() []string {
	if math.IsNaN(r.Dial.Backlash) {
		return []string{"The backlash is not given; every turn back is marked as if there were some."}
	}
	return nil
}
