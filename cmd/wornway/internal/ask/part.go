package ask

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"wornway/compensate/jobfile"
	"wornway/profile/document"
	"wornway/profile/form"
	"wornway/profile/length"
)

// asked are the keys of a job file that a plan cannot do without, and those that change it most; the file explains the
// others.
var asked = []string{"job.name", "job.length", "job.stock_diameter", "job.stock_length", "job.held", "job.end_for_end",
	"job.material", "job.cut.depth", "job.cut.feed", "feature.name", "feature.from", "feature.to", "feature.diameter",
	"feature.bore", "feature.fit", "feature.upper", "feature.lower", "feature.spread"}

// Part asks for a job file's keys and for as many features as there are, and returns the file's text.
func (a *Interview) Part(unit length.Unit) string {
	answers := form.Answers{}
	text := func(given form.Answers) string {
		job, features := form.Answers{}, []form.Answers{}
		for path, v := range given {
			var n int
			if _, err := fmt.Sscanf(path, "feature[%d]", &n); err != nil {
				job[path] = v
				continue
			}
			for len(features) < n {
				features = append(features, form.Answers{})
			}
			features[n-1][form.Plain(path)] = v
		}
		return jobfile.Template(unit, job, features...)
	}
	a.begin(unit, draft{answers, func(given form.Answers) (faults, odd []document.Fault) {
		f, err := jobfile.Parse("job", []byte(text(given)))
		var all document.Faults
		errors.As(err, &all)
		if f != nil {
			odd = f.Warnings
		}
		return all, odd
	}})
	a.say("Positions count along the part from its headstock end.")
	var job, feature []step
	for _, k := range jobfile.Keys() {
		switch {
		case !slices.Contains(asked, k.Path):
		case k.Table() == "feature":
			feature = append(feature, step{key: k})
		case k.Table() == "job.cut":
			if k.Path == "job.cut.depth" {
				job = append(job, step{group: k.Table(), asks: "The finishing cut, for the work's bending? " +
					"(yes, or no for later)", or: yesOrNo})
			}
			job = append(job, step{key: k, group: k.Table()})
		default:
			job = append(job, step{key: k})
		}
	}
	a.all(job)
	for n := 1; !a.ended; n++ {
		a.raw("\n")
		a.say("Length %d that is turned.", n)
		var steps []step
		number := strings.NewReplacer("feature.", fmt.Sprintf("feature[%d].", n))
		for _, s := range feature {
			s.key.Path, s.key.Instead = number.Replace(s.key.Path), slices.Clone(s.key.Instead)
			for i, path := range s.key.Instead {
				s.key.Instead[i] = number.Replace(path)
			}
			steps = append(steps, s)
		}
		if a.all(steps); a.ended {
			break
		}
		a.raw("\n")
		if a.yesOrNo("Is another length turned on it? (yes or no)") != "yes" {
			break
		}
	}
	return text(answers)
}
