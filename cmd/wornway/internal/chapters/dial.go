package chapters

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"wornway/cmd/wornway/internal/lesson"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
)

// dials puts into the page what comes of using the dial otherwise than setting it once at the length's tailstock end:
// the corrections, and setting it at the other end. Both are of the lathe as it was found, with its own centre height,
// the tool on centre and the work in the chuck.
func (t *Numbers) dials(p *lesson.Page) error {
	last := len(p.Positions) - 1
	corrected := lesson.Dial{Name: "set at " + p.Places[last] + ", corrections dialled", Set: last}
	other := lesson.Dial{Name: "set at " + p.Places[0] + ", nothing dialled"}
	for _, d := range t.Diameters() {
		r, err := t.corrected(d)
		if err != nil {
			return err
		}
		corrected.Runs = append(corrected.Runs, *r)
		cut := t.cut(d, 0)
		cut.SetAt = t.From
		c, err := t.Machine.Curve(cut)
		if err != nil {
			return t.Explain(err)
		}
		run := lesson.Run{Told: "The dial was set at " + t.About(t.From) + ", and is not touched."}
		run.Errors = t.along(func(z float64) float64 { return c.At(z, 0) })
		run.Sure = t.sure(c)
		run.In = make([]int, len(run.Errors))
		for i, e := range run.Errors {
			run.Line = append(run.Line, lesson.Dot{Z: p.Positions[i], E: e})
		}
		other.Runs = append(other.Runs, run)
	}
	p.Dials = []lesson.Dial{{Name: "set at " + p.Places[last] + ", nothing dialled", Set: last}, corrected, other}
	return nil
}

// corrected is a cut toward the headstock with the settings that correct lists for it.
func (t *Numbers) corrected(diameter float64) (*lesson.Run, error) {
	none := func(why string) *lesson.Run { return &lesson.Run{None: true, Told: why} }
	dial := t.Dial()
	if dial == nil {
		return none("The dial of this lathe is not known ([lathe.cross_slide]), so that nothing can be dialled."), nil
	}
	k, err := t.Machine.Correct(t.cut(diameter, 0), compensate.CorrectOptions{Dial: *dial,
		Feed: compensate.TowardHeadstock, Every: []float64{t.From, t.To}, Round: t.RuleStep(),
		Shown: t.Measured(*dial)})
	var coarse compensate.AllowError
	switch {
	case errors.As(err, &coarse):
		return none("The dial of this lathe is too coarse for it."), nil
	case err != nil:
		return nil, t.Explain(err)
	case len(k.Moves) == 0:
		return none("No setting of this dial is worth its while here."), nil
	}
	var r lesson.Run
	at := make([]compensate.Spot, 0, len(t.positions()))
	for _, z := range t.positions() {
		at = append(at, compensate.Spot{Position: z})
	}
	held := k.Under(at, dial.Step())
	left := func(h compensate.Spot) int { return t.shown(k.Curve.At(h.Position, h.Setting) + k.Aim) }
	for _, h := range held[:len(at)] {
		r.Errors, r.In = append(r.Errors, left(h)), append(r.In, t.shown(h.Setting-k.Aim/2))
	}
	r.Sure = t.sure(k.Curve)
	// Behind the places stand those of the moves, each under the setting before and then its own. In ascending order
	// its own comes first, as the carriage goes toward the headstock.
	slices.Reverse(held[len(at):])
	slices.SortStableFunc(held, func(a, b compensate.Spot) int {
		switch {
		case a.Position < b.Position:
			return -1
		case a.Position > b.Position:
			return 1
		}
		return 0
	})
	for _, h := range held {
		r.Line = append(r.Line, lesson.Dot{Z: t.In.From(h.Position), E: left(h)})
	}
	said := ""
	for i, m := range k.Moves {
		way := map[bool]string{true: "IN", false: "OUT"}[m.Change > 0]
		told := fmt.Sprintf("%s %s", way, word.Divisions(math.Abs(dial.Divisions(m.Change))))
		if m.TakeUp {
			told += " (past the backlash and back)"
		}
		r.Stops = append(r.Stops, lesson.Stop{Z: t.In.From(m.Position), Told: told})
		if i > 0 {
			said += ", "
		}
		said += "at " + t.Mark(m.Position) + " " + told
	}
	r.Left = fmt.Sprintf("Along it %s is left, of %s with nothing dialled.", t.Small(k.MovesSpread), t.Small(k.Before))
	r.Told = fmt.Sprintf("At %s the dial is set to cut %s. Then, toward the headstock: %s. %s", t.About(t.To),
		t.Diameter(diameter+k.Aim), said, r.Left)
	return &r, nil
}
