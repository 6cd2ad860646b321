package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"wornway/cmd/wornway/internal/card"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/turning"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile/length"
)

var updatePictures = flag.Bool("update-pictures", false, "draw the pictures in testdata and the README anew")

// sheets are those of exercises: what is on them hangs on nothing but the command line, and several tests look at it.
var sheets sync.Map

// printed runs a command that writes a PDF and returns it.
func printed(t *testing.T, line string) []byte {
	t.Helper()
	shared := strings.HasPrefix(line, "exercise ")
	if shared {
		defer maker(line)()
		if b, is := sheets.Load(line); is {
			return b.([]byte)
		}
	}
	a := invoke(split(line + " -o page.pdf --force")...)
	if a.status != env.ExitDone && a.status != env.ExitNotHeld {
		t.Fatalf("%s: %s", line, a.stderr)
	}
	b, err := os.ReadFile("page.pdf")
	if err != nil {
		t.Fatal(err)
	}
	if shared {
		sheets.Store(line, b)
	}
	return b
}

// tool returns a program of poppler's, or skips the test where it is not there.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not on this machine (Debian: apt install poppler-utils), so that what is printed is not "+
			"looked at", name)
	}
	return path
}

// pdfText returns the text of a PDF in the order in which it was written, as poppler reads it.
func pdfText(t *testing.T, pdf []byte) string {
	t.Helper()
	c := exec.Command(tool(t, "pdftotext"), "-raw", "-", "-")
	c.Stdin = bytes.NewReader(pdf)
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// pdfPicture returns a page of a PDF as a picture.
func pdfPicture(t *testing.T, pdf []byte, page, dpi int) image.Image {
	t.Helper()
	c := exec.Command(tool(t, "pdftoppm"), "-r", strconv.Itoa(dpi), "-f", strconv.Itoa(page), "-l", strconv.Itoa(page),
		"-png", "-gray", "-")
	c.Stdin = bytes.NewReader(pdf)
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	p, err := png.Decode(bytes.NewReader(out))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// The lines of a page's own drawing commands, x1 y1 x2 y2 in mm.
var lineCommand = regexp.MustCompile(`(?m)^([\d.-]+) ([\d.-]+) m ([\d.-]+) ([\d.-]+) l S`)

func pdfLines(pdf []byte) [][4]float64 {
	var out [][4]float64
	for _, m := range lineCommand.FindAllSubmatch(pdf, -1) {
		var l [4]float64
		for i := range l {
			v, _ := strconv.ParseFloat(string(m[i+1]), 64)
			l[i] = v * 25.4 / 72
		}
		out = append(out, l)
	}
	return out
}

// deeper writes deeper.toml, the second lathe with forty times its wear, so that there is something to dial in mm.
func deeper(t *testing.T) {
	t.Helper()
	text := strings.Replace(mustRead(t, "second.toml"), "[200, 0.002,", "[200, 0.08,", 1)
	if err := os.WriteFile("deeper.toml", []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

const pieces = "demo.toml --from 4in --to 36in --diameter 1in"

// No word lies on another or outside the margin, on cards of every size and on strips.
func TestChartWordsAreApart(t *testing.T) {
	alongside(t)
	workshop(t)
	deeper(t)
	for _, line := range []string{
		"demo.toml --from 4in --to 12in --diameter 1in", pieces + " --tolerance 0.5thou", pieces + " --paper letter",
		"demo.toml --from 5in --to 30in --diameter 2in --bore --allow 0.3thou", pieces + " --strip",
		"deeper.toml --from 100 --to 990 --diameter 30", "deeper.toml --from 100 --to 990 --diameter 30 --strip",
		"demo.toml --job shaft.toml --paper a5", "demo.toml --any-work --from 4in --to 36in --every 4in",
	} {
		apart(t, line, printed(t, "chart "+line))
	}
}

// What stands on the paper is what correct answers: each position, direction and number of divisions, in its order.
func TestPaperSaysWhatCorrectSays(t *testing.T) {
	alongside(t)
	workshop(t)
	deeper(t)
	tool(t, "pdftotext")
	for _, args := range []string{pieces, "demo.toml --from 12in --to 18in --diameter 1in --allow 0.3thou",
		"demo.toml --from 5in --to 30in --diameter 2in --bore",
		"deeper.toml --from 100 --to 990 --diameter 30", "second.toml --from 100 --to 400 --diameter 30"} {
		var k turning.CorrectJSON
		if err := json.Unmarshal([]byte(invoke(split("correct "+args+" --json")...).stdout), &k); err != nil {
			t.Fatal(err)
		}
		l := opened(t, mustRead(t, split(args)[0]))
		w := l.Units
		flat := strings.Join(strings.Fields(pdfText(t, printed(t, "chart "+args))), " ")
		if len(k.Moves) == 0 {
			if !strings.Contains(flat, "NOTHING TO DIAL") {
				t.Errorf("%s: the card does not say that there is nothing to dial", args)
			}
			if a := invoke(split("chart " + args + " --strip -o no.pdf")...); a.status != env.ExitRefused ||
				!strings.Contains(a.stderr, "there is nothing to dial, so there is no strip") {
				t.Errorf("%s: a strip of nothing: %d %s", args, a.status, a.stderr)
			}
		} else {
			strip := strings.Join(strings.Fields(pdfText(t, printed(t, "chart "+args+" --strip"))), " ")
			paperHasMoves(t, args, flat, strip, w, k)
		}
		for _, s := range []string{"Stale after moving, levelling or gib work.",
			"Test cut checked: __________ on __________", w.Small(l.In.ToMM(k.MovesSpreadLeft))} {
			if !strings.Contains(flat, s) {
				t.Errorf("%s: the card lacks %q:\n%s", args, s, flat)
			}
		}
	}
}

// paperHasMoves looks for the moves in the text of a card, numbered and in their order, each with what the dial then
// reads, and on a strip.
func paperHasMoves(t *testing.T, args, flat, strip string, w word.Units, k turning.CorrectJSON) {
	t.Helper()
	from := 0
	for n, m := range k.Moves {
		reads := w.Dial(math.Abs(w.In.ToMM(m.Dial)))
		if w.In == length.Inch { // .0005 in, but 0.013 mm
			reads = strings.TrimPrefix(reads, "0")
		}
		switch {
		case m.Dial == 0:
			reads = "0"
		case m.Dial < 0:
			reads += " out"
		}
		row := fmt.Sprintf("%d %s %s %s %s", n+1, w.BareMark(w.In.ToMM(m.Position)), strings.ToUpper(m.Direction),
			word.Fraction(m.Divisions), reads)
		i := strings.Index(flat[from:], row)
		if i < 0 {
			t.Errorf("%s: the card lacks %q after its first %d characters:\n%s", args, row, from, flat)
			continue
		}
		from += i
		s := fmt.Sprintf("%s %s dial %s", strings.ToUpper(m.Direction), word.Fraction(m.Divisions), reads)
		if !strings.Contains(strip, s) {
			t.Errorf("%s: the strip lacks %q:\n%s", args, s, strip)
		}
	}
	for _, s := range []string{"Stale after moving, levelling or gib work.", "For this job only: ", "ZERO",
		"pointer fixed to the saddle"} {
		if !strings.Contains(strip, s) {
			t.Errorf("%s: the strip lacks %q", args, s)
		}
	}
}

// The table for any work is that of correct for each of its diameters: what the dial stands at in divisions, at each
// position.
func TestAnyWorkSaysWhatCorrectSays(t *testing.T) {
	alongside(t)
	workshop(t)
	text := pdfText(t, printed(t, "chart demo.toml --any-work --from 4in --to 36in --every 4in --diameters 0.25in,2in"))
	l := opened(t, mustRead(t, "demo.toml"))
	var tables [2]turning.CorrectJSON
	for i, d := range []string{"0.25", "2"} {
		if err := json.Unmarshal([]byte(invoke(split("correct demo.toml --from 4 --to 36 --every 4 --diameter "+
			""+d+" --json")...).stdout), &tables[i]); err != nil {
			t.Fatal(err)
		}
	}
	for n, row := range tables[0].Table {
		want := l.About(l.In.ToMM(row.Position))
		for _, k := range tables {
			switch dial := k.Table[n].Dial; { // a diameter dial of a thou a division
			case dial > 0:
				want += "\nIN " + word.Fraction(1000*dial)
			case dial < 0:
				want += "\nOUT " + word.Fraction(-1000*dial)
			default:
				want += "\n–"
			}
		}
		if !strings.Contains(text, want+"\n") && !strings.Contains(text, strings.ReplaceAll(want, "\n", " ")+"\n") {
			t.Errorf("%q is not on the card:\n%s", want, text)
		}
	}
}

// Where nothing is due for any of the diameters that stands there in words: between 30 and 36 in the demonstration
// lathe's drops end, at 0.3 and 0.1 thou.
func TestAnyWorkWithNothingToDial(t *testing.T) {
	alongside(t)
	workshop(t)
	flat := func(diameters string) string {
		return strings.Join(strings.Fields(pdfText(t, printed(t, "chart demo.toml --any-work --from 31in --to 36in "+
			"--diameters "+diameters))), " ")
	}
	text := flat("1in,2in")
	for _, want := range []string{"NOTHING TO DIAL", "From 31 to 36 in less than the finest setting is due everywhere",
		"Left alone, it varies by 0."} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the card: %s", want, text)
		}
	}
	if strings.Contains(text, "–") || strings.Contains(text, "carriage at") {
		t.Errorf("a table of dashes: %s", text)
	}
}

func mustRead(t testing.TB, file string) string {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// What cannot be promised is said on each kind of paper; a strip goes on no small paper.
func TestPaperSaysWhatIsNotPromised(t *testing.T) {
	alongside(t)
	workshop(t)
	for _, way := range []string{"", " --strip"} {
		if text := pdfText(t, printed(t, "chart "+pieces+" --tolerance 0.5thou"+way)); !strings.Contains(text,
			"NOT PROMISED") {
			t.Errorf("%q: not said:\n%s", way, text)
		}
	}
	for _, small := range []string{"a6", "4x6", "a5", "half-letter"} {
		if a := invoke(split("chart " + pieces + " --strip -o x.pdf --paper " + small)...); a.status != env.ExitUsage ||
			!strings.Contains(a.stderr, "too small for a strip") {
			t.Errorf("%s: %d %s", small, a.status, a.stderr)
		}
	}
}

// Each mark of a move lies over its position, by the coordinates of the file: as far from its piece's beginning as the
// move from the position there.
func TestMovesLieOverTheirPositions(t *testing.T) {
	alongside(t)
	workshop(t)
	var k turning.CorrectJSON
	if err := json.Unmarshal([]byte(invoke(split("correct "+pieces+" --json")...).stdout), &k); err != nil {
		t.Fatal(err)
	}
	pdf := printed(t, "chart "+pieces+" --strip")
	// A mark is a filled triangle that stands on its point; x of the point.
	var at []float64
	for _, m := range regexp.MustCompile(
		`(?m)^([\d.-]+) ([\d.-]+) m\s+([\d.-]+) ([\d.-]+) l\s+([\d.-]+) ([\d.-]+) l`).FindAllSubmatch(pdf, -1) {
		x, _ := strconv.ParseFloat(string(m[1]), 64)
		at = append(at, x*25.4/72)
	}
	const piece = 8 * 25.4 // 32 in on paper that has room for 9 in make four of 8 in
	for _, m := range k.Moves {
		mm := (m.Position - 4) * 25.4
		want := 6 + card.StripJoin + math.Mod(mm, piece)
		found := false
		for _, x := range at {
			found = found || math.Abs(x-want) < 0.05
		}
		if !found {
			t.Errorf("no mark at %.2f mm for the move at %v in; marks lie at %.2f", want, m.Position, at)
		}
	}
}

// No text is smaller than 2 mm, by the font sizes that the file holds and the height of the font's capitals, 0.729 of
// its size; the figures are 4 mm and more. The same input gives the same bytes.
func TestPaperIsLegibleAndTheSameAgain(t *testing.T) {
	alongside(t)
	workshop(t)
	size := regexp.MustCompile(`/F\S+ ([\d.]+) Tf`)
	for _, line := range []string{"chart " + pieces, "chart " + pieces + " --strip",
		"chart demo.toml --any-work --from 4in --to 36in", "chart demo.toml --job shaft.toml --paper a5"} {
		pdf := printed(t, line)
		least, greatest := math.Inf(1), 0.0
		for _, m := range size.FindAllSubmatch(pdf, -1) {
			v, _ := strconv.ParseFloat(string(m[1]), 64)
			mm := v * 25.4 / 72 * 0.729
			least, greatest = math.Min(least, mm), math.Max(greatest, mm)
		}
		if least < 2 || greatest < 4 {
			t.Errorf("%s: text from %.2f to %.2f mm high", line, least, greatest)
		}
		if !bytes.Equal(pdf, printed(t, line)) {
			t.Errorf("%s: not the same again", line)
		}
	}
}

// Beds of 8 m and of 300 mm come out, and names of any characters print or are refused in words.
func TestPaperForAnyBedAndName(t *testing.T) {
	alongside(t)
	workshop(t)
	bed := func(length float64, name string) string {
		return fmt.Sprintf("format = 1\nunit = \"mm\"\n[lathe]\nname = %q\ncentre_height = 150\nway_span = 200\nbed "+
			"= [-20, %g]\n[lathe.saddle]\nbearing_length = 0\n[lathe.cross_slide]\ndial = \"radius\"\ndivision = "+
			"0.02\n[wear]\ncolumns = [\"position\", \"front\"]\nrows = [[-20, 0], [%g, 0.1], [%g, 0]]\n", name, length,
			length/3, length)
	}
	for _, length := range []float64{300, 8000} {
		if err := os.WriteFile("bed.toml", []byte(bed(length,
			"Drehbank für große Wellen, Ångström & Søn, an der Nordwand neben dem Fenster, zweite von links "+
				"(erfunden)")), 0o600); err != nil {
			t.Fatal(err)
		}
		for _, way := range []string{"", " --strip", " --paper a5"} {
			printed(t, fmt.Sprintf("chart bed.toml --from 10 --to %g --diameter 50%s", length-10, way))
		}
	}
	if err := os.WriteFile("bed.toml", []byte(bed(300, "旋盤")), 0o600); err != nil {
		t.Fatal(err)
	}
	a := invoke(split("chart bed.toml --from 10 --to 200 --diameter 50 -o no.pdf")...)
	if a.status != env.ExitRefused || !strings.Contains(a.stderr, `'旋' cannot be printed`) {
		t.Errorf("%d: %s", a.status, a.stderr)
	}
	if _, err := os.Stat("no.pdf"); err == nil {
		t.Error("it was written all the same")
	}
}

// What the pages look like, in small pictures that were looked at; poppler's versions draw letters a little
// differently, which is allowed for.
func TestPictures(t *testing.T) {
	alongside(t)
	tool(t, "pdftoppm")
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	workshop(t)
	for name, c := range map[string]struct {
		line string
		dpi  int
	}{
		"card":              {"chart " + pieces, 72},
		"strip":             {"chart " + pieces + " --strip", 60},
		"blank":             {"blank demo.toml --method saddle-level", 50},
		"blank-bar":         {"blank demo.toml --method bar-side --paper a5", 60},
		"blank-across":      {"blank demo.toml --method level-across --paper a5", 60},
		"blank-test-cut":    {"blank demo.toml --method test-cut --paper half-letter", 60},
		"blank-carriage":    {"blank demo.toml --method carriage-indicator --paper a5", 60},
		"blank-level-along": {"blank demo.toml --method level-along --paper half-letter", 60},
		"any":               {"chart demo.toml --any-work --from 4in --to 36in --every 4in", 60},
		"exercise":          {"exercise --seed 417-3", 50},
		"handout":           {"lesson demo.toml --handout", 50},
	} {
		got := pdfPicture(t, printed(t, c.line), 1, c.dpi)
		alikePicture(t, filepath.Join(here, "..", "..", "testdata", "pictures", name+".png"), got)
	}
}

// alikePicture compares a picture with the one that is kept, or keeps it where that is asked for.
func alikePicture(t *testing.T, file string, got image.Image) {
	t.Helper()
	if *updatePictures {
		var b bytes.Buffer
		if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, got); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		return
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	want, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if got.Bounds() != want.Bounds() {
		t.Errorf("%s: %v, expected %v", filepath.Base(file), got.Bounds(), want.Bounds())
		return
	}
	// The mean difference over tiles of 12 dots: letters drawn otherwise change little, a line that moved a lot.
	const tile = 12
	for y := 0; y+tile <= got.Bounds().Dy(); y += tile {
		for x := 0; x+tile <= got.Bounds().Dx(); x += tile {
			sum := 0.0
			for i := range tile * tile {
				px, py := x+i%tile, y+i/tile
				sum += float64(color.GrayModel.Convert(got.At(px,
					py)).(color.Gray).Y) - float64(color.GrayModel.Convert(want.At(px, py)).(color.Gray).Y)
			}
			if math.Abs(sum)/(tile*tile) > 45 {
				t.Errorf("%s: differs about %d, %d", filepath.Base(file), x, y)
			}
		}
	}
}
