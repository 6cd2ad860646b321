package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	pages "wornway/cmd/wornway/internal/page"
	"wornway/cmd/wornway/internal/turning"
)

// On a small telephone what is asked for stands above the keys, no key's word is broken, what was typed last is in sight
// in a long list, and the lesson's words lie within its picture.
func TestPageIsInSight(t *testing.T) {
	alongside(t)
	workshop(t)
	s := serve(t, pages.Options{})
	f, _ := phone(t, s)
	open := func(path string) {
		t.Helper()
		if err := chromedp.Run(f.ctx, chromedp.EmulateViewport(360, 640, chromedp.EmulateMobile),
			chromedp.Navigate(s.base+path), chromedp.WaitReady("main")); err != nil {
			t.Fatal(err)
		}
	}
	open("/after?from=4&to=12&diameter=1")
	eventually(t, f.ctx, "the first diameter is in sight", `(() => {
		const e = document.querySelector('[name="diameter1"]'), b = e.getBoundingClientRect();
		return document.activeElement === e && document.elementFromPoint(b.left + b.width / 2, b.bottom - 2) === e; })()`)
	f.shot("after")
	open("/measure")
	f.tap(`.list button[value="saddle-level"]`, true)
	for f.asks() != "stations" {
		for _, broken := range evaluate[[]string](t, f.ctx, `[...document.querySelectorAll(".pad [data-key]")].filter(b => {
			const r = document.createRange(); r.selectNodeContents(b);
			return r.getClientRects().length > 1 || r.getBoundingClientRect().width > b.clientWidth; }).map(b => b.innerText)`) {
			t.Errorf("%s: the key %q is too narrow for its word", f.asks(), broken)
		}
		f.shot(f.asks())
		f.tap(`#answering [name="usual"], #answering .words button, #answering .words .go`, true)
	}
	f.types("2")
	for i := range 9 {
		f.tap(`[data-key=" "]`, false)
		f.types(fmt.Sprint(4 + 2*i))
	}
	if behind := evaluate[float64](t, f.ctx, `(() => { const e = document.querySelector("[name=answer]");
		return e.scrollWidth - e.clientWidth - e.scrollLeft; })()`); behind > 2 {
		t.Errorf("what was typed last lies %v px out of sight", behind)
	}
	f.shot("stations")
	open("/why?from=4&to=12&diameter=1")
	for _, out := range evaluate[[]string](t, f.ctx, `[...document.querySelectorAll("#along text")].filter(e => {
		const b = e.getBBox(); return b.x < 0 || b.x + b.width > e.ownerSVGElement.viewBox.baseVal.width; }).map(
		e => e.textContent)`) {
		t.Errorf("the lesson's %q is cut off", out)
	}
	f.shot("why")
	f.tap("#back", true)
	if !strings.Contains(evaluate[string](t, f.ctx, `location.search`), "from=4") {
		t.Error("the way back has lost the cut")
	}
	open("/paper?from=4&to=12&diameter=1")
	f.shot("paper")
	open("/where?from=4&to=12&diameter=1")
	f.tap("#starts a", false)
	f.shot("where")
}

// A place is listed with the figure that it is judged by, which is place's own; the best one is told and taken as place
// tells it, no finer than a rule is read.
func TestPageSaysHowPlacesAreJudged(t *testing.T) {
	alongside(t)
	workshop(t)
	s := serve(t, pages.Options{})
	var j turning.PlaceJSON
	if err := json.Unmarshal([]byte(invoke(split("place demo.toml --length 8in --diameter 1in --held chuck-and-centre "+
		"--json")...).stdout), &j); err != nil {
		t.Fatal(err)
	}
	_, body := s.get("/where?from=4&to=12&diameter=1&held=chuck-and-centre")
	best := regexp.MustCompile(`href="/\?[^"]*;from=([^&]*)&[^"]*">Take the part to (\S+) in<`).FindStringSubmatch(body)
	want := fmt.Sprint(math.Round(j.Best.From*100) / 100)
	if best == nil || best[1] != want || best[2] != want || !strings.Contains(words(body), "from "+want+" to ") {
		t.Errorf("the best place is %v, on the page %q", want, best)
	}
	for _, start := range j.Starts {
		want := fmt.Sprintf("varies by %.2f thou 19 times in 20 within %.2f thou", start.Spread*1000, *start.Spread95*1000)
		if !strings.Contains(words(body), want) {
			t.Errorf("from %v it does not say %q", start.From, want)
		}
	}
}

// The README shows This cut, and the list before its first stop. Drawn by -update-pictures; looked at by tiles.
func TestPicturesOfThePage(t *testing.T) {
	alongside(t)
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	workshop(t)
	s := serve(t, pages.Options{})
	f, _ := phone(t, s)
	const wide, high, gap = 360, 850, 20
	whole := image.NewRGBA(image.Rect(0, 0, 2*wide+gap, high))
	draw.Draw(whole, whole.Bounds(), image.White, image.Point{}, draw.Src)
	for i, path := range []string{"/", "/machine"} {
		var b []byte
		if err := chromedp.Run(f.ctx, chromedp.EmulateViewport(wide, high, chromedp.EmulateMobile),
			chromedp.Navigate(s.base+path+"?from=4&to=12&diameter=1&held=chuck-and-centre"), chromedp.WaitReady("main"),
			chromedp.Evaluate(`document.activeElement.blur(); scrollTo(0, 0); (document.querySelector("#awake") || {}).hidden = true`,
				nil), chromedp.CaptureScreenshot(&b)); err != nil {
			t.Fatal(err)
		}
		shot, err := png.Decode(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		draw.Draw(whole, image.Rect(i*(wide+gap), 0, i*(wide+gap)+wide, high), shot, image.Point{}, draw.Src)
	}
	alikePicture(t, filepath.Join(here, "..", "..", "testdata", "pictures", "page.png"), whole)
}
