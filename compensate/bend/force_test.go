package bend_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"wornway/compensate/bend"
	_ "wornway/testdata/steady"
)

// Kienzle's formula with the constants of a toolmaker's turning catalogue (2017, p. 558), calculated apart from this
// code. No worked example is published there.
func TestCutting(t *testing.T) {
	for _, c := range []struct {
		name                  string
		feed, depth, approach float64 // mm, mm, degrees
		expected              float64 // N
	}{
		{"steel-medium-carbon", 0.2, 2, 90, 854.918},
		{"steel-medium-carbon", 0.1, 0.5, 90, 124.469},
		{"steel-medium-carbon", 0.3, 2, 45, 1265.870},
		{"steel-low-carbon", 0.2, 2, 90, 757.142},
		{"stainless-austenitic", 0.2, 2, 90, 1186.568},
		{"aluminium-wrought", 0.2, 2, 90, 418.698},
		{"aluminium-wrought", 0.2, 2, 0, 418.698}, // no angle known: square
	} {
		m, ok := bend.FindMaterial(c.name)
		if !ok {
			t.Errorf("no %s", c.name)
			continue
		}
		if got := m.Cutting(c.depth, c.feed, c.approach*math.Pi/180); math.Abs(got-c.expected) > 0.0005 {
			t.Errorf("%s: %.4f N, expected %.3f", c.name, got, c.expected)
		}
	}
}

// The constants by group, as the catalogue prints them.
func TestMaterials(t *testing.T) {
	kc1 := map[string]float64{"1": 1350, "2": 1500, "3": 1675, "4": 1700, "5": 1900, "6": 1775, "7": 1675, "8": 1725,
		"9": 1800, "10": 2450, "11": 2500, "12": 1875, "13": 1875, "14": 2150,
		"21": 700, "22": 800, "23, 24": 700, "25": 750, "26": 700, "27": 700, "28": 700, "36": 1700, "37": 2110}
	mc := map[string]float64{"1": .21, "2": .22, "3": .24, "4": .24, "5": .24, "6": .24, "7": .24, "8": .24, "9": .24,
		"10": .23, "11": .23, "12": .21, "13": .21, "14": .20,
		"21": .25, "22": .25, "23, 24": .25, "25": .25, "26": .27, "27": .27, "28": .27, "36": .23, "37": .22}
	names := map[string]bool{}
	for _, m := range bend.Materials() {
		if m.KC1 != kc1[m.Group] || m.MC != mc[m.Group] {
			t.Errorf("%s: %v, %v; the catalogue has %v, %v for group %s", m.Name, m.KC1, m.MC, kc1[m.Group],
				mc[m.Group], m.Group)
		}
		delete(kc1, m.Group)
		if names[m.Name] || m.Name != strings.ToLower(m.Name) || strings.ContainsAny(m.Name, " ,") || m.What == "" {
			t.Errorf("%+v", m)
		}
		names[m.Name] = true
		// Steels lie near 206, aluminium near 70, titanium and copper between, as any handbook has them.
		if low := map[bool]float64{true: 190e3, false: 65e3}[strings.HasPrefix(m.Name, "st")]; m.Modulus < low ||
			m.Modulus > low+60e3 {
			t.Errorf("%s: modulus %v", m.Name, m.Modulus)
		}
		if found, ok := bend.FindMaterial(m.Name); !ok || found != m {
			t.Errorf("%s: found %+v", m.Name, found)
		}
	}
	if len(kc1) > 0 {
		t.Errorf("groups without a material: %v", kc1)
	}
	if m, ok := bend.FindMaterial("cheese"); ok || m != (bend.Material{}) {
		t.Errorf("found %+v", m)
	}
}

