package plan

import (
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"wornway/compensate"
	"wornway/compensate/setup"
	"wornway/compensate/work"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// study makes as many parts as the long forms of tests have.
var study = flag.Bool("study", false, "make all parts of the long comparisons")

// bent is a lathe that is worn before the chuck.
func bent(t testing.TB, u float64) setup.Lathe { return lathe(t, u, hollow{0.08, 180, 90}) }

// anew is a lathe's wear with a deviation of every curve, as a wear of its own: white noise each 5 mm under the square
// of a cosine one and a half reaches of 75 mm wide, made so that it deviates by u at each place.
func anew(t testing.TB, r *rand.Rand, l setup.Lathe, u float64) *wear.Wear {
	t.Helper()
	const fine, wide = 5.0, 1.5 * 75
	var window []float64
	square := 0.0
	for x := -wide / 2; x <= wide/2; x += fine {
		c := math.Cos(math.Pi * x / wide)
		window = append(window, c*c)
		square += c * c * c * c
	}
	var knots []float64
	for z := -100.0; z <= 1000; z += fine {
		knots = append(knots, z)
	}
	values := map[bed.Curve][]float64{}
	for _, c := range []bed.Curve{bed.Front, bed.Rear, bed.Shift} {
		white := make([]float64, len(knots)+len(window))
		for i := range white {
			white[i] = u / math.Sqrt(square) * r.NormFloat64()
		}
		for i, z := range knots {
			v := l.Machine.Wear.Value(bed.At(c, 0), z)
			for j, f := range window {
				v += f * white[i+j]
			}
			values[c] = append(values[c], v)
		}
	}
	w, err := wear.New(knots, values)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// The joint probability is that of parts made one by one: each on a bed drawn anew, with a force of its own, a
// measurement and a setting of the dial at each feature, and its error calculated exactly and not to first order. The
// product of the single probabilities is not: what two features share, here the first measurement, fails or holds them
// together.
func TestJointProbability(t *testing.T) {
	const u = 0.002
	const most = 8000
	parts := most / 2
	switch {
	case *study:
		parts = most
	case testing.Short():
		parts = most / 6
	}
	off := 0.02 * math.Sqrt(most/float64(parts)) // 3.6 standard errors, whatever the number
	for _, sized := range []work.Sizing{work.InPlace, work.Once} {
		q := Question{Measuring: 0.006, Lathes: []setup.Lathe{bent(t, u)},
			Job: shaft(180, []work.Holding{work.Chuck}, seat("one", 60, 90, 30, -19, 19),
				seat("two", 140, 175, 25, -19, 19))}
		for i := range q.Job.Features {
			q.Job.Features[i].Sized = sized
		}
		var k Plan
		for _, p := range search(t, q).Plans {
			if p.Moves == 0 && len(p.SetUps) == 1 && k.SetUps == nil {
				k = p
			}
		}
		r := rand.New(rand.NewPCG(7, 7))
		held := make([]int, len(k.Features))
		both := 0
		for range parts {
			m := q.Lathes[0].Machine
			m.Wear = anew(t, r, q.Lathes[0], u)
			force := 1 + r.NormFloat64()*6/30
			kept := true
			first := 0.006*r.NormFloat64() + 0.01*(r.Float64()-0.5)
			for i, f := range k.Features {
				cut := k.SetUps[0].Cut(f.Number, f.SetAt)
				push := *cut.Push
				cut.Push = &compensate.Push{By: func(z float64) float64 { return force * push.By(z) },
					Breaks: push.Breaks}
				c, err := m.Curve(cut)
				if err != nil {
					t.Fatal(err)
				}
				off := first
				switch {
				case sized == work.InPlace:
					off = 0.006*r.NormFloat64() + 0.01*(r.Float64()-0.5)
				case f.SetAt != f.To:
					off += 0.01 * (r.Float64() - 0.5)
				}
				ok := true
				for n := range 13 {
					z := f.From + (f.To-f.From)*float64(n)/12
					e := f.Aim - f.Diameter + off + c.At(z, 0)
					ok = ok && e >= f.Size.Lower && e <= f.Size.Upper
				}
				if ok {
					held[i]++
				}
				kept = kept && ok
			}
			if kept {
				both++
			}
		}
		n := float64(parts)
		product := 1.0
		for i, f := range k.Features {
			product *= float64(held[i]) / n
			if got := float64(held[i]) / n; math.Abs(got-f.Probability) > off {
				t.Errorf("%s, %s: stated %.3f, made %.3f", sized, f.Name, f.Probability, got)
			}
		}
		got := float64(both) / n
		t.Logf("%s: stated %.3f, made %.3f, product of the single ones %.3f", sized, k.Probability, got, product)
		if math.Abs(got-k.Probability) > off {
			t.Errorf("%s: stated %.3f, made %.3f", sized, k.Probability, got)
		}
		if sized == work.Once && math.Abs(product-got) < 0.02 {
			t.Errorf("the product %.3f tells the joint probability %.3f as well", product, got)
		}
	}
}

// One short feature on a bed that is known: its diameter is normal about the middle of its limits with the measuring's
// uncertainty, and the probability of conformity is Φ((U − y)/u) − Φ((L − y)/u).
// Source: JCGM 106:2012, 7.3 (formula from memory).
func TestOneFeatureInClosedForm(t *testing.T) {
	l := lathe(t, 0)
	l.Dials = nil
	q := Question{Measuring: 0.005, Lathes: []setup.Lathe{l},
		Job: shaft(120, []work.Holding{work.Chuck}, seat("one", 60, 61, 30, -7, 9))}
	q.Job.Part.Cut = work.Finish{}
	k := search(t, q).Plans[0]
	expected := distuv.UnitNormal.CDF(8.0/5) - distuv.UnitNormal.CDF(-8.0/5)
	if math.Abs(k.Probability-expected) > 0.01 { // ten thousand draws: 0.003 standard
		t.Errorf("%.4f, closed form %.4f", k.Probability, expected)
	}
	if f := k.Features[0]; math.Abs(f.Aim-30.001) > 1e-9 {
		t.Errorf("aimed at %v, the middle of the limits is 30.001", f.Aim)
	}
}

// The search finds what trying every way on a grid and drawing each finds.
func TestSearchAgainstBruteForce(t *testing.T) {
	for _, length := range []float64{110, 150} {
		q := Question{Measuring: 0.001, Lathes: []setup.Lathe{bent(t, 0.0015)},
			Job: shaft(length, work.AllHoldings(), seat("one", 15, 45, 30, -6, 6),
				seat("two", length-40, length-10, 28, -6, 6))}
		q.Job.Part.EndForEnd, q.Job.Part.StockLength = true, 300
		q.Lathes[0].Dials = nil
		r := search(t, q)
		most := 0.0
		for _, k := range q.ways(0) {
			from, to, ok := q.Lathes[0].Reach(q.Job, k.held, k.endForEnd, false)
			if !ok {
				continue
			}
			for at := from; at <= to; at += 10 {
				k.sights = nil
				if no, err := q.look(k, at); err != nil || no != nil {
					continue
				}
				for _, m := range q.manners(0) {
					d := q.draft(0, m, q.scores(k, m)[0], nil, k.sights[0])
					if !d.complete(q.Job) {
						continue
					}
					v, err := q.evaluate(d)
					if err != nil {
						t.Fatal(err)
					}
					most = math.Max(most, v.plan.Probability)
				}
				if from == to {
					break
				}
			}
		}
		best := 0.0
		for _, p := range r.Plans {
			if len(p.SetUps) == 1 {
				best = math.Max(best, p.Probability)
			}
		}
		t.Logf("length %v: searched %.4f, brute force %.4f", length, best, most)
		if best < most-0.01 {
			t.Errorf("length %v: the search comes to %.4f, brute force to %.4f", length, best, most)
		}
	}
}

// A part and its mirror on the same lathe: what is planned for one is planned for the other turned end for end.
func TestMirroredPart(t *testing.T) {
	part := shaft(150, []work.Holding{work.Chuck}, seat("one", 70, 100, 30, -8, 8), seat("two", 115, 145, 26, -8, 8))
	part.Part.EndForEnd = true
	mirror := part
	mirror.Features = nil
	for _, f := range part.Features {
		mirror.Features = append(mirror.Features, f.Turned(150))
	}
	var plans [2]Plan
	for i, j := range []work.Job{part, mirror} {
		plans[i] = search(t, Question{Measuring: 0.002, Lathes: []setup.Lathe{bent(t, 0.001)}, Job: j}).Plans[0]
	}
	a, b := plans[0], plans[1]
	if math.Abs(a.Probability-b.Probability) > 0.01 || len(a.SetUps) != len(b.SetUps) {
		t.Fatalf("%.3f in %d set-ups, the mirror %.3f in %d", a.Probability, len(a.SetUps), b.Probability,
			len(b.SetUps))
	}
	for _, s := range a.SetUps {
		if !slices.ContainsFunc(b.SetUps, func(o Clamping) bool {
			return o.EndForEnd != s.EndForEnd &&
				math.Abs(o.At-s.At) < 1
		}) {
			t.Errorf("no mirror of %+v", s.Setup)
		}
	}
}

// On an unworn bed nothing speaks for going further out than the tool's room before the jaws asks.
func TestUnwornBed(t *testing.T) {
	for _, force := range []float64{0, 60} {
		j := shaft(100, []work.Holding{work.Chuck}, seat("one", 40, 60, 30, -16, 16), seat("two", 70, 95, 30, -16, 16))
		j.Part.StockLength, j.Part.Cut.Radial, j.Part.Cut.URadial = 300, force, force/5
		k := search(t, Question{Measuring: 0.002, Lathes: []setup.Lathe{lathe(t, 0.0005)}, Job: j}).Plans[0]
		if expected := 80.0 + setup.JawsClear - 40; len(k.SetUps) != 1 || math.Abs(k.SetUps[0].At-expected) > 0.2 {
			t.Errorf("force %v: the part lies at %v in %d set-ups, expected %v", force, k.SetUps[0].At, len(k.SetUps),
				expected)
		}
	}
}

// A lathe that is worn near the chuck alone makes the headstock's end bigger, the push of the cut the free end. Going
// out, the one grows less and the other more, until they are equal: there the spread is least. By hand, with
// first-order wear 2·H/S·drop and a plain cantilever 2·F·x³/(3EI), the seat as thick as the stock.
func TestTurningPoint(t *testing.T) {
	const force, length = 40.0, 60.0
	worn := hollow{0.05, 60, 80}
	j := shaft(70, []work.Holding{work.Chuck}, work.Feature{Name: "seat", From: 5, To: 5 + length, Diameter: 32,
		Tolerance: 0.006})
	j.Part.StockLength, j.Part.Cut = 400, work.Finish{Radial: force}
	l := lathe(t, 0.001, worn)
	l.Dials, l.Overhang = nil, 10
	k := search(t, Question{Lathes: []setup.Lathe{l}, Job: j}).Plans[0]
	ei := 206000 * math.Pi * math.Pow(32, 4) / 64
	difference := func(at float64) float64 { // of the headstock's end over the free one
		e := func(z float64) float64 { return 2*150.0/200*worn.drop(z) + 2*force*math.Pow(z-80, 3)/(3*ei) }
		return e(at+5) - e(at+5+length)
	}
	low, high := 80.0, 230.0
	if difference(low) < 0 || difference(high) > 0 {
		t.Fatalf("the two do not meet: %v, %v", difference(low), difference(high))
	}
	for range 60 {
		if m := (low + high) / 2; difference(m) > 0 {
			low = m
		} else {
			high = m
		}
	}
	// About there: how the curve between the ends bends shifts the least spread a little.
	if got := k.SetUps[0].At; math.Abs(got-low) > 12 {
		t.Errorf("the part lies at %.1f, wear and bending meet at %.1f (probability %.3f)", got, low, k.Probability)
	}
}

// A bore is aimed at the middle of its limits like anything else, the push of the cut leaves it small, and it cannot be
// turned where a centre stands.
func TestBore(t *testing.T) {
	j := shaft(100, []work.Holding{work.Chuck, work.ChuckAndCentre},
		work.Feature{Name: "bore", From: 60, To: 100, Diameter: 20, Bore: true,
			Size: &work.Limits{Lower: 0, Upper: 0.021}})
	j.Part.Cut.Radial = 100
	r := search(t, Question{Measuring: 0.002, Lathes: []setup.Lathe{lathe(t, 0.0005)}, Job: j})
	for _, k := range r.Plans {
		if k.SetUps[0].Way != work.Chuck {
			t.Errorf("bored %s", k.SetUps[0].Way.Words())
		}
	}
	f := r.Plans[0].Features[0]
	if math.Abs((f.Low+f.High)/2-20.0105) > 1e-9 || f.Aim > f.High-1e-9 && f.Bending > 1e-5 && f.Aim != f.Low {
		t.Errorf("aimed at %v for %v to %v", f.Aim, f.Low, f.High)
	}
	if len(r.Refused) == 0 {
		t.Error("nothing is said of the centre in the way")
	}
}

// Without a stated uncertainty no probability is made up: what was computed holds or does not.
func TestUnstated(t *testing.T) {
	for limit, holds := range map[float64]bool{30: true, 0.5: false} {
		k := search(t, Question{Measuring: 0.002, Lathes: []setup.Lathe{bent(t, -1)},
			Job: shaft(180, []work.Holding{work.Centres}, seat("one", 60, 175, 30, -limit, limit))}).Plans
		if k[0].Stated || k[0].Holds != holds {
			t.Errorf("± %v µm: stated %v, holds %v", limit, k[0].Stated, k[0].Holds)
		}
	}
}
