package setup

import (
	"fmt"
	"math"

	"wornway/compensate"
	"wornway/compensate/bend"
	"wornway/compensate/work"
	"wornway/profile/bed"
)

// Setup is one way of putting a part on a lathe. Lengths mm from the spindle nose.
type Setup struct {
	Way       work.Holding
	At        float64  // where the part's headstock end lies, as the part then lies
	EndForEnd bool     // the part is turned end for end
	Steady    *float64 // where the steady stands; nil: none
	SetOver   float64  // of the tailstock's centre, plus toward the operator
}

// Refusal says why a part cannot be held so. Message has a %s for each of the lengths, mm, which a caller writes in a
// unit of its own.
type Refusal struct {
	Message string
	Lengths []float64
}

func (r Refusal) Error() string {
	return r.Words(func(mm float64) string { return fmt.Sprintf("%g mm", mm) })
}

// Words returns the message with its lengths as they are to be written.
func (r Refusal) Words(write func(mm float64) string) string {
	of := make([]any, len(r.Lengths))
	for i, l := range r.Lengths {
		of[i] = write(l)
	}
	return fmt.Sprintf(r.Message, of...)
}

func refuse(message string, lengths ...float64) Refusal { return Refusal{message, lengths} }

// Mounting is a part as it lies on a lathe. Lengths mm.
type Mounting struct {
	Setup
	Machine  compensate.Machine // with the axis about which the work turns
	Push     *compensate.Push   // nil: the push of the cut is left out
	Features []MountedFeature   // in the order of the job
	Overhang float64            // from the jaws' front to the part's far end
	job      work.Job
}

// MountedFeature is a feature as it lies on the bed.
type MountedFeature struct {
	work.Feature        // positions from the spindle nose
	Hidden       string // why it cannot be turned so, in words; empty: it can
}

// span is where a part lies. Positions mm from the spindle nose.
type span struct {
	first, last float64 // of the stock
	// what holds it: the jaws' front or the headstock's centre, and the free end or the tailstock's centre
	near, far float64
}

// span returns where the part lies and refuses what cannot be held.
func (l Lathe) span(j work.Job, s Setup) (span, error) {
	p := j.Part
	k := span{first: s.At, last: s.At + p.Length, near: l.JawsFront, far: s.At + p.Length}
	if !s.EndForEnd {
		k.first -= p.StockLength - p.Length
	}
	const near = 1e-6
	if s.Way.Tailed() && (k.far < l.Travel[0]-near || k.far > l.Travel[1]+near) {
		return k, refuse("the part's end would lie at %s, and the tailstock's centre reaches from %s to %s", k.far,
			l.Travel[0], l.Travel[1])
	}
	if !s.Way.Gripped() {
		switch {
		case math.IsNaN(l.Headstock):
			return k, refuse("where the headstock's centre lies is not known")
		case math.Abs(s.At-l.Headstock) > near:
			return k, refuse("between centres the part begins at the headstock's centre, at %s", l.Headstock)
		}
		k.near, k.first = l.Headstock, s.At
		return k, l.steadied(k, s)
	}
	switch grip := k.near - k.first; {
	case grip < p.Grip-near:
		return k, refuse("only %s of it would be in the jaws, and %s must be held", math.Max(grip, 0), p.Grip)
	case grip > l.JawsDepth+near:
		return k, refuse("%s of it would stand behind the jaws' front, and no more than %s goes in", grip, l.JawsDepth)
	}
	if out := k.far - k.near; !s.Way.Tailed() && s.Steady == nil && out > l.Overhang*p.Stock+near {
		return k, refuse(fmt.Sprintf("it would hang out by %.1f diameters, and longest_overhang is %.1f", out/p.Stock,
			l.Overhang))
	}
	if k.far <= k.near {
		return k, refuse("nothing of it stands out of the jaws")
	}
	return k, l.steadied(k, s)
}

// steadied refuses a steady that has no room.
func (l Lathe) steadied(k span, s Setup) error {
	if s.Steady != nil && (*s.Steady < k.near+JawsClear+steadyHalf || *s.Steady > k.far-steadyHalf) {
		return refuse("there is no room for the steady at %s", *s.Steady)
	}
	return nil
}

// Set puts the part on the lathe. The error is a [Refusal], or says what of the part cannot be calculated with.
func (l Lathe) Set(j work.Job, s Setup) (*Mounting, error) {
	k, err := l.span(j, s)
	if err != nil {
		return nil, err
	}
	h := &Mounting{Setup: s, Machine: l.Machine, Overhang: k.far - k.near, job: j}
	first, last := l.Machine.Wear.Range()
	for _, f := range j.Features {
		if s.EndForEnd {
			f = f.Turned(j.Part.Length)
		}
		f.From, f.To = f.From+s.At, f.To+s.At
		h.Features = append(h.Features, MountedFeature{f, hidden(f, s, k, j.Part, first, last)})
	}
	bent, err := shaft(h, l, k, s).Solve()
	if err != nil {
		return nil, fmt.Errorf("the part cannot be calculated as a shaft: %w", err)
	}
	if s.Way.Tailed() {
		// The steady is set to the running work once the tailstock is aligned, set over and clamped: it does not bend
		// the axis, only carries what the cut pushes.
		free := bent
		if s.Steady != nil {
			without := s
			without.Steady = nil
			if free, err = shaft(h, l, k, without).Solve(); err != nil {
				return nil, fmt.Errorf("the part cannot be calculated as a shaft: %w", err)
			}
		}
		h.Machine.Axis = l.axis(free, s, k)
	}
	if c := j.Part.Cut; c.Pushed() {
		force, u, err := c.Force(l.Turning)
		if err != nil {
			return nil, fmt.Errorf("the force of the cut cannot be calculated: %w", err)
		}
		h.Push = &compensate.Push{
			By:     func(z float64) float64 { return bend.Pushed(force, c.Depth, bent.Under(z), c.SpringPasses) },
			Breaks: bent.Breaks(),
			U:      u / force,
		}
	}
	return h, nil
}

