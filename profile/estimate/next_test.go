package estimate

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/bed"
	"wornway/profile/survey"
)

// lathes are some that are not like the usual one, mm.
var lathes = map[string]struct {
	l        bed.Lathe
	from, to float64
}{
	"usual": {usual, -200, 800},
	"V, rear post": {bed.Lathe{CentreHeight: 120, Span: 180, Setback: 80, RearPost: true,
		V:      &bed.V{Outer: 0.6, Inner: 0.9, ContactSpacing: 9},
		Saddle: bed.Saddle{BearingLength: 200, Bearing: bed.Full, ToolOffset: 30}}, -150, 900},
	"a foot of bed": {bed.Lathe{CentreHeight: 60, Span: 80, Setback: 40,
		Saddle: bed.Saddle{BearingLength: 70, ToolOffset: -15}}, -50, 250},
	"eight metres": {bed.Lathe{CentreHeight: 400, Span: 600, Setback: 300,
		Saddle: bed.Saddle{BearingLength: 900, ToolOffset: 100}}, -500, 7500},
	"saddle, a point": {bed.Lathe{CentreHeight: 150, Span: 200, Setback: 100}, -200, 800},
}

// reads returns a survey of so many readings over a stretch.
func reads(t testing.TB, l bed.Lathe, keys, columns string, from, to float64, n int) survey.Set {
	t.Helper()
	var rows [][]float64
	for i := range n {
		z := from + (to-from)*float64(i)/float64(n-1)
		switch columns {
		case "from, to":
			if i == n-1 {
				continue
			}
			rows = append(rows, []float64{z, from + (to-from)*float64(i+1)/float64(n-1), 0})
		case "goes, stops":
			if i > 0 && i < n-1 {
				rows = append(rows, []float64{z, 0.05, 0.06})
			}
		default:
			rows = append(rows, []float64{z, 0.01 * math.Sin(z/100)})
		}
	}
	names := map[string]string{"": `"position", "reading"`, "from, to": `"from", "to", "reading"`,
		"goes, stops": `"position", "goes", "stops"`, "diameter": `"position", "diameter"`}[columns]
	if columns == "diameter" {
		for i := range rows {
			rows[i][1] += 30
		}
	}
	if columns == "goes, stops" {
		keys += "\ncontacts = [" + num(from) + ", " + num(to) + "]"
	}
	return read(t, l, keys+"\ncolumns = ["+names+"]", rows)
}

