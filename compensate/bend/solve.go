package bend

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Solve puts the shaft on its supports. The error says why it cannot be calculated.
//
// First it is thought to be held fast at one support alone: how far each of its nodes (the steps and supports) then
// gives and turns is a sum of integrals over its pieces, all of one sign, so that neither a stretch of a hair's breadth
// nor a thin neck beside a thick collar costs digits, as they do in the usual system of element stiffnesses. Then the
// other supports push back so that the shaft stays on them, and the chuck, or the centre, lets it turn: a linear system
// with one row for each further support and one for the turning.
//
// Derived here, by the unit-load method and from equilibrium; tested against handbook cases, against element
// stiffnesses and against the integral of M²/EI.
func (s Shaft) Solve() (*Beam, error) {
	b, err := s.pieces()
	if err != nil {
		return nil, err
	}
	rests := make([]int, len(s.Rests))
	for i, z := range s.Rests {
		rests[i] = b.node(z)
	}
	if c := s.Clamp; c == nil {
		err = b.support(rests[0], rests[1:], true, 0)
		if err == nil { // when the first rest moves, everything does but for what the others hold back
			first := make([]float64, 2*len(b.nodes))
			for i := range first {
				first[i] = float64(1 - i%2)
				for _, f := range b.follow {
					first[i] -= f[i]
				}
			}
			b.follow = append([][]float64{first}, b.follow...)
		}
	} else {
		err = b.support(b.node(c.At), rests, c.Turning > 0, 1/c.Turning)
	}
	if err != nil {
		return nil, err
	}
	for i, f := range b.follow { // what rounding leaves at the rests themselves
		for _, o := range rests {
			f[2*o] = 0
		}
		f[2*rests[i]] = 1
	}
	for _, v := range b.give.RawMatrix().Data {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, errors.New("its lengths and diameters are too great or too small to calculate with")
		}
	}
	return b, nil
}

// support works out what the nodes do when the shaft is held at the base and on further rests, each by its node, and
// what they do when such a rest moves by one. Where it turns about the base, a moment of stiffness N·mm turns it there
// by one.
func (b *Beam) support(base int, rests []int, turns bool, stiffness float64) error {
	b.give = b.cantilever(base)
	n, size := 2*len(b.nodes), len(rests)
	if turns {
		if size++; size == 1 && stiffness == 0 {
			return errors.New("nothing keeps it from turning")
		}
	}
	if size == 0 {
		b.hold(base)
		return nil
	}
	// The columns of w are what the nodes do for the force of each rest, and for a turn about the base. Forces and turn
	// follow from m·(forces, turn) = (how far the rests move less how far the load moves the shaft there, less the
	// load's moment about the base): the shaft lies on the rests, and what turns it is held.
	w, m := mat.NewDense(n, size, nil), mat.NewDense(size, size, nil)
	for c, o := range rests {
		for i := range n {
			w.Set(i, c, b.give.At(i, 2*o))
		}
	}
	if turns {
		for i, z := range b.nodes {
			w.Set(2*i, size-1, z-b.nodes[base])
			w.Set(2*i+1, size-1, 1)
		}
		m.Set(size-1, size-1, -stiffness)
	}
	for r, o := range rests {
		for c := range size {
			m.Set(r, c, w.At(2*o, c))
			m.Set(c, r, w.At(2*o, c))
		}
	}
	inverse, err := invert(m)
	if err != nil {
		return err
	}
	var push, back mat.Dense
	push.Mul(w, inverse)
	back.Mul(&push, w.T())
	b.give.Sub(b.give, &back)
	for c := range rests {
		b.follow = append(b.follow, mat.Col(nil, c, &push))
	}
	b.hold(append([]int{base}, rests...)...)
	return nil
}

// cantilever returns displacement (mm) and slope (rad) at the nodes for unit forces and moments there, the shaft being
// held fast at one of them.
//
// With S₀ = ∫1/EI, S₁ = ∫(z − x)/EI and S₂ = ∫(z − x)²/EI from the base to a node at z, a force at a
// node farther out by D displaces the node at z by S₂ + D·S₁ and turns it by S₁ + D·S₀, a moment there by
// S₁ and S₀; and the other way round alike. On the other side of the base slopes and moments change sign.
func (b *Beam) cantilever(base int) *mat.Dense {
	n := len(b.nodes)
	out := mat.NewDense(2*n, 2*n, nil)
	for _, step := range []int{1, -1} {
		sign := float64(step)
		var s0, s1, s2 float64
		for i := base + step; i >= 0 && i < n; i += step {
			l := sign * (b.nodes[i] - b.nodes[i-step])
			ei := b.bending[min(i, i-step)]
			s0, s1, s2 = s0+l/ei, s1+l*(s0+l/(2*ei)), s2+l*(2*s1+l*(s0+l/(3*ei)))
			for j := i; j >= 0 && j < n; j += step {
				d := sign * (b.nodes[j] - b.nodes[i])
				for _, e := range []struct {
					r, c int
					v    float64
				}{{2 * i, 2 * j, s2 + d*s1}, {2 * i, 2*j + 1, sign * s1}, {2*i + 1, 2 * j, sign * (s1 + d*s0)},
					{2*i + 1, 2*j + 1, s0}} {
					out.Set(e.r, e.c, e.v)
					out.Set(e.c, e.r, e.v)
				}
			}
		}
	}
	return out
}

// hold takes away what rounding has left of the motion of nodes that are held.
func (b *Beam) hold(nodes ...int) {
	for _, o := range nodes {
		for i := range 2 * len(b.nodes) {
			b.give.Set(2*o, i, 0)
			b.give.Set(i, 2*o, 0)
		}
	}
}

// invert returns the inverse of a small symmetric matrix, whose rows are made alike in size first.
func invert(m *mat.Dense) (*mat.Dense, error) {
	n, _ := m.Dims()
	scale := make([]float64, n)
	for i := range n {
		scale[i] = math.Sqrt(math.Abs(m.At(i, i)))
	}
	for i := range n {
		if scale[i] > 0 {
			continue
		}
		for j := range n {
			if scale[j] > 0 {
				scale[i] = math.Max(scale[i], math.Abs(m.At(i, j))/scale[j])
			}
		}
		if scale[i] == 0 {
			scale[i] = 1
		}
	}
	var scaled, out mat.Dense
	scaled.Apply(func(i, j int, v float64) float64 { return v / (scale[i] * scale[j]) }, m)
	if err := out.Inverse(&scaled); err != nil {
		return nil, errors.New("what holds it stands too close together to calculate with")
	}
	out.Apply(func(i, j int, v float64) float64 { return v / (scale[i] * scale[j]) }, &out)
	return &out, nil
}
