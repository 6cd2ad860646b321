package study

import (
	"fmt"
	"math"
	"math/rand/v2"

	"wornway/compensate"
	"wornway/compensate/work"
)

// shopBest is the plan of the perfect dial: an indicator of 2 µm along a bar that stands true, half an inch apart over
// 500 mm; a level on the saddle whose reading is uncertain by what 1 µm of drop over the way span makes; five collars
// measured to 1.5 µm.
func shopBest(b *bench) {
	b.barSide(0.002, 500, 12.7, true)
	b.saddleLevel(0.001/b.span/division, 25)
	b.testCut(0.0015, 5, nil)
}

// Where the tool is set, at mid-bed and within the bar's reach, and the work that is turned. Lengths mm.
const dialFrom, dialTo, dialDiameter = 30.0, 480.0, 25.4

// onTool makes up a bed on which it is the tool's own greatest radial error that has the given size, in place of the
// front way's drop.
func onTool(number int, size float64) *machine {
	of := func(depth float64) *machine {
		return newMachine(rand.New(rand.NewPCG(seed+2, uint64(number))), kinds[number%len(kinds)], depth)
	}
	const trial = 0.1
	m := of(trial)
	greatest := 0.0
	for z := dialFrom; z < dialTo; z += 2 {
		greatest = math.Max(greatest, math.Abs(m.diameterError(z, dialTo, dialDiameter, 0, 0)/2))
	}
	return of(trial * size / greatest)
}

// dialled returns the root mean square of the tool's radial error over the worn stretch before and after a dial without
// steps takes the estimate out of it. The stretch is where the error exceeds a tenth of its greatest; errors count from
// where the tool is set. Before is the bed's part alone; after holds the spindle's lean too, which the bar has seen.
func dialled(number int, m *machine) (before, after float64, err error) {
	b := newBench(m, rand.New(rand.NewPCG(seed+3, uint64(number))), leave{})
	shopBest(b)
	tool, err := estimated(b.text.String())
	if err != nil {
		return 0, 0, fmt.Errorf("bed %d: %w", number, err)
	}
	c, err := tool.Curve(compensate.Cut{Feature: work.Feature{From: dialFrom, To: dialTo, Diameter: dialDiameter},
		SetAt: dialTo})
	if err != nil {
		return 0, 0, err
	}
	var wears, left []float64
	greatest := 0.0
	for z := dialFrom; z <= dialTo; z += 2 {
		e := m.diameterError(z, dialTo, dialDiameter, 0, 0) / 2
		wears, left = append(wears, e), append(left, (m.diameterError(z, dialTo, dialDiameter, m.leanOut,
			m.leanUp)-c.At(z, 0))/2)
		greatest = math.Max(greatest, math.Abs(e))
	}
	n := 0.0
	for i, e := range wears {
		if math.Abs(e) < greatest/10 {
			continue
		}
		before += e * e
		after += left[i] * left[i]
		n++
	}
	return math.Sqrt(before / n), math.Sqrt(after / n), nil
}

// improvement is the median over beds of how many times smaller the error becomes.
func improvement(of [][2]float64) float64 {
	var times []float64
	for _, x := range of {
		times = append(times, x[0]/x[1])
	}
	return median(times)
}
