package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"wornway/compensate"
	"wornway/compensate/work"
	"wornway/profile"
	"wornway/profile/bed"
	"wornway/profile/wear"
)

// next is a survey that is added to what was read before.
type next struct {
	name        string
	before, add func(b *bench)
}

// steps pairs what has been read with what is read next. The first few take little time and serve the ordinary test.
var steps = []next{
	{"a level on the saddle, then a bar", func(b *bench) { b.saddleLevel(0.2, 50) },
		func(b *bench) { b.barSide(fine, 254, 25, true) }},
	{"indicators, then a level on the saddle", indicators, func(b *bench) { b.saddleLevel(0.2, 50) }},
	{"a bar, then a level on the saddle", func(b *bench) { b.barSide(coarse, 254, 25, false) },
		func(b *bench) { b.saddleLevel(0.2, 50) }},
	{"nothing, then a bar", nil, func(b *bench) { b.barSide(coarse, 254, 25, true) }},
	{"nothing, then a level across the ways", nil, func(b *bench) { b.levelAcross(0.2) }},
	{"nothing, then indicators", nil, indicators},
	{"nothing, then ten minutes with lock, level and lamp", nil, tenMinutes},
	{"indicators, then collars", indicators, func(b *bench) { b.testCut(0.002, 5, b.pushes) }},
	{"a level along each way, then a micrometer", func(b *bench) {
		b.levelAlong("front", 0.2)
		b.levelAlong("rear",
			0.2)
	}, func(b *bench) { b.wayMicrometer(0.003) }},
	{"indicators, then a tailstock's indicator", indicators, func(b *bench) { b.tailstockIndicator(coarse) }},
	{"a level on the saddle, then a straightedge on each way", func(b *bench) { b.saddleLevel(0.2, 50) }, edges},
	{"a lock, then a straightedge on each way", func(b *bench) { b.carriageLock() }, edges},
}

// misjudged are how many of the last steps leave more than is foreseen: an edge finds wear that a level, which sees one
// way less the other, or a lock, which sees little, had no idea of, and these beds are worn more than is usual. They
// are in the table, not in the checks.
const misjudged = 2

func tenMinutes(b *bench) {
	b.carriageLock()
	b.saddleLevel(0.2, 125)
	for _, on := range append(b.fronts(), "rear") {
		b.lightGap(on)
	}
}

func edges(b *bench) {
	for _, on := range append(b.fronts(), "rear") {
		b.straightedge(on, leave{})
	}
}

// ahead is what one bed's next survey was foreseen to leave, what it left, and what there was before it: standard
// uncertainties on diameter, mm.
type ahead struct{ now, foreseen, after float64 }

// foresee makes up a bed, foresees what a step leaves there, and takes it.
func foresee(number int, s next) (ahead, error) {
	r := rand.New(rand.NewPCG(seed+7, uint64(number)))
	b := newBench(newMachine(r, kinds[number%len(kinds)], uniform(r, 0.03, 0.15)), r, leave{})
	if s.before != nil {
		s.before(b)
	}
	before := b.text.String()
	s.add(b)
	p, err := profile.Parse(nil, "before.toml", []byte(before))
	if err != nil {
		return ahead{}, err
	}
	q, err := profile.Parse(nil, "after.toml", []byte(b.text.String()))
	if err != nil {
		return ahead{}, err
	}
	a := uniform(r, 50, 100)
	c := compensate.Cut{Feature: work.Feature{From: a, To: a + 150, Diameter: 25}, SetAt: a + 150}
	greatest := func(p *profile.Profile) (float64, error) {
		e, err := p.Estimate()
		if err != nil {
			return 0, err
		}
		k, err := machineOf(p, e.Wear).Curve(c)
		if err != nil {
			return 0, err
		}
		u := 0.0
		for i := range 8 {
			u = math.Max(u, k.Station(a+150*float64(i)/8).Uncertainty)
		}
		return u, nil
	}
	flat := map[bed.Curve][]float64{bed.Front: {0, 0}, bed.Shift: {0, 0}, bed.Rear: {0, 0}}
	w, err := wear.New([]float64{p.Lathe.Ways.From, p.Lathe.Ways.To}, flat)
	if err != nil {
		return ahead{}, err
	}
	k, err := machineOf(p, w).Curve(c)
	if err != nil {
		return ahead{}, err
	}
	var aims [][]bed.Addend
	for i := range 8 {
		aims = append(aims, k.Sums(a+150*float64(i)/8))
	}
	var made profile.Candidate
	for _, s := range q.Surveys[len(p.Surveys):] {
		made.Sets = append(made.Sets, s.Set)
	}
	o, err := p.Foresee(aims, []profile.Candidate{made}, 0)
	if err != nil {
		return ahead{}, err
	}
	out := ahead{now: o.Now, foreseen: o.After[0]}
	if s.before != nil {
		u, err := greatest(p)
		if err != nil {
			return out, err
		}
		// The estimate cuts its draws at metal that would have grown; the look ahead does so on fewer of them.
		if math.Abs(u/o.Now-1) > 0.08 {
			return out, fmt.Errorf("bed %d, %s: ± before is %g by the estimate, %g by the look ahead", number, s.name,
				u, o.Now)
		}
	}
	out.after, err = greatest(q)
	return out, err
}

