// Package plot draws curves over the bed, the headstock at the left: legible in black and white and to the
// colour-blind, as lines differ by their dashes and points by their shape as well.
//
// A [Figure] holds numbers as they are shown; [Figure.Write] draws them as SVG, PNG or PDF. It knows nothing of lathes,
// and calculates nothing. The same figure gives the same bytes.
package plot

import (
	"bytes"
	"errors"
	"fmt"
	"image/color"
	"io"
	"math"
	"regexp"
	"strings"

	gonum "gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgpdf"
	"gonum.org/v1/plot/vg/vgsvg"

	"wornway/cmd/wornway/internal/safe"
)

// Figure is what is drawn. All slices of a part have the same length; X ascends in lines and bands.
type Figure struct {
	Title, Note string // Note stands under the title: the lathe, the date, what a ± is
	X, Y        string // titles of the axes, with their units
	Down        bool   // what is plus is drawn downward, as a drop is
	Bands       []Band
	Stretches   []Stretch
	Lines       []Line
	Levels      []Level
	Points      []Points
	Marks       []Mark
	Names       []string // what stands at 0, 1, 2 … of the axis across, in place of numbers; nil: numbers
}

// Line is a curve.
type Line struct {
	Name  string // in the legend; empty: not there
	X, Y  []float64
	Style int // lines of a figure differ by it: 0 is the one that matters most
}

// Band is what lies between two curves, such as a ±.
type Band struct {
	Name         string
	X, Low, High []float64
	Style        int
}

// Level is a value that is asked for, such as a limit.
type Level struct {
	Name string
	Y    float64
}

// Stretch is a length of the bed that stands out, such as a scar.
type Stretch struct {
	Name     string
	From, To float64
}

// Points are values with or without their ±.
type Points struct {
	Name  string
	X, Y  []float64
	U     []float64 // half the length of the bars; nil: none
	Style int
}

// Mark is a position with a word at it, such as a move of the dial.
type Mark struct {
	X    float64
	Word string
}

// Kinds are the endings of files that can be written.
func Kinds() []string { return []string{"svg", "png", "pdf"} }

// The colours are ones that the colour-blind tell apart (Okabe and Ito, from memory), and their greys differ too.
var colours = []color.RGBA{{0, 0, 0, 255}, {0, 114, 178, 255}, {213, 94, 0, 255}, {0, 158, 115, 255},
	{204, 121, 167, 255}, {86, 180, 233, 255}}

var dashes = [][]vg.Length{nil, {vg.Points(7), vg.Points(3)}, {vg.Points(2), vg.Points(2)},
	{vg.Points(9), vg.Points(3), vg.Points(2), vg.Points(3)}, {vg.Points(4), vg.Points(4)},
	{vg.Points(1), vg.Points(3)}}

var shapes = []draw.GlyphDrawer{draw.CircleGlyph{}, draw.TriangleGlyph{}, draw.SquareGlyph{}, draw.CrossGlyph{},
	draw.RingGlyph{}, draw.PlusGlyph{}, draw.PyramidGlyph{}, draw.BoxGlyph{}}

const (
	width, height = 18 * vg.Centimeter, 11 * vg.Centimeter
	rowHeight     = 0.48 * vg.Centimeter // of the legend
	mostColumns   = 3                    // of the legend
	thumb         = 1 * vg.Centimeter    // of its entries
)

func colour(style int) color.RGBA { return colours[style%len(colours)] }

// entry is one of the legend.
type entry struct {
	name  string
	thumb []gonum.Thumbnailer
}

// Write draws the figure: kind is svg, png or pdf.
func (f Figure) Write(w io.Writer, kind string) error {
	p, legend, err := f.plot()
	if err != nil {
		return err
	}
	columns := f.columns(legend)
	rows := (len(legend) + columns - 1) / columns
	high := height + vg.Length(rows)*rowHeight + vg.Length(strings.Count(p.Title.Text, "\n"))*rowHeight
	var c vg.CanvasWriterTo
	switch kind {
	case "svg":
		c = vgsvg.New(width, high)
	case "png":
		c = vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(width, high), vgimg.UseDPI(150),
			vgimg.UseBackgroundColor(color.White))}
	case "pdf":
		c = vgpdf.New(width, high)
	default:
		return fmt.Errorf("%q is no kind of picture: %s are", kind, strings.Join(Kinds(), ", "))
	}
	all := draw.New(c)
	foot := vg.Length(rows)*rowHeight + 2*vg.Millimeter
	p.Draw(draw.Crop(all, 2*vg.Millimeter, -4*vg.Millimeter, foot, -2*vg.Millimeter))
	for i, e := range legend {
		l := gonum.NewLegend()
		l.TextStyle = f.style(9)
		l.ThumbnailWidth = thumb
		l.Left, l.Top = true, true
		l.Add(e.name, e.thumb...)
		wide := (width - 2*vg.Centimeter) / vg.Length(columns)
		x := 1.2*vg.Centimeter + vg.Length(i%columns)*wide
		y := foot - 1*vg.Millimeter - vg.Length(i/columns)*rowHeight
		l.Draw(draw.Canvas{Canvas: all.Canvas, Rectangle: vg.Rectangle{Min: vg.Point{X: x, Y: y - rowHeight},
			Max: vg.Point{X: x + wide, Y: y}}})
	}
	var b bytes.Buffer
	if _, err := c.WriteTo(&b); err != nil {
		return err
	}
	_, err = w.Write(undated.ReplaceAll(b.Bytes(), []byte("Date (D:20000101000000")))
	return err
}

