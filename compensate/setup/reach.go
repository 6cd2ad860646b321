package setup

import (
	"cmp"
	"math"
	"slices"

	"wornway/compensate/work"
)

// ascending returns the features in the order in which they lie on the bed.
func ascending(fs []MountedFeature) []MountedFeature {
	out := slices.Clone(fs)
	slices.SortStableFunc(out, func(a, b MountedFeature) int { return cmp.Compare(a.From, b.From) })
	return out
}

// Reach returns between which positions (mm) the part's headstock end may lie when it is held so, and false where it
// cannot be.
func (l Lathe) Reach(j work.Job, held work.Holding, endForEnd, steady bool) (from, to float64, ok bool) {
	p := j.Part
	if held.Tailed() {
		from, to = l.Travel[0]-p.Length, l.Travel[1]-p.Length
	} else {
		from, to = math.Inf(-1), math.Inf(1)
	}
	if !held.Gripped() {
		return l.Headstock, l.Headstock, l.Headstock >= from && l.Headstock <= to
	}
	spare := 0.0
	if !endForEnd {
		spare = p.StockLength - p.Length
	}
	to = math.Min(to, l.JawsFront-p.Grip+spare)
	from = math.Max(from, l.JawsFront+spare-l.JawsDepth)
	if held == work.Chuck && !steady {
		to = math.Min(to, l.JawsFront+l.Overhang*p.Stock-p.Length)
	}
	// Nearer than this no feature that anything is asked of stands out of the jaws.
	out := math.Inf(-1)
	for _, f := range wanted(j, endForEnd) {
		out = math.Max(out, f.From)
	}
	from = math.Max(from, l.JawsFront+JawsClear-out)
	return from, to, from <= to
}

// wanted returns the features of which something is asked, as the part lies; all where nothing is asked of any.
func wanted(j work.Job, endForEnd bool) []work.Feature {
	any := slices.ContainsFunc(j.Features, work.Feature.Asked)
	var out []work.Feature
	for _, f := range j.Features {
		if any && !f.Asked() {
			continue
		}
		if endForEnd {
			f = f.Turned(j.Part.Length)
		}
		out = append(out, f)
	}
	return out
}

// Nearest returns the position (mm) of the part's headstock end that is nearest to the headstock while every feature of
// which something is asked stands out of the jaws; where the part cannot be held so far out, the furthest at which it
// can. all says whether they all stand out there, and ok is false where it cannot be held so anywhere. Between centres
// there is but one position.
func (l Lathe) Nearest(j work.Job, held work.Holding, endForEnd, steady bool) (at float64, all, ok bool) {
	from, to, ok := l.Reach(j, held, endForEnd, steady)
	if !ok || !held.Gripped() {
		return from, ok, ok
	}
	need := math.Inf(-1)
	for _, f := range wanted(j, endForEnd) {
		need = math.Max(need, l.JawsFront+JawsClear-f.From)
	}
	return math.Max(from, math.Min(need, to)), need <= to, true
}

// Steadies returns where a steady could stand, mm from the part's headstock end: in the middle of each length between
// features, and between the last one and the part's end, that is long enough for its pads.
func Steadies(j work.Job, endForEnd bool) []float64 {
	var at []float64
	var fs []MountedFeature
	for _, f := range j.Features {
		if endForEnd {
			f = f.Turned(j.Part.Length)
		}
		if !f.Bore {
			fs = append(fs, MountedFeature{Feature: f})
		}
	}
	fs = ascending(fs)
	for i, f := range fs {
		next := j.Part.Length
		if i+1 < len(fs) {
			next = fs[i+1].From
		}
		if next-f.To >= 2*steadyHalf {
			at = append(at, (f.To+next)/2)
		}
	}
	return at
}
