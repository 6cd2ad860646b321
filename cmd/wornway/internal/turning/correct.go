package turning

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/length"
)

// NotSoFine says that the dial cannot hold what is allowed.
func NotSoFine(l *shop.Bench, err compensate.AllowError) (message, hint string) {
	hint = "leave --allow out for the list that is worth dialling; a finer dial, or the compound set over " +
		"(--compound-angle 5.74), leaves less"
	if l.Collars == nil {
		hint += ", and another place may be better (wornway place)"
	}
	return fmt.Sprintf("± %s on diameter cannot be held: the best that this dial can do is ± %s", l.Small(err.Allow),
		l.Small(err.Least)), hint
}

// Uncorrected is how a length that cannot be corrected as asked is left: as it comes out without a setting.
func Uncorrected(w word.Units, p prediction, how compensate.CorrectOptions, err compensate.AllowError) CorrectedJSON {
	j := CorrectedJSON{Allow: w.In.From(err.Allow), Table: []rowJSON{}, Moves: []moveJSON{},
		TableSpreadLeft: p.JSON.Spread, MovesSpreadLeft: p.JSON.Spread, SpreadBefore: p.JSON.Spread,
		DialLimit: math.Min(p.JSON.Spread, w.In.From(how.Dial.Limit())), Ladder: []rungJSON{}}
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
	Most int // settings that were asked for; 0: as many as are worth it
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
	Aim             *float64   `json:"aim"` // diameter to be measured where the dial is set
	Ladder          []rungJSON `json:"ladder"`
	DialLimit       float64    `json:"dial_limit"`
}

// rungJSON is what so many settings can do at best.
type rungJSON struct {
	Settings     int      `json:"settings"`
	SpreadLeft   float64  `json:"spread_left"`
	SpreadLeft95 *float64 `json:"spread_95_left"`
	Probability  *float64 `json:"probability"`
	Worse        *float64 `json:"probability_worse"` // that it leaves more than nothing dialled
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
			DialLimit: in(k.Limit), Aim: answer.Null(in(k.Curve.Diameter+k.Aim), true)},
	}
	ladder := r.ladder(&j)
	if r.Dial.Angle != 0 {
		j.CompoundAngle = answer.Null(r.Dial.Angle*180/math.Pi, true)
	}
	table := show.Table{Name: "table", Title: "The same list at even steps:", Full: true, Columns: r.columns()}
	for _, m := range k.Table {
		j.Table = append(j.Table, r.json(m))
		table.Rows = append(table.Rows, r.row(m))
	}
	moves := show.Table{Name: "moves", Title: "What to turn, in the order of cutting:",
		Columns: append(r.columns(), show.Column{Key: "take_up", Data: true})} // people are told in a sentence
	for _, m := range k.Moves {
		j.Moves = append(j.Moves, moveJSON{r.json(m), m.TakeUp})
		moves.Rows = append(moves.Rows, append(r.row(m), show.Cell{Value: m.TakeUp}))
	}
	out := show.Report{Remarks: r.Along(), Notes: []string{r.DialWords(), say.SettingHolds + " The total counts from " +
		"the setting at " + r.At(k.Curve.SetAt) + "."},
		Assumed: append(p.Seated.Assumed, r.Assumed()...), Limits: p.Seated.Limits,
		Warnings: p.Seated.Warnings, Usual: say.CutCautions, Cautions: say.Slender(r.Bar)}
	if slices.ContainsFunc(k.Moves, func(m compensate.Move) bool { return m.TakeUp }) {
		out.Limits = append(slices.Clip(out.Limits), r.Assumed()...)
	}
	out.Answer = append(word.Said(say.InJaws(r.Bench, k.Curve), say.Out(r.Bench, k.Curve)), r.sentence()+r.unknown(p))
	out.Steps = word.Said(r.turnWords())
	out.Answer = append(out.Answer, word.Said(r.turnsBack())...)
	if chosen := k.Ladder[k.Chosen]; !chosen.Sound() {
		out.Answer = append(out.Answer, fmt.Sprintf("The chance that this list leaves more variation than nothing "+
			"dialled is %s.", word.Percent(chosen.Promise.Worse)))
	}
	promise := r.Promised()
	if promise.Says != "" {
		out.Answer = append(out.Answer, promise.Says)
		j.Probability = promise.probability
	}
	if coarse := r.coarse(); coarse != "" {
		out.Answer = slices.Insert(out.Answer, 0, append([]string{coarse}, r.finer()...)...)
	} else if promise.Says == "" || !promise.Held {
		out.Answer = append(out.Answer, r.finer()...)
	}
	out.Answer = append(out.Answer, word.Said(say.OtherWork(r.Bench, k.Curve), say.Further(r.Bench, k.Curve))...)
	j.Assumed = out.Assumed
	out.JSON = j
	out.Next = []string{"A card for the machine: wornway chart."}
	unsure := slices.ContainsFunc(k.Ladder, func(l compensate.Rung) bool { return !l.Sound() })
	switch {
	case len(moves.Rows) > 0:
		out.Tables = append(out.Tables, moves)
	case unsure && r.Collars == nil && !(promise.Says != "" && promise.Held):
		out.Next = []string{fmt.Sprintf("What to measure next, to know the wear better: wornway wear %s --for %s,%s.",
			r.File, r.BareAbout(k.Curve.From)+r.In.String(), r.BareAbout(k.Curve.To)+r.In.String())}
	}
	if len(moves.Rows) == 0 {
		moves.Title, moves.Full = "No settings.", true
	}
	out.Tables = append(out.Tables, ladder, table)
	if len(moves.Rows) == 0 {
		out.Tables = append(out.Tables, moves) // so that --csv=moves gives its heading
	}
	return out, promise.Held
}

