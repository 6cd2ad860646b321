package study

import (
	"fmt"
	"math"
)

// leaves are the thicknesses of a set of feelers, mm; 0 stands for none.
var leaves = []float64{0, 0.04, 0.05, 0.06, 0.07, 0.08, 0.09, 0.10, 0.12, 0.15, 0.20, 0.25, 0.30, 0.40}

// laid is a straightedge as it comes to rest on a way.
type laid struct {
	a, b, bow, limit float64
	gap              func(z float64) float64
}

// lay lays an edge from p to q over metal lost: it rests on the two places of the upper envelope that lie on either
// side of the deepest place. Its bow is anywhere within its limit.
func (b *bench) lay(lost func(z float64) float64, p, q float64) laid {
	at := every(p, q, 5)
	deepest := 0
	for i, z := range at {
		if lost(z) > lost(at[deepest]) {
			deepest = i
		}
	}
	var hull []int
	for i, z := range at {
		for len(hull) > 1 {
			u, v := at[hull[len(hull)-2]], at[hull[len(hull)-1]]
			// v is no support where it lies lower than the line from u to z.
			if lost(v) < lost(u)+(lost(z)-lost(u))*(v-u)/(z-u) {
				break
			}
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, i)
	}
	var l laid
	for k := 1; k < len(hull); k++ {
		if hull[k-1] <= deepest && deepest <= hull[k] {
			l.a, l.b = at[hull[k-1]], at[hull[k]]
			if hull[k] > deepest {
				break
			}
		}
	}
	l.limit = 0.002 + (l.b-l.a)/250000
	l.bow = uniform(b.r, -l.limit, l.limit)
	l.gap = func(z float64) float64 {
		t := (z - l.a) / (l.b - l.a)
		return lost(z) - lost(l.a)*(1-t) - lost(l.b)*t - 4*t*(1-t)*l.bow
	}
	return l
}

// ways are the surfaces that an edge can be laid on.
func (b *bench) ways() map[string]func(z float64) float64 {
	w := map[string]func(z float64) float64{"rear": b.rear}
	if b.vee {
		w["outer"] = func(z float64) float64 { o, _ := b.flanks(z); return o }
		w["inner"] = func(z float64) float64 { _, i := b.flanks(z); return i }
	} else {
		w["front"] = b.front
	}
	return w
}

// straightedge feels the gap under an edge with leaves.
func (b *bench) straightedge(on string, lv leave) {
	l := b.lay(b.ways()[on], math.Max(b.from, -190), b.end)
	var rows []string
	for z := math.Ceil(l.a/50)*50 + 25; z < l.b-20; z += 50 {
		g := l.gap(z) + b.normal(0.002)
		k := 0
		for k+1 < len(leaves)-1 && leaves[k+1] <= g {
			k++
		}
		rows = append(rows, fmt.Sprintf("%s, %g, %g", b.long(z), leaves[k], leaves[k+1]))
	}
	keys := fmt.Sprintf("on = %q\ncontacts = [%s, %s]\nreading_unit = \"mm\"\n", on, b.long(l.a), b.long(l.b))
	if lv.bow {
		keys += "edge_error = 1e-6\n"
	}
	b.survey("straightedge", keys, []string{"position", "goes", "stops"}, rows)
}

// lightGap looks at the same gap against a lamp.
func (b *bench) lightGap(on string) {
	l := b.lay(b.ways()[on], math.Max(b.from, -190), b.end)
	var rows []string
	for z := math.Ceil(l.a/50)*50 + 25; z < l.b-20; z += 50 {
		g, word := l.gap(z)+b.normal(0.001), "wide"
		if g < 0.003 {
			word = "none"
		} else if g < 0.040 {
			word = "some"
		}
		rows = append(rows, fmt.Sprintf("%s, %q", b.long(z), word))
	}
	b.survey("light-gap", fmt.Sprintf("on = %q\ncontacts = [%s, %s]\n", on, b.long(l.a), b.long(l.b)),
		[]string{"position", "light"}, rows)
}

// fronts are the names of the front way's surfaces.
func (b *bench) fronts() []string {
	if b.vee {
		return []string{"outer", "inner"}
	}
	return []string{"front"}
}
