package making

import (
	"cmp"
	"fmt"
	"slices"

	"wornway/cmd/wornway/internal/say"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/turning"
	"wornway/compensate/plan"
)

// List is the best plan as plain text for a telephone at the machine.
func (p *Plans) List() show.Report {
	k := p.Result.Plans[0]
	lines := []string{fmt.Sprintf("%s on “%s”", cmp.Or(p.File.Job.Name, "The part"),
		p.Question.Lathes[k.Lathe].Name)}
	if k.Stated && !k.Holds {
		lines = append(lines, "NOT PROMISED: "+p.odds(k))
	} else {
		lines = append(lines, p.verdict(k))
	}
	var all []turning.Stops
	if k.Dial != nil {
		lines = append(lines, turning.Correction{Dial: k.Dial.Dial}.SetOver()...)
	}
	for i, u := range k.SetUps {
		lines = append(lines, "", fmt.Sprintf("Set-up %d: %s.", i+1, p.hold(u)))
		for _, number := range u.Features {
			f := k.Features[slices.IndexFunc(k.Features, func(o plan.Outcome) bool { return o.Number == number })]
			stops := p.stops(k, f, p.File.Job.Features[u.Features[0]].Name)
			lines = append(append(lines, ""), stops.Lines()...)
			lines = append(lines, "Comes out "+p.diameters(f.Low, f.High)+" "+p.UnitName())
			if f.Bore {
				lines = append(lines, "Come to size from below: a bore too big is scrap")
			}
			all = append(all, stops)
		}
	}
	if k.Dial != nil {
		lines = append(append(lines, ""), turning.Foot(all...)...)
	}
	r := turning.ListOf(lines, p.Warnings())
	r.Remarks = append(p.onFinished(k), r.Remarks...)
	for _, u := range k.SetUps {
		r.Cautions = append(r.Cautions, say.HoldingCautions(p.File.Job.Part, p.Question.Lathes[k.Lathe].JawsFront,
			u.Mounting)...)
	}
	return r
}

// stops are those of one feature; first names the one that its set-up is measured at.
func (p *Plans) stops(k plan.Plan, f plan.Outcome, first string) turning.Stops {
	s := turning.Stops{Correction: turning.Correction{Bench: p.Lathes[k.Lathe], K: f.Correction},
		What: fmt.Sprintf("%s: %s to %s", f.Name, p.BareAbout(f.From), p.About(f.To)), SetAt: f.Start(), Aim: f.Aim,
		Feed: f.Feed}
	if k.Dial != nil {
		s.Dial = k.Dial.Dial
	}
	if f.ByDial {
		s.ByDial = first
	}
	return s
}