func (r Correction) columns() []show.Column {
	return []show.Column{
		{Head: "at, " + r.UnitName(), Key: "position"},
		{Head: "turn", Key: "direction", Left: true},
		{Head: "divisions", Key: "divisions"},
		{Head: "dial then reads, " + r.UnitName(), Key: "dial"},
		{Head: "error left, " + r.SmallName(), Key: "diameter_error_left", Full: true},
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
		{Text: r.BareMark(m.Position), Value: j.Position},
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
		return "IN " + r.Units.Dial(mm)
	case setting < 0:
		return "OUT " + r.Units.Dial(-mm)
	}
	return r.Units.Dial(0)
}

// ladder is what each further setting buys.
func (r Correction) ladder(j *CorrectJSON) show.Table {
	t := show.Table{Name: "ladder", Title: "What more settings gain (a turn back counts as two):", Most: 6,
		Full: len(r.K.Ladder) == 1, // which the sentences say
		Keep: []int{r.K.Chosen}, Columns: []show.Column{{Head: "settings", Key: "settings"},
			{Head: "varies by, " + r.SmallName(), Key: "spread_left"}}}
	stated, asked := r.K.Ladder[0].Stated, r.K.Curve.Tolerance > 0
	if stated {
		t.Columns = append(t.Columns, show.Column{Head: "19 in 20 within", Key: "spread_95_left"})
	}
	if stated && asked {
		t.Columns = append(t.Columns, show.Column{Head: "holds " + r.Small(r.K.Curve.Tolerance), Key: "probability"})
	}
	if stated {
		t.Columns = append(t.Columns, show.Column{Head: "worse in", Key: "probability_worse"})
	}
	t.Columns = append(t.Columns, show.Column{Left: true, Spare: true})
	in := r.In.From
	for i, k := range r.K.Ladder {
		j.Ladder = append(j.Ladder, rungJSON{k.Settings, in(k.Spread), answer.Null(in(k.Limit()), stated),
			answer.Null(k.Promise.Within, stated && asked), answer.Null(k.Promise.Worse, stated)})
		row := []show.Cell{{Text: fmt.Sprint(k.Settings), Value: k.Settings},
			{Text: r.Cell(k.Spread), Value: in(k.Spread)}}
		if stated {
			row = append(row, show.Cell{Text: r.Cell(k.Limit()), Value: in(k.Limit())})
		}
		if stated && asked {
			row = append(row, show.Cell{Text: word.Percent(k.Promise.Within), Value: k.Promise.Within})
		}
		if stated {
			worse := show.Cell{Text: word.Percent(k.Promise.Worse), Value: k.Promise.Worse}
			if i == 0 {
				worse.Text = "–"
			}
			row = append(row, worse)
		}
		this := ""
		if i == r.K.Chosen {
			this = "this list"
		}
		t.Rows = append(t.Rows, append(row, show.Cell{Text: this, Value: this}))
	}
	return t
}

