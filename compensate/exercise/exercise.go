package exercise

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"wornway/compensate/cause"
	"wornway/profile"
	"wornway/profile/survey"
	"wornway/profile/wear"
)

// HiddenCause is a cause that was hidden. Size is in the unit of [cause.Foretell]; NaN for one without a size.
type HiddenCause struct {
	Kind cause.Kind
	Size float64
}

// Page is what was read in one survey, cut or reading, as it was noted: places in the lathe's unit, readings in their
// own.
type Page struct {
	Method       string
	At, Readings []float64
	Digits       int // of a reading, behind the point
}

// Reading is a cut or a reading that was made since the bed was surveyed.
type Reading struct {
	Page
	Name string // chucked-light, chucked-deep, centres or saddle-level
	Text string // a file for check --measured
	Cut  *profile.Cut
}

// Exercise is one blind exercise.
type Exercise struct {
	Number
	Text     string // the profile's file
	Profile  *profile.Profile
	Surveys  []Page // of the bed
	Readings []Reading
	Hidden   []HiddenCause // AsSurveyed where there is none

	found   *cause.Result
	bed     cause.Bed
	mistake []cause.Misreading
}

// Causes are what may be hidden, in the order in which a sheet lists them.
func Causes() []cause.Kind {
	return []cause.Kind{cause.AsSurveyed, cause.WornOn, cause.Twist, cause.Lean, cause.SetOver, cause.TailHeight,
		cause.PushOff, cause.Radius, cause.LevelSign}
}

// Names are the cuts and readings that a sheet may hold or ask for.
func Names() []string { return []string{"chucked-light", "chucked-deep", "centres", "saddle-level"} }

// errNone says that no attempt made an exercise that can be set.
var errNone = errors.New("no exercise of this number can be made: take another")

// New makes the exercise of a number. Which causes are hidden is drawn first; the lathe, their sizes and the readings
// are drawn again until the causes can be found in them as the level asks: on levels 1 and 3 the first cause found is a
// hidden one and found for certain, and the other is more likely there than not; on level 2 it may be the hidden one.
func New(n Number) (*Exercise, error) {
	if n.Level < 1 || n.Level > Hardest {
		return nil, fmt.Errorf("there is no level %d", n.Level)
	}
	kinds := hide(source(n, 0), n.Level)
	const attempts = 100
	for i := range uint64(attempts) {
		e, err := attempt(n, kinds, source(n, i+1))
		if err != nil {
			return nil, err
		}
		if e.sound() {
			return e, nil
		}
	}
	return nil, errNone
}

// source returns random numbers that belong to an exercise. The number is scattered over the generator's whole state,
// since near states begin alike (two odd constants of usual mixing functions: 2⁶⁴ over the golden ratio, and a
// multiplier of splitmix64, from memory).
func source(n Number, attempt uint64) *rand.Rand {
	const golden, other = 0x9e3779b97f4a7c15, 0xbf58476d1ce4e5b9
	r := rand.New(rand.NewPCG((n.Seed+1)*golden, (uint64(n.Level)<<32+attempt+1)*other))
	for range 8 {
		r.Uint64()
	}
	return r
}

// sound says whether the exercise can be set.
func (e *Exercise) sound() bool {
	const may, likely = 0.35, 0.5
	first := e.found.Causes[0]
	switch {
	case e.Level == 2:
		return e.probability(e.Hidden[0].Kind) >= may
	case !e.hides(first.Kind):
		return false
	case first.Kind == cause.AsSurveyed: // that nothing is wrong is never sure
		return true
	}
	if !e.found.Decided {
		return false
	}
	for _, h := range e.Hidden { // of two both are to be seen
		if e.probability(h.Kind) < likely {
			return false
		}
	}
	return true
}

// probability is that of a cause by what the readings say.
func (e *Exercise) probability(k cause.Kind) float64 { return probabilityIn(e.found, k) }

func (e *Exercise) hides(k cause.Kind) bool {
	return slices.ContainsFunc(e.Hidden, func(h HiddenCause) bool { return h.Kind == k })
}

// hide draws which causes are hidden.
func hide(r *rand.Rand, level int) []cause.Kind {
	causes := Causes()
	if level < Hardest || r.IntN(4) == 0 {
		return []cause.Kind{causes[r.IntN(len(causes))]}
	}
	var may []cause.Kind // that come with others
	for _, k := range causes {
		if slices.ContainsFunc(causes, func(l cause.Kind) bool { return l != k && cause.TogetherWith(k, l) }) {
			may = append(may, k)
		}
	}
	i := r.IntN(len(may))
	j := (i + 1 + r.IntN(len(may)-1)) % len(may)
	return []cause.Kind{may[i], may[j]}
}

// sized draws how great the causes are.
func sized(r *rand.Rand, level int, kinds []cause.Kind) []HiddenCause {
	of := [Hardest + 1][2]float64{1: {1, 2}, 2: {0.6, 1.6}, 3: {0.5, 1.5}}[level] // times the usual size
	// more for a tailstock that stands low, which hardly matters to stout work
	const low = 2
	var out []HiddenCause
	for _, k := range kinds {
		times := of[0] + (of[1]-of[0])*r.Float64()
		size := cause.Usual(k) * times
		if k == cause.TailHeight { // its square is told
			size *= times * low * low
		}
		if r.IntN(2) == 0 && !cause.OneWay(k) {
			size = -size
		}
		if k == cause.AsSurveyed {
			size = math.NaN()
		}
		out = append(out, HiddenCause{k, size})
	}
	return out
}