// shrunk returns the mean of what was left over what was foreseen, and its scatter from bed to bed.
func shrunk(all []ahead) (mean, scatter float64) {
	for _, a := range all {
		mean += a.after / a.foreseen / float64(len(all))
	}
	for _, a := range all {
		d := a.after/a.foreseen - mean
		scatter += d * d / float64(len(all))
	}
	return mean, math.Sqrt(scatter)
}

// The mean of what was left over what was foreseen, for one step.
const (
	tooMuch   = 1.15
	tooLittle = 0.67
)

// What a survey is foreseen to leave of the ± is what it leaves once its readings, made by the study's own
// calculation, are added: within 10 % in the mean of all, and no step promises more by over a seventh or less by over a
// third: so it is asked of two beds, which tell the mean of one step to some 12 % and that of all to 6 %. The ordinary
// run has one, and as many standard errors' room; TestStudyForeseen has forty.
func TestForeseen(t *testing.T) {
	number, serving := cases(1, 1, 2), cases(2, 4, 4)
	off := func(within float64) float64 { return room(within, 2, float64(number)) }
	pooled := 0.0
	for _, s := range steps[:serving] {
		all := beds(t, number, func(i int) (ahead, error) { return foresee(i, s) })
		mean, scatter := shrunk(all)
		t.Logf("%s: left over foreseen %.3f, from bed to bed %.3f", s.name, mean, scatter)
		pooled += mean / float64(serving)
		if mean > 1+off(tooMuch-1) || mean < 1-off(1-tooLittle) {
			t.Errorf("%s: the ± left is %.2f times the one foreseen", s.name, mean)
		}
	}
	t.Logf("together %.3f", pooled)
	if math.Abs(pooled-1) > room(0.10, 8, float64(number*serving)) {
		t.Errorf("the ± left is %.2f times the one foreseen", pooled)
	}
}

const foreseen = "../../testdata/study/ahead.md"

// TestStudyForeseen tries every step on many beds and keeps the table.
//
//	go test ./profile/study -run StudyForeseen -study
func TestStudyForeseen(t *testing.T) {
	if !*full {
		t.Skip("-study runs it")
	}
	const number = 40
	var b strings.Builder
	fmt.Fprintf(&b, "# What a survey is foreseen to leave, and what it leaves\n\nMade by `go test ./profile/study "+
		"-run StudyForeseen -study`, seed %d, %d beds each. All data are invented. u in µm on diameter, means. "+
		"The last two columns are the mean of what was left over what was foreseen, and its standard deviation from "+
		"bed to bed. The last two steps are not held to it: "+
		"an edge finds wear that a level, which sees one way less the other, or a lock, which sees little, had no "+
		"idea of, and these beds are worn more than is usual.\n\n", seed+7, number)
	b.WriteString("| read before, then added | u before | foreseen | left | left over foreseen | from bed to bed " +
		"|\n|---|---|---|---|---|---|\n")
	pooled, held := 0.0, 0.0
	for k, s := range steps {
		all := beds(t, number, func(i int) (ahead, error) { return foresee(i, s) })
		mean, scatter := shrunk(all)
		var m ahead
		for _, a := range all {
			m.now += a.now / number
			m.foreseen += a.foreseen / number
			m.after += a.after / number
		}
		fmt.Fprintf(&b, "| %s | %.2f | %.2f | %.2f | %.3f | %.3f |\n", s.name, 1000*m.now, 1000*m.foreseen,
			1000*m.after, mean, scatter)
		if k >= len(steps)-misjudged {
			continue
		}
		pooled, held = pooled+mean, held+1
		if mean > tooMuch || mean < tooLittle {
			t.Errorf("%s: the ± left is %.2f times the one foreseen", s.name, mean)
		}
	}
	pooled /= held
	fmt.Fprintf(&b, "\nWithout the last two steps: %.3f in the mean.\n", pooled)
	if math.Abs(pooled-1) > 0.10 {
		t.Errorf("the ± left is %.2f times the one foreseen", pooled)
	}
	t.Log(b.String())
	if err := os.WriteFile(foreseen, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}
