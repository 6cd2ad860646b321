package plan

import "slices"

// helps returns what the other lathes of the question would promise, and a steady where the best plan's lathe has none.
func (q Question) helps(best Plan, all [][]draft, known []evaluation) ([]Help, error) {
	var out []Help
	for l, drafts := range all {
		if l == best.Lathe {
			continue
		}
		p, err := q.foremost(drafts, known)
		if err != nil {
			return nil, err
		}
		if p != nil {
			out = append(out, Help{Plan: *p})
		}
	}
	if q.Lathes[best.Lathe].Steady {
		return out, nil
	}
	with := q
	with.Lathes = slices.Clone(q.Lathes)
	with.Lathes[best.Lathe].Steady = true
	drafts, _, _, err := with.onLathe(best.Lathe)
	if err != nil {
		return nil, err
	}
	drafts = slices.DeleteFunc(drafts, func(d draft) bool {
		return !slices.ContainsFunc(d.sights, func(s *sight) bool { return s.held.Steady != nil })
	})
	p, err := with.foremost(drafts, nil)
	if p != nil {
		out = append(out, Help{Steady: true, Plan: *p})
	}
	return out, err
}

// evaluation is a draft with what was drawn of it.
type evaluation struct {
	draft draft
	*simulation
}

// foremost returns the plan of the draft that is best in rank, and nil where there is none.
func (q Question) foremost(drafts []draft, known []evaluation) (*Plan, error) {
	if len(drafts) == 0 {
		return nil, nil
	}
	first := shortlist(drafts, 1)[0]
	if i := slices.IndexFunc(known, func(e evaluation) bool { return e.draft.same(&first) }); i >= 0 {
		return &known[i].plan, nil
	}
	v, err := q.evaluate(first)
	if err != nil {
		return nil, err
	}
	return &v.plan, nil
}
