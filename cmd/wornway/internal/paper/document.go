package paper

import (
	_ "embed"
	"fmt"
	"io"
	"math"
	"strings"
	"sync"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/sfnt"

	"wornway/cmd/wornway/internal/safe"
)

// The fonts are DejaVu Sans Condensed, unaltered; their licence lies beside them. They are embedded as they are and
// read only when a page is drawn.
var (
	//go:embed font/DejaVuSansCondensed.ttf
	plainFont []byte
	//go:embed font/DejaVuSansCondensed-Bold.ttf
	boldFont []byte
)

const (
	capHeight = 0.729 // of a digit or capital letter, as a share of the font's size
	point     = 25.4 / 72
	lead      = 1.7 // from line to line, as a share of the capital's height

	// Margin is what ordinary printers leave at each edge, mm.
	Margin = 6.0
)

// Style is how text is set.
type Style struct {
	Height float64 // of a capital letter or digit, mm
	Bold   bool
	White  bool // on black
}

// Doc is a document being drawn.
type Doc struct {
	pdf   *fpdf.Fpdf
	floor float64 // below it there is no text
	Paper Paper
	Pages int
	err   error
}

// glyphs are the plain font's characters, which the bold one has too.
var glyphs = sync.OnceValues(func() (*sfnt.Font, error) { return sfnt.Parse(plainFont) })

// New begins a document. made is the date that it carries.
func New(p Paper, title string, made time.Time) *Doc {
	pdf := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: p.Width, Ht: p.Height}})
	pdf.SetCreationDate(made)
	pdf.SetModificationDate(made)
	pdf.SetCatalogSort(true)
	pdf.SetProducer("wornway", true)
	pdf.SetMargins(0, 0, 0)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetCompression(false) // a few kilobytes more, and what is drawn where can be read back
	pdf.AddUTF8FontFromBytes("sans", "", plainFont)
	pdf.AddUTF8FontFromBytes("sans", "B", boldFont)
	d := &Doc{pdf: pdf, Paper: p}
	pdf.SetTitle(d.printable(title), true)
	return d
}

// Page begins a page.
func (d *Doc) Page() {
	d.pdf.AddPageFormat("P", fpdf.SizeType{Wd: d.Paper.Width, Ht: d.Paper.Height})
	d.Pages++
	d.Floor(d.Paper.Height)
	d.Pen(0.25)
}

// Floor says that text on this page from here on belongs above y: what is to stand lower has no room.
func (d *Doc) Floor(y float64) { d.floor = y }

// RoomError says that a text has no room on the paper.
type RoomError struct {
	Paper, Text string
}

func (e *RoomError) Error() string {
	const most = 40 // characters of it that are shown
	text := []rune(e.Text)
	if len(text) > most {
		text = append(text[:most-1], '…')
	}
	return fmt.Sprintf("%s has no room for %q", e.Paper, string(text))
}

// NoRoom keeps the error that a text has no room on the paper. Whoever fills page after page ends with it where a page
// has taken nothing up.
func (d *Doc) NoRoom(text string) { d.fail(&RoomError{d.Paper.Name, text}) }

// printable keeps the error of a character that the font lacks.
func (d *Doc) printable(text string) string {
	font, err := glyphs()
	if err != nil {
		d.fail(err)
		return ""
	}
	var buffer sfnt.Buffer
	for _, r := range text {
		if g, err := font.GlyphIndex(&buffer, r); r > 0xFFFF || err != nil || g == 0 || safe.Hidden(r) {
			d.fail(fmt.Errorf("%q cannot be printed: the font has no such character", r))
			return strings.Map(func(c rune) rune {
				if c == r {
					return '?'
				}
				return c
			}, text)
		}
	}
	return text
}

func (d *Doc) fail(err error) {
	if d.err == nil {
		d.err = err
	}
}

func (d *Doc) set(s Style) {
	d.pdf.SetFont("sans", map[bool]string{true: "B"}[s.Bold], s.Height/capHeight/point)
}

// Width returns how wide a text is, mm.
func (d *Doc) Width(s Style, text string) float64 {
	d.set(s)
	return d.pdf.GetStringWidth(text)
}

