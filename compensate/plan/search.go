package plan

import (
	"errors"
	"fmt"
	"slices"

	"wornway/compensate/work"
	"wornway/profile/abreast"
)

// drawnPlans is how many plans are drawn at the most.
const drawnPlans = 20

// ErrNothingAsked says that the job asks nothing of any feature: every way of making it is as good.
var ErrNothingAsked = errors.New("nothing is asked of any feature, and then every way is as good as another")

// Search returns the plans, the best of each kind, and the best first. The error is [ErrNothingAsked], or says what of
// the question cannot be calculated with.
func (q Question) Search() (out *Result, err error) {
	if !slices.ContainsFunc(q.Job.Features, work.Feature.Asked) {
		return nil, ErrNothingAsked
	}
	out = &Result{}
	all := make([][]draft, len(q.Lathes))
	refused := make([][]Exclusion, len(q.Lathes))
	looked := make([]int, len(q.Lathes))
	errs := make([]error, len(q.Lathes))
	abreast.Do(len(q.Lathes), func(l int) { all[l], refused[l], looked[l], errs[l] = q.onLathe(l) })
	var drafts []draft
	for l := range q.Lathes {
		if errs[l] != nil {
			return nil, errs[l]
		}
		drafts = append(drafts, all[l]...)
		out.Refused = append(out.Refused, refused[l]...)
		out.Looked += looked[l]
	}
	short := shortlist(drafts, drawnPlans)
	out.Drawn = len(short)
	plans := make([]evaluation, len(short))
	errs = make([]error, len(short))
	abreast.Do(len(short), func(i int) {
		plans[i].draft = short[i]
		plans[i].simulation, errs[i] = q.evaluate(short[i])
	})
	for i, err := range errs {
		if err != nil {
			return nil, fmt.Errorf("%s: %w", q.Lathes[short[i].lathe].Name, err)
		}
	}
	slices.SortStableFunc(plans, func(a, b evaluation) int { return compare(&a.plan, &b.plan) })
	for _, p := range plans {
		if !slices.ContainsFunc(out.Plans, func(o Plan) bool { return alike(&o, &p.plan) }) {
			if len(out.Plans) < explained {
				q.explain(p.simulation)
			}
			out.Plans = append(out.Plans, p.plan)
		}
	}
	if len(out.Plans) > 0 {
		out.Helps, err = q.helps(out.Plans[0], all, plans)
		return out, err
	}
	if out.Lacks, err = q.lacks(); err != nil {
		return nil, err
	}
	out.Change, err = q.nearest()
	return out, err
}

// onLathe returns the drafts for one lathe, why some ways of holding cannot be, and how many positions were looked at.
func (q Question) onLathe(lathe int) (drafts []draft, refused []Exclusion, looked int, err error) {
	var kinds []*kind
	for _, k := range q.ways(lathe) {
		why, err := q.survey(k)
		if err != nil {
			return nil, nil, 0, err
		}
		if len(k.sights) == 0 {
			r := Exclusion{lathe, k.held, *why}
			// the first tells most: without a steady, as it lies
			if !slices.ContainsFunc(refused, func(o Exclusion) bool { return o.Way == r.Way }) {
				refused = append(refused, r)
			}
			continue
		}
		kinds = append(kinds, k)
		if o, ok, err := q.overset(k); err != nil {
			return nil, nil, 0, err
		} else if ok {
			kinds = append(kinds, o)
		}
	}
	for _, k := range kinds {
		looked += len(k.sights)
	}
	return q.drafts(lathe, kinds), refused, looked, nil
}

// alike says whether two plans are of one kind, so that the better of them is enough.
func alike(a, b *Plan) bool {
	if a.Lathe != b.Lathe || len(a.SetUps) != len(b.SetUps) || a.Corrected &&
		a.Moves > 0 != (b.Corrected && b.Moves > 0) || compound(a) != compound(b) {
		return false
	}
	for i, s := range a.SetUps {
		o := b.SetUps[i]
		if s.Way != o.Way || (s.Steady == nil) != (o.Steady == nil) || (s.SetOver == 0) != (o.SetOver == 0) {
			return false
		}
	}
	return sizedOnce(a) == sizedOnce(b)
}

func compound(p *Plan) bool { return p.Dial != nil && p.Dial.Compound }

func sizedOnce(p *Plan) bool {
	return slices.ContainsFunc(p.Features, func(o Outcome) bool { return o.ByDial })
}
