package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	cdlog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	pages "wornway/cmd/wornway/internal/page"
)

var pageShots = flag.String("page-shots", "", "keep pictures of the page's screens in this `folder`, to be looked at")

// watched opens the page in a browser; what it complains of, and what it asks of other hosts, are kept.
func watched(t *testing.T, ctx context.Context, s served) (complaints func() []string) {
	t.Helper()
	complaints = complaintsOf(ctx, func(url string) bool { return strings.HasPrefix(url, s.base+"/") })
	if err := chromedp.Run(ctx, network.Enable(), cdlog.Enable(), chromedp.EmulateViewport(360, 740),
		chromedp.Navigate(s.door.Address()), chromedp.WaitVisible("#answer")); err != nil {
		t.Fatal(err)
	}
	return complaints
}

func evaluate[T any](t *testing.T, ctx context.Context, script string) (out T) {
	t.Helper()
	if err := chromedp.Run(ctx, chromedp.Evaluate(script, &out, func(p *runtime.EvaluateParams) *runtime.EvaluateParams {
		return p.WithAwaitPromise(true)
	})); err != nil {
		t.Fatal(err)
	}
	return out
}

// eventually waits until a script says true: in the page, which is asked again where another has come in its place.
func eventually(t *testing.T, ctx context.Context, what, script string) {
	t.Helper()
	wait := fmt.Sprintf(`new Promise(done => { const end = Date.now() + 5000, look = () => {
		const is = (%s); if (is || Date.now() > end) done(is); else setTimeout(look, 40); }; look(); })`, script)
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); {
		var is bool
		err := chromedp.Run(ctx, chromedp.Evaluate(wait, &is, func(p *runtime.EvaluateParams) *runtime.EvaluateParams {
			return p.WithAwaitPromise(true)
		}))
		if ctx.Err() != nil {
			t.Fatalf("%s: %v", what, ctx.Err())
		}
		if err == nil && is {
			return
		}
	}
	t.Fatalf("%s: never", what)
}

// Each page at the width of a telephone in light and of a bench computer in dark, and with -study in both colours and
// at the width of a tablet too: an accessibility checker finds nothing (axe-core, pinned in testdata), nothing is wider
// than the screen, and what is tapped is 48 px high (WCAG 2.2, 2.5.5 asks for 44), also where text is twice as large.
func TestPageInBrowsers(t *testing.T) {
	alongside(t)
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	axe := mustRead(t, filepath.Join(here, "testdata", "axe", "axe.min.js"))
	all := window(t)
	workshop(t)
	s := serve(t, pages.Options{})
	complaints := watched(t, limited(t, all), s)
	for _, path := range []string{"/", "/machine", "/where", "/measure", "/after", "/bed", "/paper", "/why"} {
		t.Run(path, func(t *testing.T) {
			ctx := limited(t, all)
			openChecked(t, ctx, s, axe, path)
			seenAt(t, ctx, path, "light", 360)
			seenAt(t, ctx, path, "dark", 1280)
			if *study || *pageShots != "" {
				seenAt(t, ctx, path, "dark", 360)
				seenAt(t, ctx, path, "light", 1280)
				seenAt(t, ctx, path, "light", 768)
				seenAt(t, ctx, path, "dark", 768)
			}
		})
	}
	for _, c := range complaints() {
		t.Error(c)
	}
}

// The lesson works under the policy of the page: its own script and style are let in by their sums.
func TestPageTellsWhy(t *testing.T) {
	alongside(t)
	ctx := browser(t)
	workshop(t)
	s := serve(t, pages.Options{})
	complaints := watched(t, ctx, s)
	if err := chromedp.Run(ctx, chromedp.Navigate(s.base+"/why"), chromedp.WaitReady("#told")); err != nil {
		t.Fatal(err)
	}
	eventually(t, ctx, "its script runs", `document.querySelector("#told").innerText.length > 20`)
	for _, c := range complaints() {
		t.Error(c)
	}
}

