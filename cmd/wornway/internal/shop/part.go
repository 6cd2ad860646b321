package shop

import (
	"fmt"
	"strings"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/compensate/jobfile"
	"wornway/compensate/setup"
)

// Part is a job's part as it lies on a lathe. All is said in the job's unit.
type Part struct {
	*Bench
	JobFile *jobfile.File
	Holder  setup.Lathe
	Held    *setup.Held
	Taken   string // how its place was come by, as a sentence; empty where it was given
}

// Nothing refuses to answer where no feature can be turned.
func (p *Part) Nothing() error {
	var why []string
	for _, f := range p.Held.Features {
		why = append(why, f.Name+": "+f.Hidden)
	}
	return refuse.With(fmt.Sprintf("%s: held %s like this, no feature can be turned: %s",
		p.JobFile.Name, p.Held.Way.Words(),
		strings.Join(why, "; ")), "give another --at or --held")
}