func num(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// someSurveys are surveys of several kinds over a stretch.
func someSurveys(t testing.TB, l bed.Lathe, from, to float64) []survey.Set {
	t.Helper()
	const level = "\nper_division = \"0.02 mm/m\""
	return []survey.Set{
		reads(t, l, `method = "carriage-indicator"`+"\ntouch = \"tail-front\"", "", from, to, 9),
		reads(t, l, `method = "saddle-level"`+level, "", from, to, 8),
		reads(t, l, `method = "level-along"`+"\non = \"rear\""+level, "from, to", from, to, 7),
		reads(t, l, `method = "bar-side"`, "", from, to, 6),
		reads(t, l, `method = "straightedge"`+"\non = \"rear\"", "goes, stops", from, to, 7),
		reads(t, l, `method = "test-cut"`+"\nheld_at = "+num(from), "diameter", from, to, 5),
	}
}

// aims are what the tool does at some places against where it was set, at the far end.
func aimsOf(l bed.Lathe, from, to float64) [][]bed.Addend {
	var out [][]bed.Addend
	lean := bed.Of(bed.LeanOut).Times(-1)
	for i := range 4 {
		z := from + (to-from)*float64(i)/4
		sum := l.ToolOut().Plus(lean)
		out = append(out, []bed.Addend{{Sum: sum, At: z, Factor: 2}, {Sum: sum, At: to, Factor: -2}})
	}
	return out
}

// For known strengths what is foreseen is exactly what the estimate leaves once the survey is made, whatever it reads:
// held against a problem in which it is a survey like the others.
func TestForeseenForKnownStrengths(t *testing.T) {
	for name, x := range lathes {
		from, to := x.from+0.3*(x.to-x.from), x.from+0.7*(x.to-x.from)
		sets := someSurveys(t, x.l, from, to)
		in := Input{Bed: [2]float64{x.from, x.to}, Unworn: [][2]float64{{x.from, x.from + 30}}, TwistU: 5e-8,
			Surveys: sets[:1], LeanU: [2]float64{2e-4, 2e-4}}
		aims := aimsOf(x.l, from, to)
		for _, s := range sets[1:] {
			before := in
			before.ahead, before.LeanU = []survey.Set{s}, [2]float64{} // the lean counts from the candidate on
			p := mustProblem(t, before)
			f := newForesight(p, Ahead{Aims: aims, Candidates: []Candidate{{Sets: []survey.Set{s}, Lean: in.LeanU}}})
			known := fix(t, p, 200, 0.05, 0.03, 0.01)
			whole := mat.DenseCopyOf(f.a)
			if err := f.at(known.point); err != nil {
				t.Fatal(err)
			}
			f.cut()
			got, err := f.left(f.plans[0])
			if err != nil {
				t.Fatal(err)
			}
			after := in
			after.Surveys = []survey.Set{sets[0], s}
			q := mustProblem(t, after)
			if !slices.Equal(p.knots, q.knots) {
				t.Fatalf("%s, %s: other knots", name, s.Method.Name)
			}
			for i := range q.rows { // limits as sure as they are foreseen to be
				if k := q.rows[i].equation; q.rows[i].survey == 1 && s.Equations[k].Side != survey.Value {
					q.rows[i].rescale(norm(mat.Row(nil, f.plans[0].rows[k], whole))/norm(mat.Row(nil,
						f.plans[0].rows[k], f.a)), 0)
				}
			}
			there := fix(t, q, 200, 0.05, 0.03, 0.01)
			want, now := 0.0, 0.0
			for _, parts := range aims {
				w := make([]float64, q.wanted())
				v := make([]float64, p.wanted())
				for _, a := range parts {
					axpy(a.Factor, there.weigh(a.Sum, a.At), w)
					axpy(a.Factor, known.weigh(a.Sum, a.At), v)
				}
				want, now = math.Max(want, there.covariance(w, w)), math.Max(now, known.covariance(v, v))
			}
			near(t, name+", "+s.Method.Name+": foreseen", got, math.Sqrt(want), 1e-7*math.Sqrt(now))
			near(t, name+", "+s.Method.Name+": now", f.now(), math.Sqrt(now), 1e-7*math.Sqrt(now))
		}
	}
}

// The order of candidates changes nothing but the order of the answers, and what is read takes nothing away.
func TestForeseenInAnyOrder(t *testing.T) {
	x := lathes["usual"]
	sets := someSurveys(t, x.l, 50, 450)
	aims := aimsOf(x.l, 50, 300)
	for _, surveyed := range [][]survey.Set{nil, sets[:1], sets[:2]} {
		in := Input{Bed: [2]float64{x.from, x.to}, Unworn: [][2]float64{{x.from, x.from + 50}}, TwistU: 5e-8,
			Surveys: surveyed}
		var cs []Candidate
		for _, s := range sets[2:] {
			cs = append(cs, Candidate{Sets: []survey.Set{s}})
		}
		cs = append(cs, Candidate{}) // reads nothing
		want, err := Foresee(in, Ahead{aims, cs})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "what a survey without readings leaves", want.After[len(cs)-1], want.Now, 1e-12*want.Now)
		for i, u := range want.After {
			if !(u > 0 && u <= want.Now) || !(want.Then[i] <= want.After[want.First]) || u < want.After[want.First] {
				t.Errorf("%d surveys, candidate %d: %g now, %g after it, %g beside the first, %g after that",
					len(surveyed), i, want.Now, u, want.Then[i], want.After[want.First])
			}
		}
		r := rand.New(rand.NewPCG(2, 3))
		for range 3 {
			order := r.Perm(len(cs))
			var turned []Candidate
			for _, i := range order {
				turned = append(turned, cs[i])
			}
			got, err := Foresee(in, Ahead{aims, turned})
			if err != nil {
				t.Fatal(err)
			}
			near(t, "now", got.Now, want.Now, 1e-9*want.Now)
			if order[got.First] != want.First {
				t.Errorf("the first is %d, was %d", order[got.First], want.First)
			}
			for k, i := range order {
				near(t, "after", got.After[k], want.After[i], 1e-7*want.Now)
				near(t, "then", got.Then[k], want.Then[i], 1e-7*want.Now)
			}
		}
	}
}

// Nothing asked is an error and not a panic.
func TestForeseeNothing(t *testing.T) {
	in := Input{Bed: [2]float64{0, 1000}}
	for _, a := range []Ahead{{}, {Candidates: []Candidate{{}}}, {Aims: aimsOf(usual, 0, 100)}} {
		if _, err := Foresee(in, a); err == nil {
			t.Errorf("%d aims and %d candidates are foreseen", len(a.Aims), len(a.Candidates))
		}
	}
}