// openChecked opens a page at the width of a telephone, with the checker beside it.
func openChecked(t *testing.T, ctx context.Context, s served, axe, path string) {
	t.Helper()
	if err := chromedp.Run(ctx, chromedp.EmulateViewport(360, 800),
		chromedp.Navigate(s.base+path+"?from=4&to=12&diameter=1&held=chuck-and-centre"),
		chromedp.WaitVisible("main", chromedp.ByQuery), chromedp.Evaluate(axe+";0", nil)); err != nil {
		t.Fatal(err)
	}
}

// checked is what the checker finds in all that a page has, what is folded away too. It is spared what nobody reads: all
// that is right, ways to name what is wrong beside its text, and style sheets, which no rule that is on asks for.
const checked = `document.querySelectorAll("details").forEach(d => d.open = true);
	axe.run({resultTypes: ["violations"], selectors: false, preload: false}).then(r => r.violations)`

// seenAt looks at a page that is open in one way. How it was opened does not matter: nothing in its script asks for the
// colours, and what asks for the width is style.
func seenAt(t *testing.T, ctx context.Context, path, dark string, wide int64) {
	t.Helper()
	name := fmt.Sprintf("%s, %d wide", dark, wide)
	if err := chromedp.Run(ctx, emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: dark}, {Name: "prefers-reduced-motion", Value: "reduce"}}), // colours at once
		chromedp.EmulateViewport(wide, 800)); err != nil {
		t.Fatal(err)
	}
	if *pageShots != "" {
		var b []byte
		if err := chromedp.Run(ctx, chromedp.FullScreenshot(&b, 100)); err != nil {
			t.Fatal(err)
		}
		file := fmt.Sprintf("%s-%s-%d.png", strings.Trim(path+"-page", "/"), dark, wide)
		if err := os.WriteFile(filepath.Join(*pageShots, file), b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	const over = `document.documentElement.scrollWidth > innerWidth`
	if evaluate[bool](t, ctx, over) {
		t.Errorf("%s: it is wider than the screen", name)
	}
	for _, small := range evaluate[[]string](t, ctx, `[...document.querySelectorAll("a, button, select, summary, " +
		"input:not([type=checkbox]):not([type=hidden])")].filter(e => { const b = e.getBoundingClientRect();
		return b.width && b.height < 47.5; }).map(e => e.outerHTML.slice(0, 80))`) {
		t.Errorf("%s: less than 48 px high: %s", name, small)
	}
	if wide == 360 {
		for _, e := range evaluate[[]string](t, ctx, `(() => { document.documentElement.style.fontSize = "200%";
			const wide = [...document.querySelectorAll("main *, header *")].filter(e => !e.closest(".wide, nav") &&
			e.getBoundingClientRect().right > innerWidth + 1).map(e => e.outerHTML.slice(0, 80));
			const broken = [...document.querySelectorAll("button, .button, .button span, nav a")].filter(e => {
				const r = document.createRange(); r.selectNodeContents(e);
				return e.textContent.trim().length < 12 && !/\s/.test(e.textContent.trim()) && r.getClientRects().length > 1;
			}).map(e => "broken: " + e.outerHTML.slice(0, 80));
			document.documentElement.style.fontSize = ""; return wide.concat(broken); })()`) {
			t.Errorf("%s: with text twice as large this goes beyond the screen or is broken: %s", name, e)
		}
	}
	for _, f := range evaluate[[]struct {
		ID, Help string
		Nodes    []struct{ HTML string }
	}](t, ctx, checked) {
		t.Errorf("%s: %s: %s: %+v", name, f.ID, f.Help, f.Nodes)
	}
}

// The choices are changed by buttons, typing and dragging; the list is gone through by keys, a foot switch and a thumb,
// and stays whole where the program has ended or the profile has changed.
func TestPageIsWorked(t *testing.T) {
	alongside(t)
	ctx := browser(t)
	workshop(t)
	s := serve(t, pages.Options{})
	complaints := watched(t, ctx, s)
	text := func(q string) string {
		return evaluate[string](t, ctx, fmt.Sprintf(`document.querySelector(%q).innerText`, q))
	}
	was := text("#answer") // its first lines may stay as they are, to the digits shown
	if err := chromedp.Run(ctx, chromedp.Click(`button[value="to+"]`)); err != nil {
		t.Fatal(err)
	}
	eventually(t, ctx, "a button changes the number", `document.querySelector("#to").value === "12.5"`)
	eventually(t, ctx, "and the answer", fmt.Sprintf(`document.querySelector("#answer").innerText !== %q`, was))
	if err := chromedp.Run(ctx, chromedp.Evaluate(`document.querySelector("#from").value = ""`, nil),
		chromedp.SendKeys("#from", "6 1/2")); err != nil {
		t.Fatal(err)
	}
	eventually(t, ctx, "6 1/2 is read", `document.querySelector("#answer").innerText.includes("6.5")`)
	x := evaluate[[]float64](t, ctx, `(() => {
		const e = document.querySelector("#bed .part"); e.scrollIntoView({block: "center"});
		const b = e.getBoundingClientRect(); return [b.left + b.width / 2, b.top + b.height / 2]; })()`)
	if err := chromedp.Run(ctx, chromedp.Evaluate(`document.querySelector("#from").value = "6";
		document.querySelector("#to").value = "12"`, nil),
		chromedp.MouseEvent(input.MousePressed, x[0], x[1], chromedp.ButtonLeft),
		chromedp.MouseEvent(input.MouseMoved, x[0]+40, x[1], chromedp.ButtonLeft),
		chromedp.MouseEvent(input.MouseMoved, x[0]+60, x[1], chromedp.ButtonLeft),
		chromedp.MouseEvent(input.MouseReleased, x[0]+60, x[1], chromedp.ButtonLeft)); err != nil {
		t.Fatal(err)
	}
	eventually(t, ctx, "the part is dragged", `+document.querySelector("#from").value > 8 &&
		+document.querySelector("#to").value - +document.querySelector("#from").value === 6`)

	if err := chromedp.Run(ctx, chromedp.Navigate(s.base+"/machine?from=4&to=12&diameter=1"),
		chromedp.WaitVisible("#next")); err != nil {
		t.Fatal(err)
	}
	shown := func() string { return text(".card.shown h2") }
	if shown() != "Before the cut" {
		t.Errorf("the list begins with %q", shown())
	}
	for _, step := range []struct {
		what   string
		action chromedp.Action
		want   string
	}{{"Page Down", chromedp.KeyEvent(kb.PageDown), "Zero"}, {"an arrow", chromedp.KeyEvent(kb.ArrowRight), "Stop 1 of 1"},
		{"Page Up", chromedp.KeyEvent(kb.PageUp), "Zero"}, {"the button", chromedp.Click("#next"), "Stop 1 of 1"},
		{"a thumb at the left", chromedp.MouseClickXY(60, 400), "Zero"},
		{"a thumb at the right", chromedp.MouseClickXY(300, 400), "Stop 1 of 1"}} {
		if err := chromedp.Run(ctx, step.action); err != nil {
			t.Fatal(err)
		}
		if shown() != step.want {
			t.Errorf("%s leads to %q, not to %q", step.what, shown(), step.want)
		}
	}
	// The dial's figures are read from two metres: letters of 10 mm and more at least, on a telephone of 360 px over
	// some 65 mm (common practice, no source: a letter's height in mm is four times the distance in m, and more is
	// better).
	if high := evaluate[float64](t, ctx,
		`parseFloat(getComputedStyle(document.querySelector(".card.shown .turn")).fontSize)`); high*0.7*65/360 < 6 {
		t.Errorf("figures of %.0f px", high)
	}
	before := text("#cards")
	file := mustRead(t, "demo.toml")
	put(t, "demo.toml", strings.Replace(file, "division = 0.001", "division = 0.0005", 1))
	eventually(t, ctx, "a changed profile is told of",
		`document.querySelector("#link").innerText.includes("The profile has changed")`)
	if text("#cards") != before {
		t.Error("the list was swapped in silence")
	}
	for _, c := range complaints() {
		t.Error(c)
	}
	if err := chromedp.Run(ctx, network.EmulateNetworkConditions(true, 0, -1, -1)); err != nil {
		t.Fatal(err)
	}
	eventually(t, ctx, "not connected", `document.querySelector("#link").innerText.includes("Not connected")`)
	if text("#cards") != before {
		t.Error("the list is not whole")
	}
}
