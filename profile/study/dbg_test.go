package study
import ("testing";"fmt";"math/rand/v2")
func TestDbg(t *testing.T) {
	for i := range 24 {
		f, err := rowSlip(i, 5, 10)
		if err != nil { t.Fatal(err) }
		if f.named { continue }
		number := i
		_, clean, _ := readProfile(disputed(number, nil))
		r := rand.New(rand.NewPCG(seed+12, uint64(number)))
	k := r.IntN(disputes)
	a := clean.Surveys[k]
	d := a.Each[r.IntN(len(a.Each))]
	size := uniform(r, 5, 10) * d.U / a.Scale
	if r.IntN(2) == 0 {
		size = -size
	}
	fmt.Println("bed", i, "survey", k, a.Method, "row", d.Row, "of", a.Rows, "pos", d.Position, "U", d.U/a.Scale, "size", size, "sigmas", size*a.Scale/d.U)
	_, e, err := readProfile(disputed(number, func(survey, i int, cell []string) {
		if survey == k && i == d.Row-1 {
			changeCells(cell, func(v float64) float64 { return v + size })
		}
	}))
		for i, a := range e.Surveys { fmt.Printf("   %d %s %.1f factor %.1f doubt %.2f out %v\n", i, a.Method, a.RMS/a.Expected, a.Factor, a.Doubt, a.Outliers)
		if i == k { for _, d := range a.Each { if d.Row == d.Row { fmt.Printf(" %d:%.1f", d.Row, d.Sigma) } }; fmt.Println() } }
	}
}
