package plot

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"
)

// sketchRows is how many lines of text a sketch's curves take.
const sketchRows = 9

// Sketch returns the figure's first lines, two at the most, as text no wider than width: a small picture for a
// terminal, each character two steps high. It is nil where width is too little for one. With ascii it keeps to that.
func (f Figure) Sketch(width int, ascii bool) []string {
	const least, most = 40, 72
	if width < least || len(f.Lines) == 0 || len(f.Lines[0].X) < 2 {
		return nil
	}
	s := sketch{f: f, ascii: ascii, width: min(width, most), lines: f.Lines[:min(2, len(f.Lines))]}
	s.scale()
	s.columns = s.width - s.margin() - 2
	s.rows = make([][]rune, sketchRows)
	for i := range s.rows {
		s.rows[i] = []rune(strings.Repeat(" ", s.columns))
	}
	for n := range s.lines {
		s.trace(n)
	}
	return s.text()
}

// sketch is one being drawn.
type sketch struct {
	f         Figure
	ascii     bool
	lines     []Line
	low, high float64 // of the axis upward, at the lowest and the highest step
	step      float64 // between labels
	decimals  int
	width     int      // of all
	columns   int      // of the curves
	rows      [][]rune // from the top
}

// scale finds the least round range that holds the curves and 0.
func (s *sketch) scale() {
	for _, l := range s.lines {
		for _, y := range l.Y {
			s.low, s.high = math.Min(s.low, y), math.Max(s.high, y)
		}
	}
	s.step, _ = roundStep(math.Max(s.high-s.low, 1e-9) / 3)
	s.decimals = max(0, -int(math.Floor(math.Log10(s.step)+1e-9)))
}

// label writes a value on the axis.
func (s *sketch) label(y float64) string {
	t := fmt.Sprintf("%.*f", s.decimals, y)
	if strings.Trim(t, "-0.") == "" {
		return "0"
	}
	return t
}

// margin is how wide the labels are.
func (s *sketch) margin() int {
	wide := 1
	for i := math.Ceil(s.low/s.step - 1e-9); i*s.step <= s.high+1e-9; i++ {
		wide = max(wide, len(s.label(i*s.step)))
	}
	return wide + 1
}

// at returns the step, from 0 at the top, in which a value lies.
func (s *sketch) at(y float64) int {
	share := (s.high - y) / math.Max(s.high-s.low, 1e-9)
	if s.f.Down {
		share = 1 - share
	}
	return int(math.Round(share * (2*sketchRows - 1)))
}

// value returns a line's value over a column, between the places that it is drawn through.
func (s *sketch) value(l Line, column int) float64 {
	first, last := l.X[0], l.X[len(l.X)-1]
	x := first + (last-first)*float64(column)/float64(s.columns-1)
	i := 1
	for i < len(l.X)-1 && l.X[i] < x {
		i++
	}
	if l.X[i] == l.X[i-1] {
		return l.Y[i]
	}
	return l.Y[i-1] + (l.Y[i]-l.Y[i-1])*(x-l.X[i-1])/(l.X[i]-l.X[i-1])
}

// signs are what stands for the upper step, the lower one and both of a line's trace.
func (s *sketch) signs(line int) [3]rune {
	switch {
	case line > 0 && s.ascii:
		return [3]rune{'o', 'o', 'o'}
	case line > 0:
		return [3]rune{'░', '░', '░'}
	case s.ascii:
		return [3]rune{'\'', '.', '|'}
	}
	return [3]rune{'▀', '▄', '█'}
}

// trace draws a line, joined up from column to column. The first one, which matters most, is never drawn over.
func (s *sketch) trace(n int) {
	signs := s.signs(n)
	before := s.at(s.value(s.lines[n], 0))
	for c := range s.columns {
		here := s.at(s.value(s.lines[n], c))
		from, to := here, here
		switch {
		case before < here-1:
			from = before + 1
		case before > here+1:
			to = before - 1
		}
		before = here
		for row := from / 2; row <= to/2; row++ {
			if s.rows[row][c] != ' ' {
				continue
			}
			switch upper, lower := 2*row >= from, 2*row+1 <= to; {
			case upper && lower:
				s.rows[row][c] = signs[2]
			case upper:
				s.rows[row][c] = signs[0]
			default:
				s.rows[row][c] = signs[1]
			}
		}
	}
}

// text puts axes about the curves.
func (s *sketch) text() []string {
	upright, along := "│", "─"
	cross, corner := "┼", "└"
	if s.ascii {
		upright, along, cross, corner = "|", "-", "+", "+"
	}
	margin := s.margin()
	labels := make([]string, sketchRows)
	for i := math.Ceil(s.low/s.step - 1e-9); i*s.step <= s.high+1e-9; i++ {
		labels[s.at(i*s.step)/2] = s.label(i * s.step)
	}
	var out []string
	head := s.f.Y
	if len(s.lines) > 1 {
		for n, l := range s.lines {
			name := fmt.Sprintf("%c %s", s.signs(n)[2], l.Name)
			if longer := head + "   " + name; utf8.RuneCountInString(longer) <= s.width {
				head = longer
			} else {
				out, head = append(out, head), name
			}
		}
	}
	out = append(out, head)
	for i, row := range s.rows {
		edge := upright
		text := string(row)
		if labels[i] != "" {
			edge = cross
		}
		if labels[i] == "0" {
			text = strings.ReplaceAll(text, " ", map[bool]string{true: "-", false: "·"}[s.ascii])
		}
		out = append(out, strings.TrimRight(fmt.Sprintf("%*s %s%s", margin-1, labels[i], edge, text), " "))
	}
	axis, below := []rune(strings.Repeat(along, s.columns)), []rune(strings.Repeat(" ", s.columns+1))
	first, last := s.lines[0].X[0], s.lines[0].X[len(s.lines[0].X)-1]
	end := 0
	for _, t := range (roundTicks{s.columns / 9}).Ticks(first, last) {
		if t.Label == "" {
			continue
		}
		c := int(math.Round((t.Value - first) / (last - first) * float64(s.columns-1)))
		from := max(0, c-(len(t.Label)-1)/2)
		if from < end || from+len(t.Label) > len(below) {
			continue
		}
		axis[c] = []rune(cross)[0]
		copy(below[from:], []rune(t.Label))
		end = from + len(t.Label) + 1
	}
	pad := strings.Repeat(" ", margin)
	return append(out, pad+corner+string(axis), strings.TrimRight(pad+" "+string(below), " "))
}
