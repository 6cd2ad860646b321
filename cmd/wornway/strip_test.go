package main

import (
	"image/color"
	"math"
	"os"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/card"
)

// The ruler and the bar of the strip are true, by the coordinates that the file holds: inches are 25.4 mm from number
// to number, the bar is as long as a piece, and neighbouring pieces go on where the last one ended.
func TestStripIsTrueByItsCoordinates(t *testing.T) {
	alongside(t)
	workshop(t)
	deeper(t)
	for _, c := range []struct {
		line             string
		bar, numbered    float64
		pieces           int
		length, printing float64
	}{
		{"chart " + pieces + " --strip", 8 * 25.4, 25.4, 4, 32 * 25.4, 0},
		{"chart deeper.toml --from 100 --to 990 --diameter 30 --strip --paper a4", 240, 20, 4, 900, 0},
	} {
		pdf := printed(t, c.line)
		bars, at := 0, []float64{}
		for _, l := range pdfLines(pdf) {
			wide, high := math.Abs(l[2]-l[0]), math.Abs(l[3]-l[1])
			switch {
			case high < 1e-6 && math.Abs(wide-c.bar) < 0.01:
				bars++
			case wide < 1e-6 && math.Abs(high-6) < 0.01: // the ruler's longest ticks
				at = append(at, l[0])
			}
		}
		if want := (c.pieces + card.StripRows - 1) / card.StripRows; bars != want {
			t.Errorf("%s: %d scale bars, expected %d", c.line, bars, want)
		}
		// Within a piece the ticks are a number apart; from one piece to the next they go on.
		steps, total := 0, 0.0
		for i := 1; i < len(at); i++ {
			if at[i] > at[i-1] {
				if d := at[i] - at[i-1]; math.Abs(d-c.numbered) > 0.01 {
					t.Errorf("%s: neighbouring numbers are %.4f mm apart", c.line, d)
				}
				steps++
				total += at[i] - at[i-1]
			}
		}
		if want := float64(steps) * c.numbered; math.Abs(total-want) > 0.2 ||
			steps+c.pieces < int(c.length/c.numbered) {
			t.Errorf("%s: %d steps of the ruler make %.3f mm, expected %.3f", c.line, steps, total, want)
		}
	}
}

// Pieces that are laid with the line beside a number on the line beside the same one make one ruler: over its whole
// length every numbered tick lies within 0.2 mm of where a ruler has it, 0.02 mm by the file's coordinates, whatever
// the paper.
func TestStripGoesOnAcrossJoins(t *testing.T) {
	alongside(t)
	workshop(t)
	deeper(t)
	for _, c := range []struct {
		line             string
		numbered, length float64
	}{
		{"chart " + pieces + " --strip", 25.4, 32 * 25.4},
		{"chart " + pieces + " --strip --paper a4", 25.4, 32 * 25.4},
		{"chart deeper.toml --from 100 --to 990 --diameter 30 --strip --paper a4", 20, 900},
		{"chart deeper.toml --from 100 --to 990 --diameter 30 --strip --paper letter", 20, 900},
	} {
		// where the piece begins on the whole ruler; its first line on the paper
		joined, begin, laid := 0.0, math.NaN(), math.NaN()
		last, seen, ends := 0.0, 0, 0
		for _, l := range pdfLines(printed(t, c.line)) {
			wide, high := math.Abs(l[2]-l[0]), math.Abs(l[3]-l[1])
			switch {
			case wide < 1e-6 && math.Abs(high-(card.StripHeight+8)) < 0.01:
				if ends++; ends%2 == 1 {
					begin, laid = l[0], joined
				} else {
					joined += l[0] - begin
				}
			case wide < 1e-6 && math.Abs(high-6) < 0.01:
				at := laid + l[0] - begin
				if seen > 0 && math.Abs(at-last) < 0.02 { // the number on the join stands on both pieces
					continue
				}
				if want := float64(seen) * c.numbered; math.Abs(at-want) > 0.02 {
					t.Errorf("%s: number %d lies at %.3f mm of the joined strip, expected %.3f", c.line, seen, at, want)
				}
				seen++
				last = at
			}
		}
		if ends < 6 || math.Abs(joined-c.length) > 0.02 || seen != int(math.Round(c.length/c.numbered))+1 {
			t.Errorf("%s: %d pieces of %.3f mm with %d numbers, expected %.0f mm", c.line, ends/2, joined, seen,
				c.length)
		}
	}
}

// The same by what a printer would put on paper: at 300 dots per inch the numbers' ticks of a sheet lie where they
// should, to the dot, 0.085 mm.
func TestStripIsTrueInPixels(t *testing.T) {
	alongside(t)
	workshop(t)
	const dpi = 300
	p := pdfPicture(t, printed(t, "chart "+pieces+" --strip"), 1, dpi)
	dot := func(mm float64) int { return int(math.Round(mm * dpi / 25.4)) }
	// Half a millimetre under the top of the longest ticks of the first piece nothing else is drawn.
	y := dot(6 + card.StripTop + card.StripHeight - 5.4)
	var columns []float64
	for x, run := dot(6+card.StripJoin)+4, 0; x < p.Bounds().Dx()-dot(6+card.StripJoin); x++ {
		dark := color.GrayModel.Convert(p.At(x, y)).(color.Gray).Y < 128
		if dark {
			run++
			continue
		}
		if run > 0 {
			columns = append(columns, float64(x)-float64(run+1)/2)
		}
		run = 0
	}
	if len(columns) < 8 {
		t.Fatalf("%d ticks found", len(columns))
	}
	for i, x := range columns {
		mm := (x+0.5)*25.4/dpi - (6 + card.StripJoin)
		if want := float64(i+1) * 25.4; math.Abs(mm-want) > 0.2 {
			t.Errorf("tick %d lies at %.3f mm, expected %.3f", i+1, mm, want)
		}
	}
}

// A bar in the chuck alone that reaches further out than is usual (3 diameters, 5 the limit: common practice, no
// source) is told of on the card as large as the moves; on the tailstock's centre it is not.
func TestCardSaysWhatStandsTooFarOut(t *testing.T) {
	alongside(t)
	workshop(t)
	table := "# invented\nposition,diameter\n3,1.2503\n5,1.2508\n7,1.2510\n9,1.2506\n11,1.2500\n"
	if err := os.WriteFile("skimmed.csv", []byte(table), 0o600); err != nil {
		t.Fatal(err)
	}
	const line = "chart skimmed.csv --from 4in --to 10in --diameter 1.25in --reading-unit in --division 0.001in " +
		"--dial diameter --held-at 2in "
	for held, want := range map[string]bool{"chuck": true, "chuck-and-centre": false} {
		text := pdfText(t, printed(t, line+"--held "+held))
		if got := strings.Contains(text, "NEEDS THE TAILSTOCK"); got != want {
			t.Errorf("held by %s: %v, want %v:\n%s", held, got, want, text)
		}
	}
}