// Two cuts of half the depth take twice one of it; a chip of twice the thickness takes less than twice the force; and
// nothing is nothing.
func TestCuttingInProportion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(bend.Materials()).Draw(t, "material")
		depth, feed, approach := rapid.Float64Range(0.01, 5).Draw(t, "depth"),
			rapid.Float64Range(0.01, 0.5).Draw(t, "feed"), rapid.Float64Range(0.1, 3).Draw(t, "approach")
		f := m.Cutting(depth, feed, approach)
		if twice := m.Cutting(2*depth, feed, approach); !(f > 0) || math.Abs(twice-2*f) > 1e-9*f {
			t.Fatalf("%v N at the depth, %v at twice", f, twice)
		}
		if ratio := m.Cutting(depth, 2*feed, approach) / f; math.Abs(ratio-math.Pow(2, 1-m.MC)) > 1e-9 {
			t.Fatalf("twice the feed takes %v times the force", ratio)
		}
		if other := m.Cutting(depth, feed, math.Pi-approach); math.Abs(other-f) > 1e-9*f {
			t.Fatalf("%v N, leaning the other way %v", f, other)
		}
		push, u := bend.Radial(f)
		if math.Abs(push-0.4*f) > 1e-9*f || math.Abs(2*u-0.5*push) > 1e-9*f {
			t.Fatalf("%v N cutting: %v ± %v pushing", f, push, 2*u)
		}
	})
	m := bend.Materials()[0]
	for _, c := range [][3]float64{{0, 0.1, 1}, {-1, 0.1, 1}, {1, 0, 1}, {1, -0.1, 1}, {1, 0.1, -1}, {1, 0.1, 4},
		{math.NaN(), 0.1, 1}, {1, math.NaN(), 1}, {1, 0.1, math.NaN()}} {
		if f := m.Cutting(c[0], c[1], c[2]); f != 0 {
			t.Errorf("depth %v, feed %v, angle %v: %v N", c[0], c[1], c[2], f)
		}
	}
}

// cut finds how far work gives under a cut by halving: the give at which the force of what is cut equals the force that
// bends the work so far.
func cut(depth, perDepth, compliance float64) float64 {
	low, high := 0.0, depth
	for range 200 {
		mid := (low + high) / 2
		if perDepth*(depth-mid)*compliance > mid {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// Collars cut on work that gives show the force that was put into it; what Pushed says for it is what stays on.
func TestCollarsShowTheForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		compliance := math.Exp(rapid.Float64Range(math.Log(1e-5), math.Log(3e-3)).Draw(t, "compliance"))
		perDepth := math.Exp(rapid.Float64Range(math.Log(20), math.Log(2000)).Draw(t, "force for each mm"))
		shallow := rapid.Float64Range(0.02, 0.3).Draw(t, "shallow")
		deep := shallow + rapid.Float64Range(0.1, 2).Draw(t, "more")
		d := [2]float64{cut(shallow, perDepth, compliance), cut(deep, perDepth, compliance)}
		c := bend.Collars{Compliance: compliance, Depths: [2]float64{shallow, deep}, Oversize: 2 * (d[1] - d[0]),
			U: 0.002}
		got, u, err := c.ForcePerDepth()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got-perDepth) > 1e-6*perDepth {
			t.Fatalf("%v N/mm, put in %v", got, perDepth)
		}
		if left := bend.Pushed(got*deep, deep, compliance, 0); math.Abs(left-d[1]) > 1e-6*d[1] {
			t.Fatalf("left %v, settled at %v", left, d[1])
		}
		// The uncertainty is the slope in the oversize, by a small step; and the order of the depths says nothing.
		h := 1e-6 * c.Oversize
		up, down := c, c
		up.Oversize, down.Oversize = c.Oversize+h, c.Oversize-h
		up.Depths = [2]float64{deep, shallow}
		above, _, err1 := up.ForcePerDepth()
		below, _, err2 := down.ForcePerDepth()
		if err1 != nil || err2 != nil || math.Abs((above-below)/(2*h)*c.U-u) > 1e-4*u {
			t.Fatalf("u %v, by a small step %v (%v, %v)", u, (above-below)/(2*h)*c.U, err1, err2)
		}
		// Elsewhere on the same work, whose compliance was taken too great by a third throughout, what stays on is the
		// same.
		wrong := c
		wrong.Compliance *= 4.0 / 3
		k, _, err := wrong.ForcePerDepth()
		if err != nil {
			t.Fatal(err)
		}
		if a, b := bend.Pushed(k*0.5, 0.5, 0.7*wrong.Compliance, 0),
			cut(0.5, perDepth, 0.7*compliance); math.Abs(a-b) > 1e-6*b {
			t.Fatalf("left %v, by the true compliance %v", a, b)
		}
	})
}

