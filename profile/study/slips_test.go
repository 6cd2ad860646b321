package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/estimate"
	"wornway/profile/wear"
)

// disputed is a bed that two surveys and more see alike: its roll by a level across the ways and one on the saddle, its rear way by a micrometer and indicators, the tool's path by a bar.
func disputed(number int, spoil func(survey, row int, cell []string)) string {
	r := rand.New(rand.NewPCG(seed+11, uint64(number)))
	b := newBench(newMachine(r, kinds[number%len(kinds)], uniform(r, 0.05, 0.15)), r, leave{})
	b.spoil = spoil
	b.saddleLevel(0.2, 50)
	b.levelAcross(0.2)
	b.wayMicrometer(0.003)
	indicators(b)
	b.barSide(coarse, 254, 25, true)
	return b.text.String()
}

const disputes = 6 // surveys of a disputed bed

func readProfile(text string) (*profile.Profile, *estimate.Result, error) {
	p, err := profile.Parse(nil, "study.toml", []byte(text))
	if err != nil {
		return nil, nil, err
	}
	e, err := p.Estimate()
	return p, e, err
}

// changeCells changes the readings of a row, all its cells but the first.
func changeCells(cell []string, change func(v float64) float64) {
	for i := range cell[1:] {
		v, err := strconv.ParseFloat(cell[i+1], 64)
		if err == nil {
			cell[i+1] = fmt.Sprintf("%.6f", change(v))
		}
	}
}

// finding is what the tool made of one bed.
type finding struct {
	named bool // whatever was wrong, or with nothing wrong: anything
	told  bool // rather than "cannot tell"
	moved float64
}

// falselyNamed says whether anything is named at a bed of good readings.
func falselyNamed(number int) (finding, error) {
	_, e, err := readProfile(disputed(number, nil))
	if err != nil {
		return finding{}, err
	}
	d, err := e.Slips()
	if err != nil {
		return finding{}, err
	}
	f := finding{named: d.Sure}
	for _, a := range e.Surveys {
		f.named = f.named || len(a.Outliers) > 0 || a.Factor > 1
	}
	return f, nil
}

// rowSlip puts one reading wrong by so many times what the others leave it, as an estimate of the good readings has it.
func rowSlip(number int, least, most float64) (finding, error) {
	_, clean, err := readProfile(disputed(number, nil))
	if err != nil {
		return finding{}, err
	}
	r := rand.New(rand.NewPCG(seed+12, uint64(number)))
	k := r.IntN(disputes)
	a := clean.Surveys[k]
	d := a.Each[r.IntN(len(a.Each))]
	size := uniform(r, least, most) * d.U / a.Scale
	if r.IntN(2) == 0 {
		size = -size
	}
	_, e, err := readProfile(disputed(number, func(survey, i int, cell []string) {
		if survey == k && i == d.Row-1 {
			changeCells(cell, func(v float64) float64 { return v + size })
		}
	}))
	if err != nil {
		return finding{}, err
	}
	f := finding{moved: moved(clean.Wear, e.Wear)}
	for _, o := range e.Surveys[k].Outliers {
		f.named = f.named || o.Row == d.Row
	}
	return f, nil
}

// moved is by how much of its ± a curve has moved where it moved most.
func moved(a, b *wear.Wear) float64 {
	most := 0.0
	for _, c := range []bed.Curve{bed.Front, bed.Rear, bed.Shift} {
		s := bed.At(c, 0)
		for _, z := range a.Knots() {
			var w wear.Weights
			a.Weigh(&w, s, z, 1)
			u, _ := a.Uncertainty(&w)
			most = math.Max(most, math.Abs(a.Value(s, z)-b.Value(s, z))/(2*u))
		}
	}
	return most
}

// surveySlip turns the sign of one survey, or writes it tenfold.
func surveySlip(number int, name string) (finding, error) {
	r := rand.New(rand.NewPCG(seed+13, uint64(number)))
	k := r.IntN(disputes)
	change := map[string]func(v float64) float64{
		"sign":  func(v float64) float64 { return -v },
		"tenth": func(v float64) float64 { return 10 * v },
	}[name]
	_, e, err := readProfile(disputed(number, func(survey, i int, cell []string) {
		if survey == k {
			changeCells(cell, change)
		}
	}))
	if err != nil {
		return finding{}, err
	}
	d, err := e.Slips()
	if err != nil {
		return finding{}, err
	}
	var f finding
	if len(d.Slips) > 0 {
		f.told = d.Sure
		f.named = d.Sure && d.Slips[0].Survey == k && d.Slips[0].Name == name
	}
	return f, nil
}

func share(of []finding, what func(f finding) bool) float64 {
	n := 0.0
	for _, f := range of {
		if what(f) {
			n++
		}
	}
	return n / float64(len(of))
}

// Slips are named, good readings are not, and one wild reading does not bend a curve.
func TestSlips(t *testing.T) {
	n := 24
	if *full {
		n = 400
	}
	named := func(f finding) bool { return f.named }
	clean := beds(t, n, falselyNamed)
	t.Logf("falsely named %.3f", share(clean, named))
	rows := beds(t, n, func(i int) (finding, error) { return rowSlip(i, 5, 10) })
	t.Logf("rows named %.3f", share(rows, named))
	wild := beds(t, n, func(i int) (finding, error) { return rowSlip(i, 20, 20) })
	most := 0.0
	for i, f := range wild {
		most = math.Max(most, f.moved)
		if f.moved > 0.5 || !f.named {
			t.Log(i, f.moved, f.named)
		}
	}
	t.Logf("wild rows named %.3f, moved by at most %.2f of the ±", share(wild, named), most)
	for _, name := range []string{"sign", "tenth"} {
		of := beds(t, n, func(i int) (finding, error) { return surveySlip(i, name) })
		t.Logf("%s: named %.3f, told %.3f", name, share(of, named), share(of, func(f finding) bool { return f.told }))
	}
}
