package sheet

import (
	"math"
	"time"

	"wornway/cmd/wornway/internal/paper"
)

// How high capitals and digits stand on the smallest card, mm: what is read while the machine runs, and the rest.
// Larger paper has larger ones.
var (
	Figures = paper.Style{Height: 4.2, Bold: true}
	Heading = paper.Style{Height: 3, Bold: true}
	Plain   = paper.Style{Height: 2.1}
	Strong  = paper.Style{Height: 2.1, Bold: true}
)

// What stands on all paper for the machine.
const (
	Stale   = "Stale after moving, levelling or gib work."
	TestCut = "Test cut checked: __________ on __________"
	Careful = "Read the list before the cut; dial from the wheel side, never reach over the work; stop short of the " +
		"jaws; measure with the spindle stopped."
)

// Drawing is paper being drawn.
type Drawing struct {
	*paper.Doc
	Made time.Time
	Day  string // that it was made on, where somebody said so
}

// Styles are the heights of text on this paper.
type Styles struct{ Figures, Heading, Plain, Strong paper.Style }

// Styles returns them, larger on paper that is larger than the smallest card.
func (p *Drawing) Styles() Styles {
	const width, height = 148, 101.6 // of the smallest card, laid across
	return Scaled(math.Max(1, math.Min(p.Paper.Width/width, p.Paper.Height/height)))
}

// Scaled returns them so many times as large as on the smallest card.
func Scaled(scale float64) Styles {
	by := func(s paper.Style) paper.Style { s.Height *= scale; return s }
	return Styles{by(Figures), by(Heading), by(Plain), by(Strong)}
}