// A pair calculated by hand: 0.002 mm/N and 100 N for each mm make r = 0.2, so that a sixth of the depth stays on. At
// 0.2 and 0.8 mm the collars differ by 2·0.6/6 = 0.2 mm.
func TestCollarsByHand(t *testing.T) {
	c := bend.Collars{Compliance: 0.002, Depths: [2]float64{0.2, 0.8}, Oversize: 0.2, U: 0.006}
	k, u, err := c.ForcePerDepth()
	// u = 0.006/(2·0.6·(5/6)²·0.002) = 3.6
	if err != nil || math.Abs(k-100) > 1e-9 || math.Abs(u-3.6) > 1e-9 {
		t.Errorf("%v ± %v, %v", k, u, err)
	}
	// Drawn with that uncertainty, the results scatter by it.
	const draws = 20000
	random, sum, squares := rand.New(rand.NewPCG(1, 2)), 0.0, 0.0
	for range draws {
		d := c
		d.Oversize += c.U * random.NormFloat64()
		v, _, err := d.ForcePerDepth()
		if err != nil {
			t.Fatal(err)
		}
		sum, squares = sum+v-100, squares+(v-100)*(v-100)
	}
	if sd := math.Sqrt(squares/draws - sum*sum/draws/draws); math.Abs(sd-3.6) > 0.1 {
		t.Errorf("scatter %v", sd)
	}
}

func TestCollarsThatShowNothing(t *testing.T) {
	good := bend.Collars{Compliance: 0.002, Depths: [2]float64{0.2, 0.8}, Oversize: 0.2, U: 0.006}
	for name, c := range map[string]struct {
		change func(*bend.Collars)
		says   string
	}{
		"stiff":     {func(c *bend.Collars) { c.Compliance = 0 }, "must give"},
		"one depth": {func(c *bend.Collars) { c.Depths[1] = 0.2 }, "different depths"},
		"no depth":  {func(c *bend.Collars) { c.Depths[0] = 0 }, "greater than zero"},
		"smaller":   {func(c *bend.Collars) { c.Oversize = -0.01 }, "did not come out bigger"},
		"alike":     {func(c *bend.Collars) { c.Oversize = 0 }, "did not come out bigger"},
		"not cut":   {func(c *bend.Collars) { c.Oversize = 1.3 }, "all that was to be cut"},
		"just not cut": {func(c *bend.Collars) { c.Depths, c.Oversize = [2]float64{0.25, 0.75}, 1 },
			"all that was to be cut"},
		"not a number":     {func(c *bend.Collars) { c.U = math.NaN() }, "cannot be calculated"},
		"without end":      {func(c *bend.Collars) { c.Depths[1] = math.Inf(1) }, "cannot be calculated"},
		"u less than zero": {func(c *bend.Collars) { c.U = -1 }, "uncertainty"},
		"gives backwards":  {func(c *bend.Collars) { c.Compliance = -1e-3 }, "must give"},
	} {
		bad := good
		c.change(&bad)
		if k, u, err := bad.ForcePerDepth(); err == nil || k != 0 || u != 0 || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v ± %v, %v", name, k, u, err)
		}
	}
}
