package page

import (
	"context"
	"math"
	"slices"
	"strconv"

	"wornway/cmd/wornway/internal/turning"
	"wornway/compensate/jobfile"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/length"
)

// ownLength is the choice of a length that is typed, where there is a job.
const ownLength = "0"

// jobFeature is the feature of a job that was chosen, as its part lies on the lathe; lengths in mm.
type jobFeature struct {
	file    *jobfile.File
	feature work.Feature // as the job has it
	// Where it lies, by predict; not known where the part cannot be held as asked.
	known        bool
	from, to, at float64 // at: the part's headstock end
	held         string
}

// job reads the job as it is now; nil where none is served.
func (s *Server) job(ctx context.Context) (*jobfile.File, error) {
	if s.Job == "" {
		return nil, nil
	}
	return s.env(ctx, &reading{files: map[string]checksum{}}).OpenJob(s.Job)
}

// lay finds out where the feature that was chosen lies.
func (s *Server) lay(ctx context.Context, c *choices, file *jobfile.File, p *profile.Profile) error {
	if file == nil {
		return nil
	}
	n, err := strconv.Atoi(c.Feature)
	if c.Feature == ownLength {
		return nil
	}
	if err != nil || n < 1 || n > len(file.Job.Features) {
		n = 1
	}
	c.Feature = strconv.Itoa(n)
	c.job = &jobFeature{file: file, feature: file.Job.Features[n-1]}
	if !slices.Contains(file.Job.Part.Held, work.Holding(c.Held)) { // chosen for a length of one's own
		c.Held = ""
	}
	if !file.Job.Part.EndForEnd {
		c.Turned = ""
	}
	a, err := s.ask(ctx, nil, s.line("predict", *c, p)...)
	if err != nil {
		return err
	}
	if j, ok := a.Report.JSON.(turning.PredictJobJSON); ok && len(j.Features) == 1 && j.Features[0].LengthJSON != nil {
		in, f := file.Unit.ToMM, j.Features[0]
		c.job.known, c.job.from, c.job.to, c.job.at, c.job.held = true, in(f.From), in(f.To), in(j.At), j.Held
	}
	return nil
}

// unit is the one that the choices are typed in, and This cut is told in.
func (c choices) unit(p *profile.Profile) length.Unit {
	if c.job != nil {
		return c.job.file.Unit
	}
	return p.Unit
}

// within is the spread that the feature may have: the least of its limits, mm; 0: none is asked.
func (l *jobFeature) within() float64 {
	least := math.Inf(1)
	for _, x := range []float64{l.feature.Tolerance, turning.SizeWidth(l.feature), l.feature.Taper} {
		if x > 0 {
			least = math.Min(least, x)
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}

// plain are the choices as ones of a length by itself, typed in a unit: what place, surveys and the lesson are asked
// for where a feature was chosen.
func (c choices) plain(u length.Unit) choices {
	l := c.job
	if l == nil {
		return c
	}
	c.job = nil
	c.Diameter, c.Tolerance, c.Held = typed(u.From(l.feature.Diameter)), "", l.held
	if l.known {
		c.From, c.To = typed(u.From(l.from)), typed(u.From(l.to))
	}
	if t := l.within(); t > 0 {
		c.Tolerance = typed(u.From(t))
	}
	return c
}

// jobFlags are the feature as flags of a command.
func (c choices) jobFlags(s *Server) []string {
	out := []string{"--job=" + s.Job, "--feature=" + c.job.feature.Name}
	for _, f := range []struct{ name, value string }{{"at", c.At}, {"held", c.Held}, {"set-over", c.SetOver},
		{"steady", c.Steady}} {
		if f.value != "" {
			out = append(out, "--"+f.name+"="+f.value)
		}
	}
	if c.Turned != "" {
		out = append(out, "--end-for-end")
	}
	return out
}

// corrected is what correct answered of the one length that it was asked for; ok is false where it did not.
func corrected(a *answer) (j turning.CorrectJSON, ok bool) {
	switch x := a.Report.JSON.(type) {
	case turning.CorrectJSON:
		return x, true
	case turning.CorrectJobJSON:
		if len(x.Features) == 1 && x.Features[0].LengthJSON != nil && x.Features[0].CorrectedJSON != nil {
			return turning.CorrectJSON{PredictJSON: turning.PredictJSON{Lathe: x.Lathe, Unit: x.Unit,
				LengthJSON: *x.Features[0].LengthJSON}, CorrectedJSON: *x.Features[0].CorrectedJSON,
				Why: x.Features[0].Why}, true
		}
	}
	return j, false
}
