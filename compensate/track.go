package compensate

import (
	"math"
	"slices"

	"wornway/profile/bed"
)

// track is the tool's motion over a whole reach, taken apart once: its smooth pieces in leaves of a few, with the
// limits and the moments of the motion in each, and above the leaves a tree of limits. A spread or a slope anywhere
// within the reach is then found in the few leaves that could matter, however many rows the wear was stated in.
type track struct {
	curve  *Curve // over the whole reach, the tool set at its tailstock end
	edges  []float64
	leaves []leaf
	tree   [][]box   // each level half as many as the one below; the first are the pairs of leaves
	looked [][]piece // by leaf: those that were looked into; nil where there are too many to keep
}

// piece is a smooth piece of the motion, sampled as [hunt] does.
type piece struct {
	from, to  float64
	out, down nodeValues
}

// mostLooked is of how many leaves the pieces are kept once they were looked into: a length that is moved along the bed
// comes to the same ones again and again.
const mostLooked = 4096

// box is the limits of the tool point's motion out and down, absolute, mm.
type box struct{ out, down [2]float64 }

// leaf is a few pieces. Means in mm, moments the integrals of motion times distance from the leaf's middle, mm³.
type leaf struct {
	box
	mean, moment [2]float64 // of out, of down
}

// leafPieces is how many smooth pieces a leaf has: many leaves take room, long ones take time to look into.
const leafPieces = 8

func newTrack(c *Curve) *track {
	t := &track{curve: c}
	short := math.Min(cubicWithin(c.out), cubicWithin(c.down))
	var now leaf
	var area, moment [2]float64 // of the leaf so far, the moment about its start
	start, count := c.From, 0
	end := func(z float64) {
		half := (z - start) / 2
		for i := range area {
			now.mean[i] = area[i] / (2 * half)
			now.moment[i] = moment[i] - half*area[i]
		}
		t.leaves, t.edges = append(t.leaves, now), append(t.edges, z)
		start, count, area, moment = z, 0, [2]float64{}, [2]float64{}
	}
	t.edges = append(t.edges, start)
	last := [2]float64{c.Wear.Value(c.out, start), c.Wear.Value(c.down, start)}
	c.pieces(c.From, c.To, func(a, b float64) {
		if !(b > a) {
			return
		}
		for i, s := range []bed.Sum{c.out, c.down} {
			var v [degree + 1]float64
			k := control(&v, func(z float64) float64 { return c.Wear.Value(s, z) }, a, b, last[i], b-a <= short)
			last[i] = k[len(k)-1]
			lo, hi := slices.Min(k), slices.Max(k)
			limits := &now.out
			if i == 1 {
				limits = &now.down
			}
			if count == 0 {
				*limits = [2]float64{lo, hi}
			}
			limits[0], limits[1] = math.Min(limits[0], lo), math.Max(limits[1], hi)
			// The integrals of a polynomial, and of it times t, from its Bernstein coefficients on [0, 1].
			sum, first := 0.0, 0.0
			for j, x := range k {
				sum, first = sum+x, first+x*float64(j+1)
			}
			n, h := float64(len(k)), b-a
			sum, first = sum*h/n, first*h*h/(n*(n+1))
			area[i] += sum
			moment[i] += first + (a-start)*sum
		}
		if count++; count == leafPieces {
			end(b)
		}
	})
	if count > 0 {
		end(c.To)
	}
	t.grow()
	if len(t.leaves) <= mostLooked {
		t.looked = make([][]piece, len(t.leaves))
	}
	return t
}

// cubicWithin is how long a piece may be, mm, on which a sum is as good as a cubic. It is one exactly where it takes
// the curves at points; a mean over a stretch is a quintic, whose fourth order on a piece is less than the jump of its
// curve there times a 32nd of the piece's share of the stretch.
func cubicWithin(s bed.Sum) float64 {
	within := math.Inf(1)
	for _, t := range s.Terms {
		if t.From != t.To {
			within = math.Min(within, (t.To-t.From)/1000)
		}
	}
	return within
}

