package collars_test

import (
	"errors"
	"flag"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile/bar"
	"wornway/profile/bed"
	"wornway/profile/collars"
	"wornway/profile/document"
	"wornway/profile/length"
	"wornway/profile/wear"
)

const seven = "position,diameter\n90,50.000\n120,49.990\n150,49.984\n180,49.982\n210,49.985\n240,49.991\n270,50.000\n"

func parsed(t *testing.T, text string) *collars.Table {
	t.Helper()
	table, err := collars.Parse("c.csv", []byte(text), length.Millimetre, length.Millimetre)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// alone is a bar in the chuck.
func alone(u, jaws float64) collars.Conditions {
	return collars.Conditions{Held: bar.Chuck, U: u, HeldAt: jaws, CentreAt: math.NaN()}
}

func curve(t *testing.T, table *collars.Table, h collars.Conditions, like bool) *compensate.Curve {
	t.Helper()
	e, err := table.Estimate(h)
	if err != nil {
		t.Fatal(err)
	}
	w, err := e.Wear(like)
	if err != nil {
		t.Fatal(err)
	}
	from, to := table.Range()
	c, err := (compensate.Machine{Lathe: collars.Lathe(), Wear: w}).Curve(compensate.Cut{
		Feature: work.Feature{From: from, To: to, Diameter: table.Diameter()}, SetAt: to})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// For work like the bar, collars that a micrometer read without error are the prediction: the differences of the table
// above, by subtraction.
func TestCollarsAreThePrediction(t *testing.T) {
	c := curve(t, parsed(t, seven), alone(1e-5, 60), true)
	for z, want := range map[float64]float64{90: 0, 120: -0.010, 150: -0.016, 180: -0.018, 210: -0.015, 240: -0.009} {
		if got := c.At(z, 0); math.Abs(got-want) > 2e-3 {
			t.Errorf("at %g mm %.4f mm, want %.4f", z, got, want)
		}
	}
}

// Two cuts of which one is twice as deep show the push-off: bars of 50 mm whose collars a cut bends by 0.012 mm on
// diameter at the last, and by twice as much where it is twice as deep, as a beam bends with the cube of the distance
// from the jaws. What is left is the bed's hollow.
func TestDepthTellsPushFromBed(t *testing.T) {
	hollow := func(z float64) float64 { return -0.010 * math.Sin(math.Pi*(z-90)/180) }
	push := func(z float64) float64 { return 0.012 * math.Pow((z-60)/210, 3) }
	table := &collars.Table{}
	for k, deep := range []float64{1, 2} {
		c := collars.Cut{Number: k + 1, Depth: deep / 10}
		for z := 90.0; z <= 270; z += 30 {
			c.Positions = append(c.Positions, z)
			c.Diameters = append(c.Diameters, 50-0.1*float64(k)+hollow(z)+deep*push(z))
		}
		table.Cuts = append(table.Cuts, c)
	}
	h := alone(2e-4, 60)
	e, err := table.Estimate(h)
	if err != nil {
		t.Fatal(err)
	}
	got, u := e.Push()
	if want := 1.5 * push(270); math.Abs(got-want) > 1.5e-3 || u > 1.5e-3 {
		t.Errorf("push-off %.4f ± %.4f mm at the mean depth, want %.4f", got, u, want)
	}
	c := curve(t, table, h, false)
	for z := 90.0; z <= 270; z += 30 {
		if want := hollow(z) - hollow(270); math.Abs(c.At(z, 0)-want) > 2e-3 {
			t.Errorf("bed at %g mm %.4f mm, want %.4f", z, c.At(z, 0), want)
		}
	}
	one := curve(t, &collars.Table{Cuts: table.Cuts[:1]}, h, false)
	if alone, both := one.Station(90).Uncertainty, c.Station(90).Uncertainty; both > alone/2 {
		t.Errorf("± %.5f with both cuts, %.5f with one: the second should halve it at least", both, alone)
	}
}

// study makes as many beds as the long forms of tests have.
var study = flag.Bool("study", false, "draw all beds of the long comparisons")

// number is how many beds a test has: all with -study, otherwise some, and with -short few.
func number(few, some, all int) int {
	switch {
	case *study:
		return all
	case testing.Short():
		return few
	}
	return some
}

const drawnU, drawnJaws = 0.002, 60.0

// drawn are collars as they may come: seven, 30 mm apart, on a bed that is drawn from what is believed of beds, with
// what the bar truly comes out like at each mm.
func drawn(r *rand.Rand) (*collars.Table, map[float64]float64) {
	const bar = 50
	strong := 0.001 * math.Exp(r.Float64()*math.Log(128))
	rate := math.Sqrt(3) / (75 * math.Exp(r.Float64()*math.Log(8)))
	value, speed := strong*r.NormFloat64(), strong*rate*r.NormFloat64()
	push, slope := 0.02*math.Abs(r.NormFloat64()), 4e-4*r.NormFloat64()
	truth := map[float64]float64{}
	const step = 0.05
	for i := range int(180/step) + 1 {
		z := 90 + float64(i)*step
		if at := math.Round(z); math.Abs(z-at) < 1e-6 {
			truth[at] = value + slope*z + push*math.Pow((z-drawnJaws)/210, 3)
		}
		value, speed = value+step*speed, speed-step*(2*rate*speed+rate*rate*value)+
			2*strong*math.Pow(rate, 1.5)*math.Sqrt(step)*r.NormFloat64()
	}
	cut := collars.Cut{Number: 1, Depth: math.NaN()}
	repeat := []float64{0, 0.001, 0.002}[r.IntN(3)]
	for z := 90.0; z <= 270; z += 30 {
		cut.Positions = append(cut.Positions, z)
		cut.Diameters = append(cut.Diameters, bar+truth[z]+math.Hypot(drawnU, repeat)*r.NormFloat64())
	}
	return &collars.Table{Cuts: []collars.Cut{cut}}, truth
}

// A collar whose thimble was read a turn off is named, by how much it is off, and left out; good collars of beds as
// they may come hardly ever are. Of seven no more than one is left out, and it is said that there are more.
func TestOddCollar(t *testing.T) {
	r := rand.New(rand.NewPCG(20261129, 1))
	const turn = 0.5
	beds, mostDoubted, mostFalsely := number(15, 50, 100), 1, 0
	if *study {
		mostDoubted, mostFalsely = 3, 1
	}
	doubted, falsely, found := 0, 0, 0
	for i := range beds {
		table, truth := drawn(r)
		h := alone(drawnU, drawnJaws)
		good, err := table.Estimate(h)
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range good.Odd {
			doubted++
			if !o.Kept {
				falsely++
			}
		}
		k, was := i%7, table.Diameter()
		table.Cuts[0].Diameters[k] -= turn
		if now := table.Diameter(); math.Abs(now-was) > turn/10 {
			t.Errorf("bed %d: the bar is %.4f mm, and %.4f with one collar misread", i, was, now)
		}
		bad, err := table.Estimate(h)
		if err != nil {
			t.Fatal(err)
		}
		if len(bad.Odd) == 1 && bad.Odd[0].Position == table.Cuts[0].Positions[k] && !bad.Odd[0].Kept {
			found++
			if o := bad.Odd[0]; math.Abs(o.Off+turn) > 5*o.U {
				t.Errorf("bed %d, collar %d: off by %.4f ± %.4f mm, and it is %.1f", i, k, o.Off, 2*o.U, -turn)
			}
			if 0 < k && k < 6 {
				c := curve(t, table, h, true)
				z := table.Cuts[0].Positions[k]
				s, want := c.Station(z), truth[z]-truth[270]
				if math.Abs(s.DiameterError-want) > 5*s.Uncertainty {
					t.Errorf("bed %d: %.4f ± %.4f mm where it was left out, and it is %.4f", i, s.DiameterError,
						2*s.Uncertainty, want)
				}
			}
		}
	}
	t.Logf("of %d beds: falsely named at %d, left out at %d, found at %d", beds, doubted, falsely, found)
	if doubted > mostDoubted || falsely > mostFalsely || float64(found) < 0.95*float64(beds) {
		t.Errorf("of %d beds: falsely named at %d, left out at %d, found at %d", beds, doubted, falsely, found)
	}
	table := parsed(t, seven)
	table.Cuts[0].Diameters[1] += turn
	table.Cuts[0].Diameters[4] -= turn
	if e, err := table.Estimate(alone(0, 60)); err != nil || len(e.Odd) != 1 || !e.Wild {
		t.Errorf("two of seven off: %+v, wild %v (%v)", e.Odd, e.Wild, err)
	}
}

// The ± against brute force: beds drawn from what is believed of them, collars read on each, and the errors between the
// last collar and a place halfway between two others counted. The curve is drawn as the motion of a point on a damped
// spring that is pushed at random, of which Matérn's covariance of order 3/2 is the stationary one (from memory).
func TestUncertaintyHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(20261128, 1))
	const most = 250
	beds := number(40, 125, most)
	within := 0
	for range beds {
		table, truth := drawn(r)
		c := curve(t, table, alone(drawnU, drawnJaws), true)
		s := c.Station(135)
		if math.Abs(truth[135]-truth[270]-s.DiameterError) <= 2*s.Uncertainty {
			within++
		}
	}
	// 2.2 and 2.5 standard errors; of forty none needs to miss
	off := math.Sqrt(most / float64(beds))
	if share := float64(within) / float64(beds); share < 0.95-0.03*off || share > 0.95+0.035*off {
		t.Errorf("± at k = 2 holds in %.1f %% of beds, want some 95", 100*share)
	}
}

