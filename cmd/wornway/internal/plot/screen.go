package plot

import (
	"fmt"
	"html"
	"io"
	"math"
	"strings"
)

// Of a picture on a page: its size and margins in units of which a telephone is as wide as the picture.
const (
	screenWide, screenHigh = 360.0, 230.0
	screenLeft, screenTop  = 34.0, 22.0
	screenFoot             = 30.0
)

// screen draws onto a page.
type screen struct {
	Figure
	out                      strings.Builder
	x, y                     roundTicks
	left, right, top, bottom float64 // in the figure's numbers; top is drawn above
}

// Screen draws the figure as SVG for a page, which gives its parts their colours: lines, bands and points have the
// classes of their style, such as line-0. Its legend and its titles are the page's to write, see [Figure.Legend].
func (f Figure) Screen(w io.Writer) error {
	s := &screen{Figure: f, x: roundTicks{6}, y: roundTicks{5}, left: math.Inf(1), right: math.Inf(-1)}
	low, high := 0.0, 0.0
	meet := func(xs []float64, ys ...[]float64) {
		for _, x := range xs {
			s.left, s.right = math.Min(s.left, x), math.Max(s.right, x)
		}
		for _, all := range ys {
			for _, y := range all {
				low, high = math.Min(low, y), math.Max(high, y)
			}
		}
	}
	for _, b := range f.Bands {
		meet(b.X, b.Low, b.High)
	}
	for _, l := range f.Lines {
		meet(l.X, l.Y)
	}
	for _, p := range f.Points {
		meet(p.X, p.Y)
		for i, u := range p.U {
			low, high = math.Min(low, p.Y[i]-u), math.Max(high, p.Y[i]+u)
		}
	}
	for _, l := range f.Levels {
		low, high = math.Min(low, l.Y), math.Max(high, l.Y)
	}
	if !(s.left < s.right) {
		s.left, s.right = s.left-1, s.left+1
		if math.IsInf(s.left, 0) {
			s.left, s.right = 0, 1
		}
	}
	room := (high - low) * 0.06
	if room == 0 {
		room = 1
	}
	s.bottom, s.top = low-room, high+room
	if len(f.Marks) > 0 {
		s.top += 3 * room
	}
	if f.Down {
		s.top, s.bottom = s.bottom, s.top
	}
	s.draw()
	_, err := io.WriteString(w, s.out.String())
	return err
}

func (s *screen) atX(x float64) float64 {
	return screenLeft + (x-s.left)/(s.right-s.left)*(screenWide-screenLeft-6)
}

func (s *screen) atY(y float64) float64 {
	return screenTop + (s.top-y)/(s.top-s.bottom)*(screenHigh-screenTop-screenFoot)
}

func (s *screen) put(format string, args ...any) { fmt.Fprintf(&s.out, format+"\n", args...) }

func (s *screen) text(class string, x, y float64, text string) {
	s.put(`<text class="%s" x="%.1f" y="%.1f">%s</text>`, class, x, y, html.EscapeString(printable(text)))
}

// path is a line through points.
func (s *screen) path(xs, ys []float64) string {
	var b strings.Builder
	for i := range xs {
		fmt.Fprintf(&b, "%s%.1f %.1f", map[bool]string{true: "M", false: "L"}[i == 0], s.atX(xs[i]), s.atY(ys[i]))
	}
	return b.String()
}