// Text writes a line whose capitals stand on y.
func (d *Doc) Text(x, y float64, s Style, text string) {
	const hair = 1e-6 // mm
	if x < -hair || x+d.Width(s, text) > d.Paper.Width+hair || y-s.Height < -hair || y > d.floor+hair {
		d.NoRoom(text)
	}
	if s.White {
		d.pdf.SetTextColor(255, 255, 255)
		defer d.pdf.SetTextColor(0, 0, 0)
	}
	d.pdf.Text(x, y, d.printable(text))
}

// Right writes a line that ends at x, Centred one that has its middle there.
func (d *Doc) Right(x, y float64, s Style, text string) { d.Text(x-d.Width(s, text), y, s, text) }

// Centred writes a line that has its middle at x.
func (d *Doc) Centred(x, y float64, s Style, text string) { d.Text(x-d.Width(s, text)/2, y, s, text) }

// Lead returns the distance from line to line, mm.
func (s Style) Lead() float64 { return s.Height * lead }

// Wrap writes a text over as many lines as it needs between x and x + width, the first standing on y, and returns where
// the next would stand.
func (d *Doc) Wrap(x, y, width float64, s Style, text string) float64 {
	for _, line := range d.Lines(width, s, text) {
		d.Text(x, y, s, line)
		y += s.Lead()
	}
	return y
}

// Lines cuts a text into lines no wider than width. A word that is wider by itself is cut, if need be into its
// characters.
func (d *Doc) Lines(width float64, s Style, text string) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(text) {
		if d.Width(s, word) > width {
			if line != "" {
				out, line = append(out, line), ""
			}
			begun, wide := 0, 0.0
			for i, r := range word {
				w := d.Width(s, string(r))
				if i > begun && wide+w > width {
					out = append(out, word[begun:i])
					begun, wide = i, 0
				}
				wide += w
			}
			word = word[begun:]
		}
		switch {
		case line == "":
			line = word
		case d.Width(s, line+" "+word) <= width:
			line += " " + word
		default:
			out, line = append(out, line), word
		}
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// Pen sets the width of lines, mm.
func (d *Doc) Pen(width float64) { d.pdf.SetLineWidth(width) }

// Line draws a line.
func (d *Doc) Line(x1, y1, x2, y2 float64) { d.pdf.Line(x1, y1, x2, y2) }

// Dashed draws a dashed line.
func (d *Doc) Dashed(x1, y1, x2, y2 float64) {
	d.pdf.SetDashPattern([]float64{1.5, 1.2}, 0)
	d.pdf.Line(x1, y1, x2, y2)
	d.pdf.SetDashPattern(nil, 0)
}

// Box draws a rectangle, filled with a grey from 0 (black) to 1 (white) or, below 0, not filled.
func (d *Doc) Box(x, y, width, height, grey float64) {
	style := "D"
	if grey >= 0 {
		style = "DF"
		g := int(math.Round(255 * grey))
		d.pdf.SetFillColor(g, g, g)
	}
	d.pdf.Rect(x, y, width, height, style)
}

// Band fills a rectangle with a grey and draws no edge.
func (d *Doc) Band(x, y, width, height, grey float64) {
	g := int(math.Round(255 * grey))
	d.pdf.SetFillColor(g, g, g)
	d.pdf.Rect(x, y, width, height, "F")
}

// Shape draws a closed outline through points of x and y, filled with a grey or, below 0, not filled.
func (d *Doc) Shape(grey float64, xy ...float64) {
	var points []fpdf.PointType
	for i := 0; i+1 < len(xy); i += 2 {
		points = append(points, fpdf.PointType{X: xy[i], Y: xy[i+1]})
	}
	style := "D"
	if grey >= 0 {
		style = "DF"
		g := int(math.Round(255 * grey))
		d.pdf.SetFillColor(g, g, g)
	}
	d.pdf.Polygon(points, style)
}

// Scaled draws larger or smaller about a point.
func (d *Doc) Scaled(x, y, by float64, draw func()) {
	d.pdf.TransformBegin()
	d.pdf.TransformScale(100*by, 100*by, x, y)
	draw()
	d.pdf.TransformEnd()
}

// Circle draws a circle.
func (d *Doc) Circle(x, y, radius float64) { d.pdf.Circle(x, y, radius, "D") }

// Output writes the document. The error is the first that anything drawn on it made.
func (d *Doc) Output(w io.Writer) error {
	if d.err != nil {
		return d.err
	}
	return d.pdf.Output(w)
}
