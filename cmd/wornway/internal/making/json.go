package making

import (
	"math"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/show"
	"wornway/compensate/plan"
)

type planJSON struct {
	Format    int           `json:"format"`
	Job       string        `json:"job"`
	Unit      string        `json:"unit"`
	Advice    string        `json:"advice"`
	Plans     []onePlanJSON `json:"plans"`
	Refused   []string      `json:"refused"`
	Lacks     []string      `json:"lacks"`
	Nearest   *string       `json:"nearest_change"`
	Measuring float64       `json:"measuring"`
	Assumed   []string      `json:"assumed"`
	Warnings  []string      `json:"warnings"`
}

type onePlanJSON struct {
	Lathe       string            `json:"lathe"`
	Held        string            `json:"held"`
	From        float64           `json:"from"`
	EndForEnd   bool              `json:"end_for_end"`
	SetOver     float64           `json:"set_over"`
	Steady      *float64          `json:"steady"`
	SetUps      []setUpJSON       `json:"set_ups"`
	Compound    *float64          `json:"compound_angle"`
	Bending     float64           `json:"bending"`
	Features    []planFeatureJSON `json:"features"`
	Probability *float64          `json:"probability"`
	Holds       bool              `json:"holds"`
	Moves       int               `json:"moves"`
	Effort      int               `json:"effort"`
	HeldBackBy  *string           `json:"held_back_by"`
}

type setUpJSON struct {
	Held      string   `json:"held"`
	From      float64  `json:"from"`
	EndForEnd bool     `json:"end_for_end"`
	SetOver   float64  `json:"set_over"`
	Steady    *float64 `json:"steady"`
	Overhang  float64  `json:"overhang"`
	Features  []string `json:"features"`
	Finished  []string `json:"grips_finished"`
}

type planFeatureJSON struct {
	Name        string        `json:"name"`
	SetUp       int           `json:"set_up"`
	Position    float64       `json:"position"`
	To          float64       `json:"to"`
	SetAt       float64       `json:"set_at"`
	Sized       string        `json:"sized"`
	Aim         float64       `json:"aim"`
	Low         float64       `json:"low"`
	High        float64       `json:"high"`
	Upper       *float64      `json:"upper"`
	Lower       *float64      `json:"lower"`
	Recalled    bool          `json:"limits_from_memory"`
	Spread      *float64      `json:"spread"`
	Taper       *float64      `json:"taper"`
	Wear        float64       `json:"wear"`
	Bending     float64       `json:"bending"`
	Runout      *float64      `json:"runout"`
	RunoutTo    *string       `json:"runout_to"`
	RunoutLimit *float64      `json:"runout_limit"`
	Feed        string        `json:"feed"`
	Settings    []settingJSON `json:"settings"`
	Uncertainty *float64      `json:"uncertainty"`
	Probability *float64      `json:"probability"`
}

// settingJSON is one setting of the dial along a feature, in cutting order.
type settingJSON struct {
	Position  float64 `json:"position"`
	Divisions float64 `json:"divisions"`
	Direction string  `json:"direction"`
	TakeUp    bool    `json:"take_up"`
}

// settings are those of one feature.
func (p *Plans) settings(k plan.Plan, o plan.Outcome) []settingJSON {
	out := []settingJSON{}
	if o.Correction == nil {
		return out
	}
	for _, m := range o.Correction.Moves {
		out = append(out, settingJSON{p.In.From(m.Position), math.Abs(k.Dial.Divisions(m.Change)),
			map[bool]string{true: "in", false: "out"}[m.Change > 0], m.TakeUp})
	}
	return out
}

func (p *Plans) JSON(r show.Report) planJSON {
	out := planJSON{Format: 1, Job: p.File.Job.Name, Unit: p.In.String(), Advice: r.Answer[0], Plans: []onePlanJSON{},
		Refused:   append([]string{}, p.refusals()...),
		Measuring: p.In.From(p.Question.Measuring), Assumed: r.Assumed, Warnings: append([]string{}, r.Warnings...)}
	if out.Lacks = append([]string{}, p.Lacks()...); len(p.Result.Plans) == 0 {
		nearest := p.Nearest()
		out.Nearest = &nearest
	}
	for _, k := range p.Result.Plans {
		out.Plans = append(out.Plans, p.onePlan(k))
	}
	return out
}

func (p *Plans) onePlan(k plan.Plan) onePlanJSON {
	in := p.In.From
	j := onePlanJSON{Lathe: p.Question.Lathes[k.Lathe].Name, Probability: answer.Null(k.Probability, k.Stated),
		Holds: k.Holds,
		Moves: k.Moves, Effort: k.Effort}
	for _, u := range k.SetUps {
		s := setUpJSON{Held: string(u.Way), From: in(u.At), EndForEnd: u.EndForEnd, SetOver: in(u.SetOver),
			Overhang: in(u.Overhang), Features: p.named(u.Features),
			Finished: append([]string{}, p.named(u.Finished)...)}
		if u.Steady != nil {
			s.Steady = answer.Null(in(*u.Steady), true)
		}
		j.SetUps = append(j.SetUps, s)
	}
	first := j.SetUps[0]
	j.Held, j.From, j.EndForEnd, j.SetOver, j.Steady = first.Held, first.From, first.EndForEnd, first.SetOver,
		first.Steady
	if k.Dial != nil && k.Dial.Compound {
		j.Compound = answer.Null(k.Dial.Angle*180/math.Pi, true)
	}
	if len(k.HeldBack) > 0 && k.HeldBack[0].Without > k.Probability {
		cause := string(k.HeldBack[0].Cause)
		j.HeldBackBy = &cause
	}
	for _, f := range k.Features {
		o := planFeatureJSON{Name: f.Name, SetUp: f.SetUp + 1, Position: in(f.From), To: in(f.To), SetAt: in(f.SetAt),
			Sized: string(f.Sized), Aim: in(f.Aim), Low: in(f.Low), High: in(f.High),
			Recalled: f.Recalled, Spread: answer.Null(in(f.Tolerance), f.Tolerance > 0),
			Taper: answer.Null(in(f.Taper), f.Taper > 0),
			Wear:  in(f.Wear), Bending: in(f.Bending),
			Uncertainty: answer.Null(in(f.Uncertainty), k.Stated), Probability: answer.Null(f.Probability, k.Stated)}
		if f.Runs != nil {
			to := f.RunoutTo
			o.Runout, o.RunoutTo = answer.Null(in(f.Runout), true), &to
			o.RunoutLimit = answer.Null(in(f.Runs.Limit), true)
		}
		o.Feed, o.Settings = say.FeedName(f.Feed), p.settings(k, f)
		if f.Size != nil {
			o.Lower, o.Upper = answer.Null(in(f.Diameter+f.Size.Lower), true),
				answer.Null(in(f.Diameter+f.Size.Upper), true)
		}
		j.Bending = math.Max(j.Bending, o.Bending)
		j.Features = append(j.Features, o)
	}
	return j
}
