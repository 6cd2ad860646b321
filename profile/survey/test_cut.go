package survey

import (
	"math"

	"wornway/profile/bar"
	"wornway/profile/bed"
)

// PushOffName is the name of the term that stands for work that gives way to the cut.
const PushOffName = "push-off"

// pushOff is how far a cutting force may bend work away from the tool at the furthest collar, standard, mm on diameter,
// where a chuck alone holds it and may give as well: common practice, no source. On a centre it is what the bar bends.
const pushOff = 0.02

// spindleLean is how far a spindle leans, standard, per mm, where nothing has read it: within 0.02 mm over 300 mm
// either way, as likely anywhere there. That is what lathes of normal accuracy are allowed; compensate.UsualLean has
// the source.
var spindleLean = 0.02 / 300 / math.Sqrt(3)

// testCut is a bar turned at one setting of the dial and measured along its length: diameter = what was set + 2·(tool
// out − s·(lean·position + centre·follow)), s the post's sign. In the jaws alone nothing follows; on the
// tailstock's centre the bar bends to it, between centres it lies straight from one to the other and sees no lean.
// Where the centre stood is not known, so that it takes the part of its shape wholly, and with it nearly all that such
// a cut could tell of the lean: that counts as is usual. Bending under the cut adds a term, as the bar is held.
func testCut() Method {
	return Method{
		Name: "test-cut", Columns: []string{"position", "diameter"},
		U: 0.002, Why: "a 0.01 mm micrometer on a turned collar, the mean of two readings: common practice, no source",
		Unseen: "a test cut sees shift and roll together, less the spindle's lean",
		New:    func(k *Keys) func(Row) []Equation { return newCollarCut(k).equation },
	}
}

// collarCut is a test cut that is being read.
type collarCut struct {
	k                  *Keys
	cut                Cut
	out, up            bed.Sum
	zero               Share
	centre, push, lean int // terms; −1: none
	position, diameter int // columns
	looked             bool
	bar                bar.Bar
	first, firstSize   float64 // of the collar that the second order is counted from
	shape              func(z float64) float64
}

func newCollarCut(k *Keys) *collarCut {
	t := &collarCut{k: k, centre: -1, push: -1, lean: -1,
		position: k.Column("position"), diameter: k.Column("diameter")}
	t.cut = k.cut()
	lean := bed.Of(bed.LeanOut)
	t.up = bed.Of(bed.LeanUp)
	if !t.cut.Held.Gripped() {
		lean, t.up = bed.Sum{}, bed.Sum{}
	}
	if t.cut.Held.Tailed() {
		t.centre = k.Free(Term{Name: "centre", Flat: true})
	}
	if t.cut.Held == bar.ChuckAndCentre {
		t.lean = k.Free(Term{Name: "lean", U: spindleLean})
	}
	if !math.IsNaN(t.cut.HeldAt) || t.cut.Held == bar.ChuckAndCentre {
		t.push = k.Free(Term{Name: PushOffName, U: pushOff})
	}
	t.zero = k.Zero()
	t.out = k.Lathe.ToolOut().Plus(lean.Times(-k.Lathe.Post()))
	return t
}

// collar returns a row's position and diameter, mm.
func (t *collarCut) collar(r Row) (z, d float64) {
	return t.k.position(r), r.Numbers[t.diameter] * t.k.scale
}

// look goes through all collars once they are known. The second order is counted from the one nearest to the tailstock,
// where a cut begins and is set; the push-off's size is that where it is greatest, in the chuck alone at the furthest.
func (t *collarCut) look() {
	t.looked = true
	for _, r := range t.k.rows {
		z, d := t.collar(r)
		t.cut.Positions, t.cut.Diameters = append(t.cut.Positions, z), append(t.cut.Diameters, d)
		if t.firstSize == 0 || z > t.first || z == t.first && d < t.firstSize {
			t.first, t.firstSize = z, d
		}
	}
	t.bar = t.cut.Bar()
	t.bar.Turning = t.k.Turning
	if t.push < 0 {
		return
	}
	if t.cut.Held.Tailed() {
		from, to := t.cut.Range()
		t.shape, t.k.terms[t.push].U = t.bar.Push(from, to)
		return
	}
	const least = 100 // mm: nearer to the jaws it is less
	reach := math.Max(t.first-t.bar.Near, least)
	t.shape = func(z float64) float64 { return t.bar.Give(z) / t.bar.Give(t.bar.Near+reach) }
}

func (t *collarCut) equation(r Row) []Equation {
	if !t.looked {
		t.look()
	}
	z, d := t.collar(r)
	e := Equation{Position: z, Parts: []bed.Addend{t.out.At(z, 2)}, Shares: []Share{t.zero}, Reading: d - t.firstSize,
		U: t.k.u}
	if t.centre >= 0 {
		e.Shares = append(e.Shares, Share{t.centre, t.bar.Follow(z)})
	}
	if t.lean >= 0 { // what of the lean the centre does not take along
		e.Shares = append(e.Shares, Share{t.lean, 2 * (z - t.bar.Follow(z)*t.bar.Far)})
	}
	if t.push >= 0 {
		e.Shares = append(e.Shares, Share{t.push, t.shape(z)})
	}
	set, err := bed.SetTo(t.firstSize, 0)
	if err == nil {
		down := t.k.Lathe.ToolDrop(t.firstSize).Plus(t.up)
		e.Exact = func(w Values) float64 {
			o, o0 := w.Value(t.out, z), w.Value(t.out, t.first)
			return 2*o0 + set.DiameterError(o-o0, w.Value(down, z)-w.Value(down, t.first))
		}
	}
	return []Equation{e}
}
