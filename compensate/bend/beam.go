package bend

import "math"

// Breaks returns the positions, mm, at which pieces of the shaft meet, ascending.
func (b *Beam) Breaks() []float64 { return b.nodes }

// Rests returns how many rests there are.
func (b *Beam) Rests() int { return len(b.follow) }

// piece returns the number of the piece that holds z, which is brought within the shaft, and how far into it, mm.
func (b *Beam) piece(z float64) (number int, into float64) {
	n := len(b.nodes)
	z = math.Max(b.nodes[0], math.Min(z, b.nodes[n-1]))
	for number < n-2 && z >= b.nodes[number+1] {
		number++
	}
	return number, z - b.nodes[number]
}

// cubics returns the weights of a piece's displacements and slopes at its two ends in the displacement so far into it
// (Hermite).
func (b *Beam) cubics(piece int, into float64) [4]float64 {
	l := b.nodes[piece+1] - b.nodes[piece]
	t := into / l
	return [4]float64{1 - t*t*(3-2*t), into * (1 - t) * (1 - t), t * t * (3 - 2*t), into * t * (t - 1)}
}

// own returns how far a piece that is held fast at both ends gives at x for a unit force at a, both from its beginning,
// mm per N. Where force and place are the same it is a³b³/(3·EI·l³), b being what is left of the length l.
func (b *Beam) own(piece int, x, a float64) float64 {
	l := b.nodes[piece+1] - b.nodes[piece]
	if x > a {
		x, a = l-x, l-a
	}
	x, a = x/l, a/l // parts of the length, so that no power of a very short one is lost
	rest := 1 - a
	return l / (6 * b.bending[piece]) * l * l * rest * rest * x * x * (3*a - x*(3*a+rest))
}

// At returns how far the work gives at z for a unit force at load, mm per N. Places beyond the shaft count as its ends.
func (b *Beam) At(z, load float64) float64 {
	p, x := b.piece(z)
	q, a := b.piece(load)
	u, v := b.cubics(p, x), b.cubics(q, a)
	sum := 0.0
	for r, f := range u {
		row := b.give.RawRowView(2*p + r)[2*q : 2*q+4]
		sum += f * (row[0]*v[0] + row[1]*v[1] + row[2]*v[2] + row[3]*v[3])
	}
	if p == q {
		sum += b.own(p, x, a)
	}
	return sum
}

// Under returns how far the work gives where a unit force pushes it, mm per N.
func (b *Beam) Under(z float64) float64 { return b.At(z, z) }

// Follow returns how far the work moves at z when a rest, by its number, is moved sideways by one and everything else
// stays where it is. Between two centres and nothing else that is a straight line.
func (b *Beam) Follow(rest int, z float64) float64 {
	p, x := b.piece(z)
	sum := 0.0
	for r, f := range b.cubics(p, x) {
		sum += f * b.follow[rest][2*p+r]
	}
	return sum
}
