package estimate

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// digest is fewer rows that say the same, as matrices like those of [problem.dense]. Terms of which nothing is
// known, and that no other rows have, are solved for beforehand and in none of them.
type digest struct {
	a, f     *mat.Dense
	y        []float64
	lost     int           // how many rows were left out: each would be zero, with the noise of any other
	evidence float64       // what the terms solved for add to the evidence
	solved   []elimination // in the order in which they were
}

// elimination is a term of which nothing is known as the others make it: column times it is y less the others' sum.
type elimination struct {
	column   int
	known    []float64 // by unknown
	flat     []float64 // by term
	y, pivot float64
}

// all is the rows as they are.
func (p *problem) all() digest {
	a, f, y := p.dense()
	return digest{a: a, f: f, y: y}
}

// condenses says whether fewer rows could say the same.
func (p *problem) condenses() bool { return len(p.rows) > p.count()+p.flats+1 }

// condense returns fewer rows that say the same where there are more readings than unknowns: those that the normal
// equations' eigenvectors make. shared says which terms of which nothing is known other rows have too.
func (p *problem) condense(shared []bool) digest {
	if !p.condenses() {
		return p.all()
	}
	n, m := p.count(), p.flats
	s, scale := p.normal()
	out := digest{lost: len(p.rows)}
	var left []int // columns that are left
	for i := range n {
		left = append(left, i)
	}
	for j := range m {
		if shared[j] {
			left = append(left, n+j)
			continue
		}
		out.solve(s, scale, n, j)
	}
	out.lost -= len(out.solved)
	left = append(left, n+m)
	small := mat.NewSymDense(len(left), nil)
	for i, k := range left {
		for j := i; j < len(left); j++ {
			small.SetSym(i, j, s.At(k, left[j]))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(small, true) {
		return p.all()
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	values := eigen.Values(nil)
	const nothing = 1e-15
	var kept []int
	for i, v := range values {
		if v > nothing*values[len(left)-1] {
			kept = append(kept, i)
		}
	}
	out.lost -= len(kept)
	out.a = mat.NewDense(len(kept), n, nil)
	if m > 0 {
		out.f = mat.NewDense(len(kept), m, nil)
	}
	out.y = make([]float64, len(kept))
	for i, k := range kept {
		root := math.Sqrt(values[k])
		for at, j := range left {
			v := root * vectors.At(at, k) * scale[j]
			switch {
			case j < n:
				out.a.Set(i, j, v)
			case j < n+m:
				out.f.Set(i, j-n, v)
			default:
				out.y[i] = v
			}
		}
	}
	return out
}

// normal returns the normal equations of unknowns, terms of which nothing is known, and readings. Each is scaled to its
// own readings, so that no direction is lost for its unit.
func (p *problem) normal() (s *mat.SymDense, scale []float64) {
	n, m := p.count(), p.flats
	size := n + m + 1
	s = mat.NewSymDense(size, nil)
	var all []entry
	for _, r := range p.rows {
		all = append(all[:0], r.known...)
		for _, e := range r.flat {
			all = append(all, entry{n + e.column, e.weight})
		}
		all = append(all, entry{n + m, r.y})
		for i, x := range all {
			for j, z := range all[i:] {
				v := x.weight * z.weight
				if j > 0 && x.column == z.column {
					v *= 2 // two weights on one unknown
				}
				s.SetSym(x.column, z.column, s.At(x.column, z.column)+v)
			}
		}
	}
	scale = make([]float64, size)
	for i := range scale {
		if scale[i] = math.Sqrt(s.At(i, i)); scale[i] == 0 {
			scale[i] = 1
		}
	}
	for i := range size {
		for j := i; j < size; j++ {
			s.SetSym(i, j, s.At(i, j)/scale[i]/scale[j])
		}
	}
	return s, scale
}

// solve takes a term out of the normal equations of n unknowns (Gauss). One that others make up already is left out.
func (c *digest) solve(s *mat.SymDense, scale []float64, n, term int) {
	const dependent = 1e-12
	size, j := s.SymmetricDim(), n+term
	pivot := s.At(j, j)
	row := make([]float64, size)
	var with []int
	for i := range size {
		if v := s.At(i, j); i != j && v != 0 {
			row[i] = v
			with = append(with, i)
		}
		s.SetSym(i, j, 0)
	}
	if !(pivot > dependent) {
		return
	}
	for k, i := range with {
		for _, l := range with[k:] {
			s.SetSym(i, l, s.At(i, l)-row[i]*row[l]/pivot)
		}
	}
	for i, v := range row {
		row[i] = v * scale[i]
	}
	c.evidence -= math.Log(pivot)/2 + math.Log(scale[j])
	c.solved = append(c.solved, elimination{term, row[:n], row[n : size-1], row[size-1], pivot * scale[j]})
}

// terms adds the terms solved for to the others, for these unknowns.
func (c *digest) terms(known, flat []float64) {
	for i := len(c.solved) - 1; i >= 0; i-- {
		t := c.solved[i]
		flat[t.column] = (t.y - dot(t.known, known) - dot(t.flat, flat)) / t.pivot
	}
}