// sentence is the answer: where the dial is set, and what comes of it.
func (r Correction) sentence() string {
	k := r.K
	cut, measured := "cut", "by micrometer"
	if k.Curve.Bore {
		cut, measured = "bore", "as measured"
	}
	zero := fmt.Sprintf("At %s %s to %s %s", r.At(k.Curve.SetAt), cut, r.Diameter(k.Curve.Diameter+k.Aim), measured)
	at := fmt.Sprintf("%s, feed toward the %s and leave the dial alone.", zero, say.FeedName(k.Feed))
	if len(k.Moves) > 0 {
		at = fmt.Sprintf("%s, set the dial to 0 there and feed toward the %s.", zero, say.FeedName(k.Feed))
	}
	if r.Dial.Angle != 0 {
		at = fmt.Sprintf("Set the compound to %s from the bed's axis. ", word.Degrees(r.Dial.Angle)) + at
	}
	if len(k.Moves) > 0 {
		return fmt.Sprintf("%s With %s the diameter varies by %s along it; with nothing dialled, by %s.", at,
			settings(k), r.Small(k.MovesSpread), r.Small(k.Before))
	}
	if k.Curve.Tolerance > 0 && k.Ladder[0].Keeps() {
		return fmt.Sprintf("%s The diameter varies by %s along it, and need not vary less.", at,
			r.Small(k.Before))
	}
	best := k.Ladder[len(k.Ladder)-1]
	for _, l := range k.Ladder {
		if l.Limit() < best.Limit() {
			best = l
		}
	}
	if best.Settings == 0 {
		s := fmt.Sprintf("There is nothing to dial: no setting leaves less variation than %s, as the dial's finest "+
			"step makes %s on the diameter.", r.Small(k.Before), r.Small(2*r.Dial.Step()))
		if best.Stated {
			s += fmt.Sprintf(" 19 times in 20 it varies by no more than %s.", r.Small(best.Limit()))
		}
		return s + " " + at
	}
	with := func(n int, would string, spread float64) string {
		return fmt.Sprintf("with %s it %s vary by %s in place of %s", word.Count(n, "setting"), would, r.Small(spread),
			r.Small(k.Before))
	}
	if next := k.Ladder[1]; r.Most > 0 && next.Settings > r.Most {
		return fmt.Sprintf("%s Fed this way, %s would gain nothing; %s (--settings %d; a turn back counts as two). "+
			"Fed the other way it may take fewer.", at, word.Count(r.Most, "setting"),
			with(next.Settings, "would", next.Spread), next.Settings)
	}
	if !best.Sound() {
		return fmt.Sprintf("There is nothing worth dialling: the wear is not known well enough. %s, but the chance of "+
			"making it worse is %s (--settings %d gives the list). %s", word.Upper(with(best.Settings, "might",
			best.Spread)), word.Percent(best.Promise.Worse), best.Settings, at)
	}
	s := "There is nothing worth dialling: " + with(best.Settings, "would", best.Spread)
	if best.Stated {
		s += fmt.Sprintf(", and 19 times in 20 keep within %s in place of %s", r.Small(best.Limit()),
			r.Small(k.Ladder[0].Limit()))
	}
	return s + ". " + at
}

// settings counts those of a list, and those among them that turn back.
func settings(k *compensate.Correction) string {
	s := word.Count(len(k.Moves), "setting")
	if back := k.Settings() - len(k.Moves); back > 0 {
		s += fmt.Sprintf(", %d of them back,", back)
	}
	return s
}

// coarse says that the dial cannot be set finely enough for the tolerance, or that its finest setting alone uses that
// up; empty where it is fine enough, or need not be.
func (r Correction) coarse() string {
	const near = 1e-6 // mm: what rounding may make
	t, finest := r.K.Curve.Tolerance, r.Dial.Limit()
	if t == 0 || finest < t-near || r.K.Before <= t {
		return ""
	}
	if finest > t+near {
		return fmt.Sprintf("The dial is too coarse for %s: its finest setting makes %s on the diameter.", r.Small(t),
			r.Small(finest))
	}
	where := "finest in [lathe.cross_slide]"
	switch {
	case r.Collars != nil:
		where = "--finest, in divisions"
	case r.Dial.Angle != 0:
		where = "finest in [lathe.compound]"
	}
	return fmt.Sprintf("The dial's finest setting makes %s on the diameter, which alone uses up the %s. Where you can "+
		"set it finer, say so (%s); else it takes a finer dial.", r.Small(finest), r.Small(t), where)
}