// control returns the Bernstein coefficients of a function on [a, b] that is a polynomial there; first is its value at
// a. They are kept in v.
func control(v *[degree + 1]float64, f func(z float64) float64, a, b, first float64, cubic bool) []float64 {
	if cubic {
		p, q, last := f(a+(b-a)/3), f(b-(b-a)/3), f(b)
		v[0], v[3] = first, last
		v[1] = (-5*first + 18*p - 9*q + 2*last) / 6
		v[2] = (2*first - 9*p + 18*q - 5*last) / 6
		return v[:4]
	}
	s := samples()
	at := [degree + 1]float64{first}
	for j := 1; j <= degree; j++ {
		at[j] = f(a + s.node[j]*(b-a))
	}
	for k := range v {
		v[k] = 0
		for j, x := range s.bernstein[k] {
			v[k] += x * at[j]
		}
	}
	v[0], v[degree] = at[0], at[degree]
	return v[:]
}

// grow builds the tree above the leaves.
func (t *track) grow() {
	level := make([]box, len(t.leaves))
	for i, l := range t.leaves {
		level[i] = l.box
	}
	for len(level) > 1 {
		above := make([]box, (len(level)+1)/2)
		for i := range above {
			above[i] = level[2*i]
			if 2*i+1 < len(level) {
				above[i] = above[i].with(level[2*i+1])
			}
		}
		t.tree = append(t.tree, above)
		level = above
	}
}

func (k box) with(o box) box {
	return box{[2]float64{math.Min(k.out[0], o.out[0]), math.Max(k.out[1], o.out[1])},
		[2]float64{math.Min(k.down[0], o.down[0]), math.Max(k.down[1], o.down[1])}}
}

// box returns the limits of a node: a leaf on level 0, twice as many leaves on each level above.
func (t *track) box(level, i int) box {
	if level == 0 {
		return t.leaves[i].box
	}
	return t.tree[level-1][i]
}

// within returns the leaves that hold any of the stretch from a to b.
func (t *track) within(a, b float64) (first, last int) {
	first, found := slices.BinarySearch(t.edges, a)
	if !found {
		first--
	}
	last, _ = slices.BinarySearch(t.edges, b)
	return max(first, 0), min(last, len(t.leaves))
}

// setpoint is a tool set where it had moved by out and down, absolute, mm.
type setpoint struct{ out, down float64 }

func (t *track) setAt(z float64) setpoint {
	out, down := t.curve.Wear.Both(t.curve.out, t.curve.down, z)
	return setpoint{out, down}
}

// error returns the diameter error at z, mm.
func (t *track) error(s setpoint, z float64) float64 {
	c := t.curve
	out, down := c.Wear.Both(c.out, c.down, z)
	return c.setting.DiameterError(out-s.out, down-s.down)
}

// trackNear, mm, is how near the spread is found: far below what is shown.
const trackNear = 1e-7

// spread returns greatest less least diameter error between a and b for a tool so set.
//
// The tool point moves within a box in each node of the tree, which bounds its distance from the axis; nodes whose
// bounds lie within what was found already are passed over.
func (t *track) spread(a, b float64, s setpoint) float64 {
	h := newHunt(func(z float64) float64 { return t.error(s, z) })
	h.take(a, h.f(a))
	h.take(b, h.f(b))
	first, last := t.within(a, b)
	top := len(t.tree)
	t.seek(h, s, 1, top, 0, first, last, a, b)
	t.seek(h, s, 0, top, 0, first, last, a, b)
	return h.greatest.Value - h.least.Value
}

// seek looks for the greatest error (side 1) or the least (side 0) between a and b in a node.
func (t *track) seek(h *hunt, s setpoint, side, level, i, first, last int, a, b float64) {
	if i<<level >= last || (i+1)<<level <= first {
		return
	}
	promises := func(level, i int) (float64, bool) {
		v := t.box(level, i).bounds(t.curve, s)[side]
		if side == 1 {
			return v, v > h.greatest.Value+trackNear
		}
		return -v, v < h.least.Value-trackNear
	}
	if _, ok := promises(level, i); !ok {
		return
	}
	if level == 0 {
		from, to := math.Max(a, t.edges[i]), math.Min(b, t.edges[i+1])
		for _, z := range []float64{from, (from + to) / 2, to} {
			h.take(z, h.f(z))
		}
		if _, ok := promises(level, i); ok && to > from {
			t.look(h, s, i, from, to)
		}
		return
	}
	below := []int{2 * i, 2*i + 1}
	if below[1]<<(level-1) >= len(t.leaves) {
		below = below[:1]
	} else {
		left, _ := promises(level-1, below[0])
		if right, _ := promises(level-1, below[1]); right > left {
			slices.Reverse(below) // the one that promises more first, so that the other may be passed over
		}
	}
	for _, k := range below {
		t.seek(h, s, side, level-1, k, first, last, a, b)
	}
}

