package work

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Fit is a size tolerance of ISO 286 by its name, such as k6 or H7, for one nominal diameter.
type Fit struct {
	Name       string
	Limits     Limits // deviations from the nominal diameter, mm
	Bore       bool   // a capital letter: it is meant for a bore
	FromMemory bool   // the limits rest on no copy of the standard that was read: mark a promise that is made on them
	Source     string // where the limits are from, in words
}

// stepOf returns the number of the step that holds a diameter in mm, or -1 where none does. A diameter on the boundary
// belongs to the step that ends there; so does one that a conversion from inches has put a millionth of a millimetre
// beyond it.
func stepOf(diameter float64, ends []float64) int {
	if !(diameter > 0) {
		return -1
	}
	for i, to := range ends {
		if diameter <= to+1e-6 {
			return i
		}
	}
	return -1
}

// ParseFit returns the limits of the fit of that name for a nominal diameter in mm, up to 500 mm. It knows e, f, g, h,
// js, k, m, n, p, r and s for shafts and the same in capitals for bores, with the grades 4 to 12 as [grades] has them.
// The letter's case matters. The error says what is known, or which diameters the tables are for.
//
// Limits of js and JS are half the standard tolerance to either side, not rounded to whole µm.
func ParseFit(name string, diameter float64) (Fit, error) {
	letter := strings.TrimRight(name, "0123456789")
	grade, err := strconv.Atoi(name[len(letter):])
	small := strings.ToLower(letter)
	bore := letter == strings.ToUpper(letter)
	if err != nil || strconv.Itoa(grade) != name[len(letter):] || !(bore || letter == small) ||
		!known(small, bore, grade) {
		return Fit{}, unknown(name)
	}
	i := stepOf(diameter, stepEnds)
	switch {
	case !(diameter > 0) || math.IsInf(diameter, 0):
		return Fit{}, fmt.Errorf("%s needs a diameter greater than zero", name)
	case i < 0:
		return Fit{}, fmt.Errorf("%s is known here for diameters up to %v mm, not for %.6g mm: give its limits as "+
			"upper and lower", name, stepEnds[len(stepEnds)-1], diameter)
	}
	it := standard(grade, i)
	f := Fit{Name: name, Bore: bore, Source: fromGrades}
	lower, upper := 0.0, 0.0 // µm
	switch d, above, source := deviation(small, i, diameter); {
	case small == "js":
		lower, upper = -it/2, it/2
	case small == "h" && bore:
		upper = it
	case small == "h":
		lower = -it
	case !above && bore: // E to G: the shaft's with its sign turned
		f.Source, lower, upper = source, -d, -d+it
	case !above:
		f.Source, lower, upper = source, d-it, d
	case bore:
		f.Source, upper = source, 0-d+delta(small, grade, i)
		if small == "m" && grade == 6 && stepEnds[i] == 315 {
			upper = m6Exception
			f.Source, f.FromMemory = fromMemory, true
		}
		lower = upper - it
	default:
		f.Source, lower, upper = source, d, d+it
	}
	if grade == 12 && diameter > 315+1e-6 {
		f.Source, f.FromMemory = fromMemory, true
	}
	f.Limits = Limits{Lower: lower / 1000, Upper: upper / 1000}
	return f, nil
}

// known says whether a letter goes with a grade: those that the tables hold.
func known(letter string, bore bool, grade int) bool {
	g, ok := grades[letter]
	if !ok {
		return false
	}
	first, last := g[0], g[1]
	if bore && strings.Contains("kmnprs", letter) {
		// Δ needs the next finer grade, and IT3 is not in the table; K, M and N have it to IT8, and coarser ones are
		// not given.
		first = firstGrade + 1
		if strings.Contains("kmn", letter) {
			last = 8
		}
	}
	return grade >= first && grade <= last
}

// standard returns the standard tolerance of a grade in a step, µm.
func standard(grade, step int) float64 { return steps[step][grade-firstGrade] }

// delta returns Δ, by which the upper deviation of a bore of K to S lies nearer to the nominal size than the shaft's
// letter has it, µm: the grade's width less that of the next finer one, for K, M and N to IT8 and P to S to IT7; none
// up to 3 mm.
func delta(letter string, grade, step int) float64 {
	most := 7
	if strings.Contains("kmn", letter) {
		most = 8
	}
	if step == 0 || grade > most {
		return 0
	}
	return standard(grade, step) - standard(grade-1, step)
}

// deviation returns the deviation of a shaft's letter that lies next to the nominal size, µm: the lower one where
// above is true, else the upper one. r and s have steps of their own over 50 mm.
func deviation(letter string, step int, diameter float64) (d float64, above bool, source string) {
	switch letter {
	case "e", "f", "g":
		return hanging[letter][step], false, fromSets
	case "r", "s":
		return narrow[letter][stepOf(diameter, narrowEnds)], true, fromTwoSets
	case "h", "js":
		return 0, true, fromGrades
	}
	return standing[letter][step], true, fromSets
}

func unknown(name string) error {
	return fmt.Errorf("%q is no fit that is known here to 500 mm: there are e5 to e12, f5 to f12, g4 to g9, h4 to "+
		"h12, js4 to js12, k4 to k7, and m, n, p, r and s with 4 to 9 for shafts; for bores E5 to E12, F5 to F12, G4 "+
		"to G9, H4 to H12, JS4 to JS12, K, M and N with 5 to 8, and P, R and S with 5 to 9; give the limits of any "+
		"other as upper and lower", name)
}