// finer offers the compound where the cross slide's finest setting is coarse beside the spread.
func (r Correction) finer() []string {
	const coarse = 0.3 // of the spread
	k := r.K
	if r.Dial.Angle != 0 || k.Before == 0 || r.Dial.Limit() < coarse*k.Before {
		return nil
	}
	slide := r.Lathe.Compound
	if slide == nil {
		slide = &profile.Slide{Division: r.Dial.Division, Finest: r.Dial.Finest}
	}
	fine, err := k.Curve.Machine.Correct(k.Curve.Cut, compensate.CorrectOptions{Dial: shop.DialOf(slide,
		shop.CompoundAngle),
		SetAtStart: true, Round: r.RuleStep()})
	if err != nil {
		return nil
	}
	best := fine.Ladder[fine.Chosen]
	if best.Settings == 0 || best.Limit() > compensate.Lowers*k.Ladder[k.Chosen].Limit() {
		return nil
	}
	leaves := strings.TrimSuffix(fmt.Sprintf("%s with %s", r.Small(best.Spread), settings(fine)), ",")
	if r.Collars != nil {
		return []string{fmt.Sprintf("Finer: a compound at 5.74° with such a dial would leave %s (--compound-angle "+
			"5.74, with its own --division and --dial).", leaves)}
	}
	if r.Lathe.Compound == nil {
		return []string{fmt.Sprintf("Finer: a compound at 5.74° with such a dial would leave %s. Another place may be "+
			"better too (wornway place).", leaves)}
	}
	return []string{fmt.Sprintf("Finer: the compound leaves %s with %s (--compound-angle 5.74).", r.Small(best.Spread),
		word.Count(len(fine.Moves), "setting"))}
}

// unknown says how much more it may be, as the wear is not known better; empty where that was not stated.
func (r Correction) unknown(p prediction) string {
	if !p.Taper.Stated {
		return ""
	}
	return fmt.Sprintf(" What is not known of the wear adds %s from end to end, 19 times in 20.",
		r.PlusMinus(p.Taper.UEnds, true))
}

// turnWords says the moves as they are read out at the machine; empty where they are too many for that.
func (r Correction) turnWords() string {
	const readable = 12
	if n := len(r.K.Moves); n == 0 || n > readable {
		return ""
	}
	var out []string
	for _, m := range r.K.Moves {
		out = append(out, fmt.Sprintf("at %s %s %s", r.Mark(m.Position), map[bool]string{true: "IN",
			false: "OUT"}[m.Change > 0], word.Divisions(math.Abs(r.Dial.Divisions(m.Change)))))
	}
	return word.Upper(strings.Join(out, "; ")) + "."
}

// turnsBack says how to turn where the moves do not all go one way; empty where they do.
func (r Correction) turnsBack() string {
	if r.K.OneWay() {
		return ""
	}
	back := map[bool]string{true: "IN", false: "OUT"}[r.K.Curve.Bore]
	return fmt.Sprintf("Where the list says %s, %s.", back, r.TakeOut(r.K.Curve.Bore))
}

// TakeOut says how to turn back.
func (r Correction) TakeOut(bore bool) string { return TakeOut(r.Units, r.Dial.Backlash, bore) }

// TakeOut says how to turn back in the middle of a cut by a dial with a backlash, mm as it counts; NaN: nobody knows.
func TakeOut(u word.Units, backlash float64, bore bool) string {
	if backlash == 0 {
		return "turn straight to the reading, as there is no backlash"
	}
	by := "the backlash"
	if backlash > 0 {
		by = u.Division(backlash) + " (the backlash)"
	}
	back, on := backAndOn(bore)
	return fmt.Sprintf("stop the feed, turn %s past the reading by more than %s, then come %s to it", back, by, on)
}

// TakeOutBriefly says the same in a few words, beside a move.
func (r Correction) TakeOutBriefly() string {
	by, b := "the backlash", r.Dial.Backlash
	if b > 0 {
		by = r.Division(b)
	}
	back, on := backAndOn(r.K.Curve.Bore)
	return fmt.Sprintf("stop the feed, go %s past it by more than %s, then %s to it", back, by, on)
}

// backAndOn are the ways to turn against the corrections of a cut that go one way, and with them.
func backAndOn(bore bool) (back, on string) {
	if bore {
		return "in", "out"
	}
	return "out", "in"
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
	return s
}

// Along says what a slide that is set over does besides.
func (r Correction) Along() []string {
	if r.Dial.Angle == 0 {
		return nil
	}
	return []string{fmt.Sprintf("The compound is set %s° from the bed's axis. Its finest setting also moves the tool "+
		"along the bed by %s, which is left "+
		"out.", length.Fixed(r.Dial.Angle*180/math.Pi, 2), r.Small(r.Dial.Along()))}
}

func (r Correction) Assumed() []string {
	if math.IsNaN(r.Dial.Backlash) {
		return []string{"The backlash is not given; every turn back is marked as if there were some."}
	}
	return nil
}
