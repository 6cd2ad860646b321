package main

import (
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	pages "wornway/cmd/wornway/internal/page"
)

// Where a browser runs no script, forms and links do it all: each page is gone through by mouse and keys.
func TestPageWithoutScript(t *testing.T) {
	alongside(t)
	ctx := browser(t)
	workshop(t)
	s := serve(t, pages.Options{})
	complaints := complaintsOf(ctx, func(url string) bool { return strings.HasPrefix(url, s.base+"/") })
	do := func(actions ...chromedp.Action) {
		t.Helper()
		if err := chromedp.Run(ctx, actions...); err != nil {
			t.Fatal(err)
		}
	}
	text := func() string {
		return strings.Join(strings.Fields(evaluate[string](t, ctx, `document.body.innerText`)), " ")
	}
	leads := func(what string, actions ...chromedp.Action) {
		t.Helper()
		if _, err := chromedp.RunResponse(ctx, actions...); err != nil { // where no script runs nothing waits in the page
			t.Fatalf("%s: %v", what, err)
		}
	}
	do(network.Enable(), emulation.SetScriptExecutionDisabled(true), chromedp.EmulateViewport(360, 740),
		chromedp.Navigate(s.door.Address()), chromedp.WaitReady("main"))
	if evaluate[bool](t, ctx, `document.documentElement.classList.contains("scripted-on")`) {
		t.Fatal("script runs: this test sees nothing")
	}
	leads("a button makes the number bigger", chromedp.Click(`button[value="to+"]`))
	if to := evaluate[string](t, ctx, `document.querySelector("#to").value`); to != "12.5" {
		t.Errorf("to: %s", to)
	}
	leads("Enter asks anew", chromedp.SendKeys("#from", kb.End+strings.Repeat(kb.Backspace, 4)+"6 1/2"+kb.Enter))
	if from := evaluate[string](t, ctx, `document.querySelector("#from").value`); from != "6 1/2" ||
		!strings.Contains(text(), "6.5 to 12.5 in") {
		t.Errorf("from: %s, %s", from, text())
	}
	leads("the list", chromedp.Click("#go a"))
	if shown := evaluate[int](t, ctx,
		`[...document.querySelectorAll(".card")].filter(c => c.offsetHeight).length`); shown < 3 {
		t.Errorf("%d cards are shown without script", shown)
	}
	do(chromedp.Click(`#stop-0 .unscripted a`))
	if hash := evaluate[string](t, ctx, `location.hash`); hash != "#stop-1" {
		t.Errorf("Next leads to %q", hash)
	}
	leads("Where", chromedp.Click(`nav a[href^="/where"]`))
	leads("a place", chromedp.Click(`#starts a`))
	if !strings.Contains(evaluate[string](t, ctx, `location.pathname + location.search`), "/?diameter=1") {
		t.Errorf("a place leads to %s", evaluate[string](t, ctx, `location.href`))
	}

	leads("Measure", chromedp.Click(`nav a[href^="/measure"]`))
	leads("a survey", chromedp.Click(`.list button[value="bar-side"]`))
	for range 8 {
		if evaluate[bool](t, ctx, `document.querySelector("#answering").dataset.asks === "stations"`) {
			break
		}
		leads("as usual", chromedp.Click(`#answering [name="usual"], #answering .words .go`))
	}
	leads("stations", chromedp.SendKeys(`[name="answer"]`, "4 8 12"+kb.Enter))
	for _, reading := range []string{"1.1", "2.2", "0.4"} {
		leads("a reading", chromedp.SendKeys(`[name="answer"]`, reading), chromedp.Click(`.pad .take`))
	}
	leads("done", chromedp.Click(`button[value="done"]`))
	if file := mustRead(t, "demo.toml"); !strings.Contains(file, "2.2") || strings.Count(file, "[[survey]]") != 1 {
		t.Errorf("the survey is not in the file: %s", text())
	}

	leads("After the cut", chromedp.Click(`nav a[href^="/after"]`))
	for i, d := range []string{"1.0002", "0.9995", "0.9999", "1.0001", "1.0000"} {
		do(chromedp.SendKeys(`[name="diameter`+string(rune('1'+i))+`"]`, d))
	}
	leads("the check", chromedp.Click(`#collars button.go[type="submit"]`))
	leads("added", chromedp.Click(`[name="add"]`))
	if strings.Count(mustRead(t, "demo.toml"), "[[survey]]") != 2 || !strings.Contains(text(), "in the profile now") {
		t.Errorf("the cut is not in the file: %s", text())
	}
	leads("The bed", chromedp.Click(`nav a[href^="/bed"]`))
	if !strings.Contains(text(), "test bar, its side") ||
		!evaluate[bool](t, ctx, `!!document.querySelector('main a[href*="verdict"]')`) {
		t.Errorf("The bed: %s", text())
	}
	leads("Paper", chromedp.Click(`nav a[href^="/paper"]`))
	for _, c := range complaints() {
		t.Error(c)
	}
}