// Work as thick as the bar, held where it was, gives as much; half as thick sixteen times as much, as a beam does.
func TestSlimWorkGivesMore(t *testing.T) {
	table := parsed(t, seven)
	e, err := table.Estimate(collars.Conditions{Held: bar.ChuckAndCentre, HeldAt: 60, CentreAt: 320})
	if err != nil {
		t.Fatal(err)
	}
	from, to := table.Range()
	push, u := e.Push()
	for share, times := range map[float64]float64{1: 1, 0.5: 16, 2: 1. / 16} {
		got, want := e.Gives(from, to, share*table.Diameter()), times*(push+2*u)
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("%g times as thick it gives %.6f mm, want %.6f", share, got, want)
		}
	}
}

// Moving all along the bed, or turning the bar thinner by a constant that leaves it as stiff, changes nothing; twice
// the rows never make the ± wider.
func TestProperties(t *testing.T) {
	h := alone(0, 60)
	table := parsed(t, seven)
	was := curve(t, table, h, true)
	moved := parsed(t, seven)
	twice := &collars.Table{Cuts: append(parsed(t, seven).Cuts, parsed(t, seven).Cuts...)}
	for i := range moved.Cuts[0].Positions {
		moved.Cuts[0].Positions[i] += 100
	}
	twice.Cuts[1].Number = 2
	now, more := curve(t, moved, alone(0, 160), true), curve(t, twice, h, true)
	for z := 90.0; z < 270; z += 15 {
		if a, b := was.At(z, 0), now.At(z+100, 0); math.Abs(a-b) > 1e-6 {
			t.Errorf("at %g mm %.6f, moved by 100 mm %.6f", z, a, b)
		}
		if a, b := was.Station(z).Uncertainty, more.Station(z).Uncertainty; b > a {
			t.Errorf("at %g mm ± %.6f, with the cut repeated %.6f", z, a, b)
		}
	}
}