// columns returns in how many columns the legend's names have room beside each other.
func (f Figure) columns(legend []entry) int {
	n := mostColumns
	for _, e := range legend {
		for n > 1 && f.style(9).Width(e.name)+thumb+4*vg.Millimeter > (width-2*vg.Centimeter)/vg.Length(n) {
			n--
		}
	}
	return n
}

// undated finds the day on which a PDF was made: a picture carries none, so that the same figure is the same file.
var undated = regexp.MustCompile(`Date \(D:\d{14}`)

// style is how text of a size, in points, is set.
func (f Figure) style(size float64) text.Style {
	p := gonum.New()
	s := p.Legend.TextStyle
	s.Font.Variant, s.Font.Size = "Sans", vg.Points(size)
	return s
}

// plot puts the parts together, the bands undermost.
func (f Figure) plot() (*gonum.Plot, []entry, error) {
	p := gonum.New()
	p.X.Label.Text, p.Y.Label.Text = f.X, f.Y
	p.Title.TextStyle.Font.Variant, p.Title.TextStyle.Font.Size = "Sans", vg.Points(11)
	p.Title.Padding = 2 * vg.Millimeter
	titles := append(wrapped(p.Title.TextStyle, printable(f.Title)), wrapped(p.Title.TextStyle, printable(f.Note))...)
	p.Title.Text = strings.Join(titles, "\n")
	p.X.Tick.Marker, p.Y.Tick.Marker = roundTicks{8}, roundTicks{6}
	if f.Down {
		p.Y.Scale = gonum.InvertedScale{Normalizer: gonum.LinearScale{}}
	}
	for _, a := range []*gonum.Axis{&p.X, &p.Y} {
		a.Label.TextStyle.Font.Variant, a.Label.TextStyle.Font.Size = "Sans", vg.Points(10)
		a.Tick.Label.Font.Variant, a.Tick.Label.Font.Size = "Sans", vg.Points(9)
		a.Label.Padding = 1.5 * vg.Millimeter
	}
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color = color.Gray{225}, color.Gray{225}
	p.Add(grid)
	var legend []entry
	add := func(name string, thumb ...gonum.Thumbnailer) {
		if name != "" {
			legend = append(legend, entry{printable(name), thumb})
		}
	}
	for _, b := range f.Bands {
		var xys plotter.XYs
		for i := range b.X {
			xys = append(xys, plotter.XY{X: b.X[i], Y: b.High[i]})
		}
		for i := len(b.X) - 1; i >= 0; i-- {
			xys = append(xys, plotter.XY{X: b.X[i], Y: b.Low[i]})
		}
		area, err := plotter.NewPolygon(xys)
		if err != nil {
			return nil, nil, wrong(err)
		}
		c := colour(b.Style)
		area.Color, area.LineStyle.Width = color.NRGBA{c.R, c.G, c.B, 45}, 0
		p.Add(area)
		add(b.Name, area)
	}
	for i, l := range f.Lines {
		line, err := plotter.NewLine(xys(l.X, l.Y))
		if err != nil {
			return nil, nil, wrong(err)
		}
		line.Width, line.Color, line.Dashes = vg.Points(1.3), colour(l.Style), dashes[l.Style%len(dashes)]
		p.Add(line)
		add(f.Lines[i].Name, line)
	}
	for _, q := range f.Points {
		s, err := plotter.NewScatter(xys(q.X, q.Y))
		if err != nil {
			return nil, nil, wrong(err)
		}
		s.Color, s.Radius, s.Shape = colour(q.Style), vg.Points(2.4), shapes[q.Style%len(shapes)]
		p.Add(s)
		if q.U != nil {
			bars, err := plotter.NewYErrorBars(errorBars{s.XYs, q.U})
			if err != nil {
				return nil, nil, wrong(err)
			}
			bars.Color = colour(q.Style)
			p.Add(bars)
		}
		add(q.Name, s)
	}
	f.frame(p)
	if f.Names != nil {
		p.NominalX(f.Names...)
		p.X.Min, p.X.Max = -0.6, float64(len(f.Names))-0.4
	}
	for _, l := range f.Levels {
		line, err := plotter.NewLine(plotter.XYs{{X: p.X.Min, Y: l.Y}, {X: p.X.Max, Y: l.Y}})
		if err != nil {
			return nil, nil, wrong(err)
		}
		line.Color, line.Width, line.Dashes = colours[2], vg.Points(0.9), dashes[2]
		p.Add(line)
		add(l.Name, line)
	}
	for _, s := range f.Stretches {
		area, err := plotter.NewPolygon(plotter.XYs{{X: s.From, Y: p.Y.Min}, {X: s.To, Y: p.Y.Min},
			{X: s.To, Y: p.Y.Max}, {X: s.From, Y: p.Y.Max}})
		if err != nil {
			return nil, nil, wrong(err)
		}
		area.Color, area.LineStyle.Width = color.NRGBA{120, 120, 120, 60}, 0
		p.Add(area)
		add(s.Name, area)
	}
	return p, legend, f.marks(p)
}

