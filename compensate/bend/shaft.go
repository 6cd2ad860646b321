package bend

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Section is a length of a shaft of one diameter, mm.
type Section struct{ From, To, Diameter float64 }

// Clamp is the jaws that hold a shaft.
type Clamp struct {
	At      float64 // their front, mm; what lies behind it does not bend
	Turning float64 // how far they give to a moment, radians per N·mm; 0: not at all
}

// Shaft is round work as it is held.
type Shaft struct {
	Sections []Section // ascending, each beginning where the one before ends
	Modulus  float64   // of elasticity, N/mm²
	Clamp    *Clamp    // nil: none
	Rests    []float64 // positions, mm, at which it is held sideways only: centres, a steady
}

// Bent is a shaft ready to be asked how it bends.
type Bent struct {
	nodes   []float64
	bending []float64  // stiffness E·I of the piece after each node, N·mm²
	give    *mat.Dense // displacement (mm) and slope (rad) at the nodes for forces and moments there; those that are held are zero
	follow  [][]float64
}

// Solve puts the shaft on its supports. It is cut into pieces at the steps and the supports; each bends by a cubic (the element of the matrix method, exact for a beam that is loaded at the nodes alone), and the displacements and slopes at the
// nodes follow from one linear system. Lengths are measured in a tenth of the whole there, so that its numbers are alike in size. The error says why the shaft cannot be reckoned.
//
// Source: the stiffness of a beam element is derived from its cubic; tested against handbook cases and against the integral of M²/EI.
func (s Shaft) Solve() (*Bent, error) {
	b, err := s.pieces()
	if err != nil {
		return nil, err
	}
	n := len(b.nodes)
	unit := (b.nodes[n-1] - b.nodes[0]) / 10
	k := mat.NewSymDense(2*n, nil)
	scale := b.bending[0] / (unit * unit * unit)
	for i, ei := range b.bending {
		l := (b.nodes[i+1] - b.nodes[i]) / unit
		f := ei / (unit * unit * unit) / scale / (l * l * l)
		element := [4][4]float64{{12, 6 * l, -12, 6 * l}, {6 * l, 4 * l * l, -6 * l, 2 * l * l}, {-12, -6 * l, 12, -6 * l}, {6 * l, 2 * l * l, -6 * l, 4 * l * l}}
		for r := range 4 {
			for c := r; c < 4; c++ {
				k.SetSym(2*i+r, 2*i+c, k.At(2*i+r, 2*i+c)+f*element[r][c])
			}
		}
	}
	held := make([]bool, 2*n)
	if c := s.Clamp; c != nil {
		i := 2 * b.node(c.At)
		held[i] = true
		if c.Turning > 0 {
			k.SetSym(i+1, i+1, k.At(i+1, i+1)+1/(c.Turning*scale*unit*unit))
		} else {
			held[i+1] = true
		}
	}
	for _, r := range s.Rests {
		held[2*b.node(r)] = true
	}
	free := make([]int, 0, 2*n)
	for i, h := range held {
		if !h {
			free = append(free, i)
		}
	}
	inverse, err := invert(k, free)
	if err != nil {
		return nil, err
	}
	b.give = mat.NewDense(2*n, 2*n, nil)
	size := func(i int) float64 { // of an unknown: a displacement in units, a slope as it is
		if i%2 == 0 {
			return unit
		}
		return 1
	}
	for r, i := range free {
		for c, j := range free {
			b.give.Set(i, j, inverse.At(r, c)*size(i)*size(j)/(scale*unit*unit))
		}
	}
	for _, r := range s.Rests {
		b.follow = append(b.follow, shape(k, inverse, free, 2*b.node(r), unit))
	}
	return b, nil
}

// shape returns the displacements and slopes at the nodes when what is held as number moves by one.
func shape(k *mat.SymDense, inverse *mat.SymDense, free []int, number int, unit float64) []float64 {
	n, _ := k.Dims()
	out := make([]float64, n)
	out[number] = 1
	for r, i := range free {
		sum := 0.0
		for c, j := range free {
			sum -= inverse.At(r, c) * k.At(j, number)
		}
		if i%2 == 1 {
			sum /= unit
		}
		out[i] = sum
	}
	return out
}

// invert returns the inverse of the part of k that is free to move.
func invert(k *mat.SymDense, free []int) (*mat.SymDense, error) {
	part := mat.NewSymDense(len(free), nil)
	for r, i := range free {
		for c := r; c < len(free); c++ {
			part.SetSym(r, c, k.At(i, free[c]))
		}
	}
	var factor mat.Cholesky
	const loosest = 1e13 // condition from which nothing holds the shaft
	if !factor.Factorize(part) || factor.Cond() > loosest {
		return nil, errors.New("nothing keeps it from turning or moving")
	}
	var out mat.SymDense
	if err := factor.InverseTo(&out); err != nil {
		return nil, fmt.Errorf("it cannot be solved: %w", err)
	}
	return &out, nil
}

// pieces cuts the shaft at its steps and supports.
func (s Shaft) pieces() (*Bent, error) {
	if len(s.Sections) == 0 {
		return nil, errors.New("it has no length")
	}
	if !(s.Modulus > 0) || math.IsInf(s.Modulus, 0) {
		return nil, fmt.Errorf("its modulus of elasticity, %v N/mm², must be greater than zero", s.Modulus)
	}
	first, last := s.Sections[0].From, s.Sections[len(s.Sections)-1].To
	var supports []float64
	if s.Clamp != nil {
		supports = append(supports, s.Clamp.At)
	}
	supports = append(supports, s.Rests...)
	if len(supports) == 0 {
		return nil, errors.New("nothing holds it")
	}
	for _, z := range supports {
		if !(z >= first && z <= last) {
			return nil, fmt.Errorf("it is held at %v mm, where there is nothing of it", z)
		}
	}
	b := &Bent{}
	at := first
	for _, p := range s.Sections {
		if !(p.To > p.From) || !(p.Diameter > 0) || math.IsInf(p.To-p.From, 0) || math.IsInf(p.Diameter, 0) {
			return nil, fmt.Errorf("the section from %v to %v mm has no length or no diameter", p.From, p.To)
		}
		if p.From != at {
			return nil, fmt.Errorf("the section from %v mm does not begin where the one before ends", p.From)
		}
		stiff := s.Modulus * math.Pi * math.Pow(p.Diameter, 4) / 64
		for {
			next := p.To
			for _, z := range supports {
				if z > at && z < next {
					next = z
				}
			}
			b.nodes, b.bending = append(b.nodes, at), append(b.bending, stiff)
			if at = next; at == p.To {
				break
			}
		}
	}
	b.nodes = append(b.nodes, last)
	return b, nil
}

// node returns the number of the node at z, which is one.
func (b *Bent) node(z float64) int {
	for i, p := range b.nodes {
		if p == z {
			return i
		}
	}
	return 0
}