func (s *screen) draw() {
	s.put(`<svg class="figure" viewBox="0 0 %g %g" data-left="%g" data-right="%g" data-x0="%.4f" data-x1="%.4f" `+
		`role="img" aria-label="%s">`, screenWide, screenHigh, s.left, s.right, s.atX(s.left)/screenWide,
		s.atX(s.right)/screenWide, html.EscapeString(printable(s.Title)))
	floor, roof := s.atY(s.bottom), s.atY(s.top)
	for _, t := range s.x.Ticks(s.left, s.right) {
		if t.Label != "" {
			s.put(`<path class="grid" d="M%.1f %.1fV%.1f"/>`, s.atX(t.Value), roof, floor)
			s.text("tick mid", s.atX(t.Value), floor+13, t.Label)
		}
	}
	for _, t := range s.y.Ticks(math.Min(s.bottom, s.top), math.Max(s.bottom, s.top)) {
		if t.Label != "" {
			class := "grid"
			if t.Value == 0 {
				class = "grid zero"
			}
			s.put(`<path class="%s" d="M%.1f %.1fH%.1f"/>`, class, s.atX(s.left), s.atY(t.Value), s.atX(s.right))
			s.text("tick end", screenLeft-4, s.atY(t.Value)+4, t.Label)
		}
	}
	for _, t := range s.Stretches {
		a, b := math.Max(t.From, s.left), math.Min(t.To, s.right)
		if a < b {
			s.put(`<rect class="stretch" x="%.1f" y="%.1f" width="%.1f" height="%.1f"/>`, s.atX(a), roof,
				s.atX(b)-s.atX(a), floor-roof)
		}
	}
	for _, b := range s.Bands {
		there := s.path(b.X, b.High)
		for i := len(b.X) - 1; i >= 0; i-- {
			there += fmt.Sprintf("L%.1f %.1f", s.atX(b.X[i]), s.atY(b.Low[i]))
		}
		s.put(`<path class="band band-%d" d="%sZ"/>`, b.Style, there)
	}
	for _, l := range s.Lines {
		s.put(`<path class="line line-%d" d="%s"/>`, l.Style, s.path(l.X, l.Y))
	}
	for _, l := range s.Levels {
		s.put(`<path class="level" d="M%.1f %.1fH%.1f"/>`, s.atX(s.left), s.atY(l.Y), s.atX(s.right))
	}
	for _, p := range s.Points {
		for i := range p.X {
			if p.U != nil {
				s.put(`<path class="bar point-%d" d="M%.1f %.1fV%.1f"/>`, p.Style, s.atX(p.X[i]), s.atY(p.Y[i]-p.U[i]),
					s.atY(p.Y[i]+p.U[i]))
			}
			s.put(`<circle class="point point-%d" cx="%.1f" cy="%.1f" r="3"/>`, p.Style, s.atX(p.X[i]), s.atY(p.Y[i]))
		}
	}
	s.marks(roof, floor)
	s.text("axis", 2, 11, s.Y)
	s.text("axis end", screenWide-4, screenHigh-4, s.X)
	s.put("</svg>")
}

// marks draws the marks; one whose word would run into the one before stands lower.
func (s *screen) marks(roof, floor float64) {
	before, low := math.Inf(-1), false
	for _, m := range s.Marks {
		x, wide := s.atX(m.X), 7*float64(len([]rune(m.Word)))
		low = !low && x-before < wide
		before = x
		class, y := "mark", roof+10
		if low {
			y += 13
		}
		if x+wide > screenWide {
			class, x = "mark end", x-2
		}
		s.put(`<path class="mark" d="M%.1f %.1fV%.1f"/>`, s.atX(m.X), roof, floor)
		s.text(class, x+2, y, m.Word)
	}
}

// Key is an entry of a figure's legend: what is drawn so.
type Key struct{ Class, Name string }

// Legend are the names of what Screen draws, with their classes.
func (f Figure) Legend() []Key {
	var out []Key
	add := func(class, name string) {
		if name != "" {
			out = append(out, Key{class, printable(name)})
		}
	}
	for _, l := range f.Lines {
		add(fmt.Sprintf("line line-%d", l.Style), l.Name)
	}
	for _, b := range f.Bands {
		add(fmt.Sprintf("band band-%d", b.Style), b.Name)
	}
	for _, p := range f.Points {
		add(fmt.Sprintf("point point-%d", p.Style), p.Name)
	}
	for _, l := range f.Levels {
		add("level", l.Name)
	}
	for _, t := range f.Stretches {
		add("stretch", t.Name)
	}
	return out
}