// The lathe of collars makes of the shift what the tool does, and nothing else.
func TestLatheIsTheShift(t *testing.T) {
	w, err := wear.New([]float64{0, 100}, map[bed.Curve][]float64{bed.Shift: {0.001, 0.004}})
	if err != nil {
		t.Fatal(err)
	}
	if got := w.Value(collars.Lathe().ToolOut(), 100); got != 0.004 {
		t.Errorf("tool out %g mm, want the shift's 0.004", got)
	}
	if got := w.Value(collars.Lathe().ToolDrop(20), 100); got != 0 {
		t.Errorf("tool drop %g mm, want none", got)
	}
}

func TestFaultsAreToldTogether(t *testing.T) {
	text := "position,diameter,cut\n90,50,1\n120,5,1\n150,x,1\n180,50,1.5\n"
	_, err := collars.Parse("c.csv", []byte(text), length.Millimetre, length.Millimetre)
	for _, want := range []string{"c.csv:3:5: diameter", "c.csv:4:5: diameter", "c.csv:5:8: cut",
		"holds 4 rows, and five are needed"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("no %q in %v", want, err)
		}
	}
	if _, err = collars.Parse("c.csv", []byte("position,diameter\n90,50\n120,50\n"), length.Millimetre,
		length.Millimetre); err == nil || !strings.Contains(err.Error(), "five are needed") {
		t.Errorf("two rows: %v", err)
	}
}

// Whatever a table says, reading it neither panics nor takes in what cannot be calculated with.
func FuzzCollars(f *testing.F) {
	f.Add(seven)
	f.Add("position;diameter;cut;depth\n90;50,0;1;0,1\n120;50,01;1;\n150;50;2;0,2\n180;50;2;\n210;50;2;\n")
	f.Add("\uFEFFPosition\tDiameter\n1e3\t1\n")
	f.Add("position,diameter,cut\n1,2,1\n1,2,1\n2,2,3\n3,2,3\n4,2,1\n")
	f.Fuzz(func(t *testing.T, text string) {
		table, err := collars.Parse("c.csv", []byte(text), length.Millimetre, length.Millimetre)
		if err != nil {
			var faults document.Faults
			if !errors.As(err, &faults) || !strings.HasPrefix(faults[0].Error(), "c.csv") {
				t.Fatalf("%T: %v", err, err)
			}
			return
		}
		e, err := table.Estimate(alone(0, math.NaN()))
		if err != nil {
			return
		}
		w, err := e.Wear(true)
		if err != nil {
			return
		}
		from, to := table.Range()
		for _, z := range []float64{from, (from + to) / 2, to} {
			if v := w.Value(collars.Lathe().ToolOut(), z); math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%g at %g", v, z)
			}
		}
	})
}