// How well the centres are lined up and come back to where they stood, mm over [cause.Span], standard: common practice,
// no source.
const aligned, putBack = 0.01, 0.005

// attempt makes one exercise.
func attempt(n Number, kinds []cause.Kind, r *rand.Rand) (*Exercise, error) {
	m, err := newMachine(r)
	if err != nil {
		return nil, err
	}
	e := &Exercise{Number: n, Hidden: sized(r, n.Level, kinds)}
	if err := e.survey(m, r); err != nil {
		return nil, err
	}
	if err := e.since(m, r); err != nil {
		return nil, err
	}
	return e, e.find()
}

// survey reads the bed as it was, and writes the profile.
func (e *Exercise) survey(m *machine, r *rand.Rand) error {
	c := m.cutting()
	pages := []*page{m.bar(c.first, c.last+c.first/2, 10), m.level("", c.first, c.centred+2*c.first, 10)}
	text := m.head(e.Number)
	blank := text
	for _, p := range pages {
		blank += "\n" + p.text(p.blank())
	}
	p, err := profile.Parse(nil, "exercise.toml", []byte(blank))
	if err != nil {
		return err
	}
	for i, s := range p.Surveys {
		readings := pages[i].read(r, values(s.Set, m.wear))
		if s.Set.Method.Level && e.hides(cause.LevelSign) {
			for j := range readings {
				readings[j] = -readings[j] + 0 // no minus zero
			}
		}
		text += "\n" + pages[i].text(readings)
		e.Surveys = append(e.Surveys, pages[i].page(readings))
	}
	e.Text = text
	e.Profile, err = profile.Parse(nil, "exercise.toml", []byte(text))
	return err
}

// values are what a survey's equations see of a wear, mm or radians, without zeros.
func values(s survey.Set, w *wear.Wear) []float64 {
	var out []float64
	for _, q := range s.Equations {
		v := 0.0
		for _, p := range q.Parts {
			v += p.Factor * w.Value(p.Sum, p.At)
		}
		out = append(out, v)
	}
	return out
}

// since makes the cuts and readings since the survey, with what is hidden in them.
func (e *Exercise) since(m *machine, r *rand.Rand) error {
	c := m.cutting()
	names := Names()
	if e.Level == 2 {
		names = []string{names[0], names[1+r.IntN(2)]}
	}
	var pages []*page
	var sets []survey.Set
	for _, name := range names {
		p := m.cut(name)
		if name == "saddle-level" {
			p = m.level(name, c.first, c.centred, 6)
		}
		pages = append(pages, p)
		later, err := e.Profile.ReadLater(nil, name+".toml", []byte(p.text(p.blank())))
		if err != nil {
			return err
		}
		sets = append(sets, later.Set)
	}
	line := aligned * r.NormFloat64()
	sizes := make([]map[cause.Kind]float64, len(sets))
	for i := range sets {
		sizes[i] = map[cause.Kind]float64{cause.SetOver: line + putBack*r.NormFloat64()}
		for _, h := range e.Hidden {
			if !math.IsNaN(h.Size) {
				sizes[i][h.Kind] += h.Size
			}
		}
	}
	there, err := cause.Foretell(cause.Bed{Lathe: e.Profile.Lathe.Bed, Wear: m.wear, Headstock: math.NaN()}, sets,
		sizes)
	if err != nil {
		return err
	}
	for i, p := range pages {
		if e.hides(cause.Radius) && p.method == profile.TestCut {
			for j := range there[i] {
				there[i][j] /= 2
			}
		}
		readings := p.read(r, there[i])
		text := fmt.Sprintf("# Exercise %s, read since the survey: %s. Invented.\nunit = %q\n%s", e.Number, p.name,
			m.unit.String(), p.text(readings))
		later, err := e.Profile.ReadLater(nil, p.name+".toml", []byte(text))
		if err != nil {
			return err
		}
		e.Readings = append(e.Readings, Reading{p.page(readings), p.name, text, later})
	}
	return nil
}

// find asks what the readings say, as the command check does.
func (e *Exercise) find() error {
	estimate, err := e.Profile.Estimate()
	if err != nil {
		return err
	}
	e.bed = cause.Bed{Lathe: e.Profile.Lathe.Bed, Wear: estimate.Wear, Headstock: math.NaN()}
	mistaken, err := e.Profile.Mistaken(estimate)
	if err != nil {
		return err
	}
	for _, s := range mistaken {
		e.mistake = append(e.mistake, cause.Misreading{Survey: s.Number, Wear: s.Wear, Odds: s.Odds})
	}
	e.found, err = cause.Find(e.question(-1))
	return err
}

// question is what is asked of the readings, one of them left out; −1: none.
func (e *Exercise) question(without int) cause.Question {
	q := cause.Question{Bed: e.bed, Mistaken: e.mistake}
	for i, r := range e.Readings {
		if i != without {
			q.Readings = append(q.Readings, r.Cut.Set)
		}
	}
	return q
}

// Found is what the readings say.
func (e *Exercise) Found() *cause.Result { return e.found }
