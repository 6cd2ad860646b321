package bend

import (
	"errors"
	"fmt"
	"math"
	"slices"

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

// Beam is a shaft ready to be asked how it bends.
type Beam struct {
	nodes   []float64
	bending []float64 // stiffness E·I of the piece after each node, N·mm²
	// displacement (mm) and slope (rad) at the nodes for forces and moments there; those that are held are zero
	give   *mat.Dense
	follow [][]float64
}

// pieces cuts the shaft at its steps and supports.
func (s Shaft) pieces() (*Beam, error) {
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
	for i, z := range supports {
		if !(z >= first && z <= last) {
			return nil, fmt.Errorf("it is held at %v mm, where there is nothing of it", z)
		}
		if slices.Contains(supports[:i], z) {
			return nil, fmt.Errorf("it is held twice at %v mm", z)
		}
		if s.Clamp != nil && z < s.Clamp.At {
			return nil, fmt.Errorf("it is held at %v mm, behind the jaws' front", z)
		}
	}
	if s.Clamp != nil && !(s.Clamp.Turning >= 0 && !math.IsInf(s.Clamp.Turning, 0)) {
		return nil, fmt.Errorf("how far the chuck gives, %v rad/(N·mm), must be zero or greater", s.Clamp.Turning)
	}
	b := &Beam{}
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
			if s.Clamp != nil && next <= s.Clamp.At {
				b.bending[len(b.bending)-1] = math.Inf(1) // in the jaws and behind them
			}
			if at = next; at == p.To {
				break
			}
		}
	}
	b.nodes = append(b.nodes, last)
	return b, nil
}

// node returns the number of the node at z, which is one.
func (b *Beam) node(z float64) int {
	for i, p := range b.nodes {
		if p == z {
			return i
		}
	}
	return 0
}
