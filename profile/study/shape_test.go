package study

import (
	"math"
	"math/rand/v2"
)

// shape is metal lost along a way as a share of its greatest: 0 to 1, and exactly 0 where the way is unworn.
type shape func(z float64) float64

// kinds are the forms of wear that are tried.
var kinds = []string{"hump", "steep", "plateau", "two humps", "dying out", "hollow"}

// form is what the shapes of one bed have in common. Lengths mm.
type form struct {
	kind       string
	deepest    float64 // place of the deepest wear
	wide       float64 // factor on widths
	edge       float64 // width of the plateau's sharp edge, of the hollow
	aside      float64 // second hump or hollow, from the deepest place
	share      float64 // its share
	start, end float64 // the worn stretch
}

func randomForm(r *rand.Rand, kind string) form {
	f := form{kind: kind, deepest: uniform(r, 152, 305), wide: uniform(r, 0.7, 1.4), edge: uniform(r, 0.7, 1.4),
		start: uniform(r, -120, -60), end: uniform(r, 700, 900)}
	switch kind {
	case "two humps":
		f.aside, f.share = uniform(r, 180, 300), uniform(r, 0.5, 0.9)
	case "hollow":
		f.aside, f.share = uniform(r, -60, 90), uniform(r, 0.3, 0.7)
	}
	return f
}

// like returns a form such as another way of the same bed has: much the same, but not quite.
func (f form) like(r *rand.Rand) form {
	f.deepest += 15 * r.NormFloat64()
	f.wide *= math.Exp(0.15 * r.NormFloat64())
	f.share *= math.Exp(0.2 * r.NormFloat64())
	return f
}

func (f form) shape() shape {
	raw := f.raw()
	window := func(z float64) float64 { return step((z-f.start)/60) * step((f.end-z)/150) }
	most := 0.0
	for z := f.start; z <= f.end; z++ {
		most = math.Max(most, raw(z)*window(z))
	}
	return func(z float64) float64 {
		if z <= f.start || z >= f.end {
			return 0
		}
		return raw(z) * window(z) / most
	}
}

func (f form) raw() shape {
	bell := func(z, at, width float64) float64 { return math.Exp(-(z - at) * (z - at) / (2 * width * width)) }
	p, w := f.deepest, f.wide
	switch f.kind {
	case "steep": // rises steeply on the chuck's side and falls slowly
		return func(z float64) float64 {
			x := (z - p + 90*w) / (90 * w)
			if x <= 0 {
				return 0
			}
			return math.Pow(x, 1.5) * math.Exp(1.5*(1-x))
		}
	case "plateau": // one sharp edge, toward the tailstock where the commonest work ends
		return func(z float64) float64 {
			return 1 / (1 + math.Exp(-(z-p+90*w)/(25*w))) / (1 + math.Exp((z-p-80*w)/(7*f.edge)))
		}
	case "two humps":
		return func(z float64) float64 { return bell(z, p, 65*w) + f.share*bell(z, p+f.aside, 80*w) }
	case "dying out":
		return func(z float64) float64 { return 1 / (math.Exp(-(z-p)/(28*w)) + math.Exp((z-p)/(140*w))) }
	case "hollow":
		return func(z float64) float64 { return bell(z, p, 110*w) + f.share*bell(z, p+f.aside, 18*f.edge) }
	}
	return func(z float64) float64 { return bell(z, p, 100*w) }
}

// step rises smoothly from 0 to 1 as x does.
func step(x float64) float64 {
	x = math.Max(0, math.Min(1, x))
	return x * x * (3 - 2*x)
}

func uniform(r *rand.Rand, a, b float64) float64 { return a + (b-a)*r.Float64() }
