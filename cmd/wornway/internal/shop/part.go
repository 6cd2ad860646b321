package shop

import (
	"fmt"
	"iter"
	"strings"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/compensate/jobfile"
	"wornway/compensate/setup"
)

// Part is a job's part as it lies on a lathe. All is said in the job's unit.
type Part struct {
	*Bench
	JobFile *jobfile.File
	Holder  setup.Lathe
	Held    *setup.Mounting
	Only    string // the feature that is asked about; empty: all are
	Taken   string // how its place was come by, as a sentence; empty where it was given
}

// Asked are the features that are asked about, by their numbers in the job.
func (p *Part) Asked() iter.Seq2[int, setup.MountedFeature] {
	return func(yield func(int, setup.MountedFeature) bool) {
		for i, f := range p.Held.Features {
			if (p.Only == "" || f.Name == p.Only) && !yield(i, f) {
				return
			}
		}
	}
}

// Nothing refuses to answer where no feature can be turned.
func (p *Part) Nothing() error {
	var why []string
	for _, f := range p.Asked() {
		why = append(why, f.Name+": "+f.Hidden)
	}
	return refuse.With(fmt.Sprintf("%s: held %s like this, no feature can be turned: %s",
		p.JobFile.Name, p.Held.Way.Words(),
		strings.Join(why, "; ")), "give another --at or --held")
}

// HeadJSON is what an answer for a job's part begins with.
type HeadJSON struct {
	Format    int      `json:"format"`
	Job       string   `json:"job"`
	Lathe     string   `json:"lathe"`
	Unit      string   `json:"unit"`
	Held      string   `json:"held"`
	At        float64  `json:"at"`
	EndForEnd bool     `json:"end_for_end"`
	SetOver   float64  `json:"set_over"`
	Steady    *float64 `json:"steady"`
}

// Head returns it for a part.
func Head(p *Part) HeadJSON {
	in := p.In.From
	j := HeadJSON{Format: 1, Job: p.JobFile.Job.Name, Lathe: p.Lathe.Name,
		Unit: p.In.String(), Held: string(p.Held.Way),
		At: in(p.Held.At), EndForEnd: p.Held.EndForEnd, SetOver: in(p.Held.SetOver)}
	if p.Held.Steady != nil {
		j.Steady = answer.Null(in(*p.Held.Steady), true)
	}
	return j
}