// look searches a leaf between two places of it.
func (t *track) look(h *hunt, s setpoint, i int, from, to float64) {
	if t.looked == nil {
		t.curve.pieces(from, to, h.piece)
		return
	}
	if t.looked[i] == nil {
		t.curve.pieces(t.edges[i], t.edges[i+1], func(a, b float64) {
			p := piece{from: a, to: b}
			for j, z := range sampledAt(a, b) {
				p.out[j], p.down[j] = t.curve.Wear.Both(t.curve.out, t.curve.down, z)
			}
			t.looked[i] = append(t.looked[i], p)
		})
	}
	for _, p := range t.looked[i] {
		if p.from < from || p.to > to {
			if a, b := math.Max(p.from, from), math.Min(p.to, to); b > a {
				h.piece(a, b)
			}
			continue
		}
		var at nodeValues
		for j := range at {
			at[j] = t.curve.setting.DiameterError(p.out[j]-s.out, p.down[j]-s.down)
		}
		fitted(h.f, p.from, p.to, at, fitDeep, h.search)
	}
}

// bounds returns limits of the diameter error in the box for a tool so set.
func (k box) bounds(c *Curve, s setpoint) [2]float64 {
	x := apart(k.out[0]-s.out+c.setting.X, k.out[1]-s.out+c.setting.X)
	y := apart(c.setting.Height-(k.down[1]-s.down), c.setting.Height-(k.down[0]-s.down))
	return [2]float64{2*math.Hypot(x[0], y[0]) - c.Diameter, 2*math.Hypot(x[1], y[1]) - c.Diameter}
}

// apart returns the least and greatest size of a number between lo and hi.
func apart(lo, hi float64) [2]float64 {
	a, b := math.Abs(lo), math.Abs(hi)
	if lo <= 0 && hi >= 0 {
		return [2]float64{0, math.Max(a, b)}
	}
	return [2]float64{math.Min(a, b), math.Max(a, b)}
}

// fit returns the moments of the diameter error over the continuous length between a and b for a tool so set. In a leaf
// so narrow that the error is as good as straight in the motion, they follow from those of the motion; in others, and
// where the length ends within a leaf, it is sampled. With rough a length that ends within a narrow
// and short leaf takes its part of the whole.
func (t *track) fit(a, b float64, s setpoint, rough bool) LineFit {
	var all LineFit
	first, last := t.within(a, b)
	for i := first; i < last; i++ {
		from, to := math.Max(a, t.edges[i]), math.Min(b, t.edges[i+1])
		if !(to > from) {
			continue
		}
		long := t.edges[i+1] - t.edges[i]
		if t.narrow(i, rough) && (to-from == long || rough && long < (b-a)/10) {
			all.join(t.leafFit(i, s), to-from)
			continue
		}
		nodes(t.curve.breaks, from, to, func(z, length float64) {
			if length > 0 {
				all.Add(z, t.error(s, z), length)
			}
		})
	}
	return all
}

// narrow says whether the second order of the motion within a leaf makes less than a nanometre; with rough, a tenth
// of a micrometre.
func (t *track) narrow(i int, rough bool) bool {
	little := 1e-6 // mm
	if rough {
		little = 1e-4
	}
	k := t.leaves[i].box
	wide := math.Max(k.out[1]-k.out[0], k.down[1]-k.down[0])
	return wide*wide <= little*t.curve.setting.X
}

// leafFit returns the moments of the error over a narrow leaf.
func (t *track) leafFit(i int, s setpoint) LineFit {
	l, c := t.leaves[i], t.curve
	out, down := l.mean[0]-s.out, l.mean[1]-s.down
	perOut, perDown := c.setting.Slope(out, down)
	length := t.edges[i+1] - t.edges[i]
	return LineFit{weight: length, z: (t.edges[i] + t.edges[i+1]) / 2, d: c.setting.DiameterError(out, down),
		zz: length * length * length / 12, zd: perOut*l.moment[0] + perDown*l.moment[1]}
}
