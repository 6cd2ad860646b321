package main

import (
	"context"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// prefer sets whether the reader likes light or dark, and whether he wants less motion.
func prefer(t *testing.T, ctx context.Context, scheme string) {
	t.Helper()
	if err := chromedp.Run(ctx, emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: scheme},
		{Name: "prefers-reduced-motion", Value: "reduce"}})); err != nil {
		t.Fatal(err)
	}
}

// toolAt is where the tool's tip stands on the screen, of the drawing along the bed.
const toolAt = `(() => { const b = document.getElementById("along"),
	p = [...b.querySelectorAll("polygon")].find(p => p.getAttribute("fill") === "var(--tool)"),
	r = b.getBoundingClientRect(), w = b.viewBox.baseVal.width;
	return r.left + Number(p.getAttribute("points").split(",")[0]) / w * r.width; })()`

// Mouse and finger take the carriage along, on a telephone, a tablet and a projector, in light and dark: the tool then
// stands where the pointer is, to the position next to it. The page asks for a guess before it tells, and shows both
// drawings without scrolling.
func TestLessonIsDragged(t *testing.T) {
	alongside(t)
	ctx := browser(t)
	workshop(t)
	complaints := lessonPage(t, ctx, "lesson demo.toml --from 2in --to 22in")
	papers := map[string]string{}
	for _, scheme := range []string{"light", "dark"} {
		prefer(t, ctx, scheme)
		for i, size := range [][2]int64{{380, 760}, {768, 1024}, {1200, 900}} {
			if !*study && (scheme == "dark") != (i == 1) { // each size in one of the two colours
				continue
			}
			what := fmt.Sprintf("%s, %d wide", scheme, size[0])
			if err := chromedp.Run(ctx, chromedp.EmulateViewport(size[0], size[1]), chromedp.Reload(),
				chromedp.WaitVisible("#guesses button", chromedp.ByQuery)); err != nil {
				t.Fatal(err)
			}
			var before struct {
				Told, Paper string
				Low         float64
				Over        bool
			}
			inPage(t, ctx, `({Told: document.getElementById("told").textContent + document.getElementById("chain").textContent,
				Paper: getComputedStyle(document.body).backgroundColor,
				Low: document.getElementById("end").getBoundingClientRect().bottom,
				Over: document.documentElement.scrollWidth > innerWidth})`, &before)
			if !strings.Contains(before.Told, "what do you think?") || strings.Contains(before.Told, "bigger") {
				t.Errorf("%s: before the guess the page says %q", what, before.Told)
			}
			if before.Low > float64(size[1]) || before.Over {
				t.Errorf("%s: the drawings reach down to %.0f, wider than the screen: %v", what, before.Low,
					before.Over)
			}
			papers[scheme] = before.Paper
			var verdict string
			inPage(t, ctx, `document.querySelector("#guesses button").click(); document.getElementById("verdict").textContent`,
				&verdict)
			if !strings.HasPrefix(verdict, "You said: bigger.") {
				t.Errorf("%s: after the guess the page says %q", what, verdict)
			}
			var box struct{ X, Y, W, H float64 }
			inPage(t, ctx, `(() => { const b = document.getElementById("along").getBoundingClientRect();
				return {X: b.left, Y: b.top, W: b.width, H: b.height}; })()`,
				&box)
			const parts = 40 // between the page's positions
			for _, way := range []string{"mouse", "finger"} {
				for _, share := range []float64{0.3, 0.7} {
					x, y := box.X+share*box.W, box.Y+box.H/2
					drag := chromedp.ActionFunc(func(ctx context.Context) error {
						if way == "finger" {
							return touch(ctx, x, y)
						}
						return pull(ctx, x, y)
					})
					var tip float64
					if err := chromedp.Run(ctx, drag); err != nil {
						t.Fatal(err)
					}
					inPage(t, ctx, toolAt, &tip)
					if math.Abs(tip-x) > box.W/parts/2+1 {
						t.Errorf("%s: the %s is at %.1f, the tool at %.1f", what, way, x, tip)
					}
				}
			}
		}
	}
	if papers["light"] == papers["dark"] {
		t.Errorf("light and dark are the same: %s", papers["light"])
	}
	for _, c := range complaints() {
		t.Error(c)
	}
}

