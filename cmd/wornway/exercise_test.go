package main

import (
	"errors"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/classroom"
	"wornway/compensate/exercise"
	"wornway/profile/document"
)

// FuzzAnswers reads whatever comes as a class's answers: it is read whole, or refused with a line for each fault.
func FuzzAnswers(f *testing.F) {
	for _, s := range []string{
		"name,seed,cause\na,1,lean\n",
		"name,seed,cause,cause_2,strength,strength_2,told_by\nb,2-3,lean,twist,1,0.02,centres\n",
		"\ufeffName, Seed ,CAUSE\r\nc,7,cannot-tell\r\n",
		"", "name", "name,seed,cause\n\"", "name,seed,cause\n\"a\"b,1,lean", "name,name,seed,cause\n1,2,3,4,5",
		"seed,cause,name\n1e3,lean,\n-1,,x\n", "name,seed,cause\n\n\n", "name,seed,cause,strength\na,1,lean,NaN\n",
	} {
		f.Add(s, 0)
	}
	f.Fuzz(func(t *testing.T, text string, level int) {
		all, bad, err := classroom.ReadAnswers("class.csv", []byte(text), level)
		var faults document.Faults
		switch {
		case err != nil && (!errors.As(err, &faults) || len(faults) == 0 || len(all) > 0):
			t.Fatalf("%q: %v with %d answers", text, err, len(all))
		case err == nil && len(all) == 0:
			t.Fatalf("%q: neither answers nor a fault", text)
		}
		for _, a := range all {
			if len(a.Given.Causes) == 0 || len(a.Given.Causes) != len(a.Sizes) || a.Number.Level < 1 ||
				a.Number.Level > exercise.Hardest {
				t.Fatalf("%q: %+v", text, a)
			}
		}
		for _, f := range append(faults, bad...) {
			if strings.ContainsAny(f.Error(), "\n\x1b") || f.Line < 0 {
				t.Fatalf("%q: %q", text, f.Error())
			}
		}
	})
}

// What stands on the page is what stands on the sheet: every reading, and the words of every question.
func TestExercisePage(t *testing.T) {
	alongside(t)
	workshop(t)
	for _, line := range []string{"exercise --seed 417-3", "exercise --seed 5-1 --paper a5",
		"exercise --seed 12-2 --paper half-letter"} {
		text := strings.Join(strings.Fields(pdfText(t, printed(t, line))), " ")
		n, err := exercise.ParseNumber(split(line)[2], 0)
		if err != nil {
			t.Fatal(err)
		}
		x, err := classroom.NewAssignment(n)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range x.Pages() {
			for _, r := range p.Rows {
				if !strings.Contains(text, r[0]+" "+r[1]) {
					t.Errorf("%s: %s: %s %s is not on the page", line, p.Name, r[0], r[1])
				}
			}
		}
		for _, q := range append(x.Task(), append(x.Opening()[1:],
			append(classroom.ExerciseCautions, x.BedWords(), x.ReadWords())...)...) {
			if !strings.Contains(text, q) {
				t.Errorf("%s: not on the page: %s", line, q)
			}
		}
	}
}