// wrapped cuts a title into lines that the figure has room for; a word that is wider by itself is cut.
func wrapped(s text.Style, title string) []string {
	const room = width - 1.6*vg.Centimeter
	var out []string
	line := ""
	for _, word := range strings.Fields(title) {
		if longer := strings.TrimSpace(line + " " + word); s.Width(longer) <= room {
			line = longer
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		for line = ""; s.Width(word) > room; {
			r := []rune(word)
			n := len(r) - 1
			for n > 1 && s.Width(string(r[:n])) > room {
				n--
			}
			out, word = append(out, string(r[:n])), string(r[n:])
		}
		line = word
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// frame leaves a little room about what is drawn, and more above for the marks.
func (f Figure) frame(p *gonum.Plot) {
	for _, l := range f.Levels {
		p.Y.Min, p.Y.Max = math.Min(p.Y.Min, l.Y), math.Max(p.Y.Max, l.Y)
	}
	p.Y.Min, p.Y.Max = math.Min(p.Y.Min, 0), math.Max(p.Y.Max, 0)
	room := (p.Y.Max - p.Y.Min) * 0.06
	if room == 0 {
		room = 1
	}
	p.Y.Min, p.Y.Max = p.Y.Min-room, p.Y.Max+room
	if len(f.Marks) > 0 {
		p.Y.Max += 3 * room
	}
}

// marks draws the marks along the upper edge; words that would run into the one before stand lower.
func (f Figure) marks(p *gonum.Plot) error {
	if len(f.Marks) == 0 {
		return nil
	}
	var at plotter.XYLabels
	before, low := math.Inf(-1), false
	for _, m := range f.Marks {
		line, err := plotter.NewLine(plotter.XYs{{X: m.X, Y: p.Y.Min}, {X: m.X, Y: p.Y.Max}})
		if err != nil {
			return wrong(err)
		}
		line.Color, line.Width = color.Gray{130}, vg.Points(0.6)
		p.Add(line)
		wide := float64(len([]rune(m.Word))) * (p.X.Max - p.X.Min) / 75
		low = !low && math.Abs(m.X-before) < wide
		before = m.X
		y := p.Y.Max - (p.Y.Max-p.Y.Min)*0.05
		if low {
			y -= (p.Y.Max - p.Y.Min) * 0.06
		}
		at.XYs, at.Labels = append(at.XYs, plotter.XY{X: m.X, Y: y}), append(at.Labels, printable(m.Word))
	}
	labels, err := plotter.NewLabels(at)
	if err != nil {
		return wrong(err)
	}
	for i := range labels.TextStyle {
		labels.TextStyle[i].Font.Variant, labels.TextStyle[i].Font.Size = "Sans", vg.Points(8)
	}
	labels.Offset = vg.Point{X: 0.6 * vg.Millimeter}
	p.Add(labels)
	return nil
}

// errorBars are points with bars of the same length up and down.
type errorBars struct {
	plotter.XYs
	u []float64
}

// YError implements plotter.YErrorer.
func (b errorBars) YError(i int) (low, high float64) { return b.u[i], b.u[i] }

func xys(x, y []float64) plotter.XYs {
	out := make(plotter.XYs, len(x))
	for i := range x {
		out[i] = plotter.XY{X: x[i], Y: y[i]}
	}
	return out
}

func wrong(err error) error { return errors.New("the curves cannot be drawn: " + err.Error()) }

// printable puts a question mark in place of what the font is not sure to have: it knows the alphabets of Europe and
// what this program writes.
func printable(s string) string {
	const last = 0x2200 // the first sign that it may lack
	return strings.Map(func(r rune) rune {
		if r >= last || safe.Hidden(r) {
			return '?'
		}
		return r
	}, s)
}