// hidden says why a feature on the bed cannot be turned.
func hidden(f work.Feature, s Setup, k span, p *work.Part, first, last float64) string {
	switch {
	case s.Way.Gripped() && f.From < k.near+JawsClear:
		return "it lies under the jaws, or too near to them"
	case !s.Way.Gripped() && f.From < k.near+p.Grip+JawsClear:
		return "it lies under the dog, or too near to it"
	case s.Steady != nil && f.From < *s.Steady+steadyHalf && f.To > *s.Steady-steadyHalf:
		return "the steady runs on it"
	case f.From < first || f.To > last:
		return "nothing is known of the wear there"
	case f.Bore && s.Way.Tailed():
		return "the centre stands in the way of the boring tool"
	}
	return ""
}

// anyModulus, N/mm², stands in for one that is not known. Without a force nothing depends on it but, where the chuck
// gives, the shape of work that the tailstock's centre bends: it is that of steel, from memory.
const anyModulus = 206000

// shaft returns the work as it is held. Where nothing is turned it has the stock's diameter, where a feature lies
// outside that feature's.
func shaft(h *Mounting, l Lathe, k span, s Setup) bend.Shaft {
	p := h.job.Part
	out := bend.Shaft{Modulus: p.Modulus}
	if p.Modulus == 0 {
		out.Modulus = anyModulus
	}
	at := k.near
	add := func(to, diameter float64) {
		if to > at {
			out.Sections = append(out.Sections, bend.Section{From: at, To: to, Diameter: diameter})
			at = to
		}
	}
	for _, f := range ascending(h.Features) {
		if f.Bore {
			continue
		}
		add(math.Min(f.From, k.far), p.Stock)
		add(math.Min(f.To, k.far), f.Diameter)
	}
	add(k.far, p.Stock)
	if s.Way.Gripped() {
		out.Clamp = &bend.Clamp{At: k.near, Turning: l.Turning}
	} else {
		out.Rests = append(out.Rests, k.near)
	}
	if s.Steady != nil {
		out.Rests = append(out.Rests, *s.Steady)
	}
	if s.Way.Tailed() {
		out.Rests = append(out.Rests, k.far)
	}
	return out
}

// axis returns that of work whose far end the tailstock's centre carries. Between centres it is a straight line from
// the headstock's centre, taken as parallel to the bed when the tailstock stood where it was aligned; in the jaws it
// begins as the spindle's axis does, and what the centre's place differs from that bends the work.
func (l Lathe) axis(bent *bend.Beam, s Setup, k span) compensate.Axis {
	rest := bent.Rests() - 1
	t := &compensate.Tail{
		Follow:  func(z float64) float64 { return bent.Follow(rest, z) },
		Breaks:  bent.Breaks(),
		SetOver: s.SetOver,
		U:       AlignedU,
	}
	if s.SetOver != 0 {
		t.U *= math.Sqrt2 // it was set once more
	}
	if l.Tail != nil && !math.IsNaN(l.Tail.AlignedAt) {
		b := l.Machine.Lathe
		out, drop := b.CentreOut(l.Tail.Base, l.Tail.Offset), b.CentreDrop(l.Tail.Base, l.Tail.Offset)
		t.Out = []bed.Addend{out.At(k.far, 1), out.At(l.Tail.AlignedAt, -1)}
		t.Up = []bed.Addend{drop.At(k.far, -1), drop.At(l.Tail.AlignedAt, 1)}
	}
	if s.Way == work.Centres {
		return compensate.Axis{Tail: t}
	}
	t.Out = append(t.Out, bed.Of(bed.LeanOut).At(k.far, -1))
	t.Up = append(t.Up, bed.Of(bed.LeanUp).At(k.far, -1))
	a := compensate.SpindleAxis()
	a.Tail = t
	return a
}

// Curve returns the error curve of a feature, by its number in the job, with the diameter measured and the dial set at
// setAt (mm from the spindle nose).
func (h *Mounting) Curve(feature int, setAt float64) (*compensate.Curve, error) {
	return h.Machine.Curve(h.Cut(feature, setAt))
}

// Cut returns the feature as a cut.
func (h *Mounting) Cut(feature int, setAt float64) compensate.Cut {
	return compensate.Cut{Feature: h.Features[feature].Feature, SetAt: setAt, ToolHeight: h.job.ToolHeight,
		Push: h.Push}
}