// pull presses a mouse's button beside a place and lets it go there.
func pull(ctx context.Context, x, y float64) error {
	for _, step := range []struct {
		what input.MouseType
		off  float64
	}{{input.MousePressed, -40}, {input.MouseMoved, -15}, {input.MouseMoved, 0}, {input.MouseReleased, 0}} {
		if err := chromedp.MouseEvent(step.what, x+step.off, y, chromedp.ButtonLeft).Do(ctx); err != nil {
			return err
		}
	}
	return nil
}

// touch puts a finger down beside a place and lifts it there.
func touch(ctx context.Context, x, y float64) error {
	for _, step := range []struct {
		what input.TouchType
		off  float64
	}{{input.TouchStart, -40}, {input.TouchMove, -15}, {input.TouchMove, 0}, {input.TouchEnd, 0}} {
		points := []*input.TouchPoint{{X: x + step.off, Y: y}}
		if step.what == input.TouchEnd {
			points = []*input.TouchPoint{}
		}
		if err := input.DispatchTouchEvent(step.what, points).Do(ctx); err != nil {
			return err
		}
	}
	return nil
}

var (
	chained = regexp.MustCompile(`diameter 2 × \(([^)]*)\)(.*) = (−?[0-9.]+) thou`)
	summand = regexp.MustCompile(`([+−]?) ?([0-9.]+)`)
)

// addsUp holds the chain to what a pupil gets who adds up the numbers that stand in it, and its end to the table.
func addsUp(t *testing.T, ctx context.Context, shown string) {
	t.Helper()
	var chain string
	inPage(t, ctx, `document.getElementById("chain").textContent`, &chain)
	m := chained.FindStringSubmatch(chain)
	if m == nil {
		t.Fatalf("no sum in %q", chain)
	}
	sum := func(text string) (v float64) {
		sign := 1.0
		for _, k := range summand.FindAllStringSubmatch(text, -1) {
			var x float64
			fmt.Sscan(k[2], &x)
			if sign = 1; k[1] == "−" {
				sign = -1
			}
			v += sign * x
		}
		return v
	}
	var told float64
	fmt.Sscan(strings.Replace(m[3], "−", "-", 1), &told)
	if got := 2*sum(m[1]) + sum(m[2]); math.Abs(got-told) > 1e-9 {
		t.Errorf("%q adds up to %.3f", chain, got)
	}
	if want := strings.Replace(m[3], "−", "-", 1) + " thou"; shown != want {
		t.Errorf("%q ends in another number than the table, %s", chain, shown)
	}
}

// Printed, the page says in words what was chosen, and neither buttons nor folded answers.
func TestLessonOnPaper(t *testing.T) {
	alongside(t)
	ctx := browser(t)
	workshop(t)
	lessonPage(t, ctx, "lesson demo.toml --from 2in --to 22in")
	shown(t, ctx, map[string]int{"wear": 2}, 4)
	if err := chromedp.Run(ctx, emulation.SetEmulatedMedia().WithMedia("print")); err != nil {
		t.Fatal(err)
	}
	var text string
	inPage(t, ctx, `document.body.innerText`, &text)
	for _, want := range []string{"wear front way only", "centre height 6 in", "in the chuck", "on centre height",
		"nothing dialled"} {
		if !strings.Contains(text, want) {
			t.Errorf("on paper it does not say %q: %s", want, text)
		}
	}
	for _, not := range []string{"Play", "The compound is set to 6°", "All numbers"} {
		if strings.Contains(text, not) {
			t.Errorf("on paper it says %q", not)
		}
	}
}
