package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	pages "wornway/cmd/wornway/internal/page"
)

// What was typed stays in its field while the file cannot be read, and is taken once it can; the page says why meanwhile.
func TestPageKeepsWhatIsTypedWhileTheFileIsBroken(t *testing.T) {
	alongside(t)
	workshop(t)
	s := serve(t, pages.Options{})
	f, complaints := phone(t, s)
	whole := mustRead(t, "demo.toml")
	broken := func() { put(t, "demo.toml", strings.Replace(whole, "format = 1", "format = ", 1)) }
	told := func(selector string) {
		t.Helper()
		eventually(t, f.ctx, "it is told why", fmt.Sprintf(
			`document.querySelector(%q).innerText.includes("demo.toml:")`, selector))
	}
	value := func(selector, want string) {
		t.Helper()
		if got := evaluate[string](t, f.ctx, fmt.Sprintf(`(document.querySelector(%q) || {}).value || ""`,
			selector)); got != want {
			t.Errorf("%s: %q stands there, not %q", selector, got, want)
		}
	}
	open := func(path string) {
		t.Helper()
		put(t, "demo.toml", whole)
		if err := chromedp.Run(f.ctx, chromedp.Navigate(s.base+path), chromedp.WaitReady("main")); err != nil {
			t.Fatal(err)
		}
	}

	open("/?from=4&to=12&diameter=1")
	broken()
	if err := chromedp.Run(f.ctx, chromedp.Evaluate(`document.querySelector("#from").value = ""`, nil),
		chromedp.SendKeys("#from", "6 1/")); err != nil {
		t.Fatal(err)
	}
	told("#link")
	value("#from", "6 1/")
	put(t, "demo.toml", whole)
	if err := chromedp.Run(f.ctx, chromedp.SendKeys("#from", "2")); err != nil {
		t.Fatal(err)
	}
	eventually(t, f.ctx, "6 1/2 is read", `document.querySelector("#answer").innerText.includes("6.5") &&
		document.querySelector("#link").hidden`)

	open("/after?from=4&to=12&diameter=1")
	f.types("0.9997")
	f.tap(`[data-key="next"]`, false)
	f.types("1.0")
	broken()
	f.tap(`#collars [type="submit"]`, false)
	told("#link")
	value(`[name="diameter1"]`, "0.9997")
	value(`[name="diameter2"]`, "1.0")

	open("/measure")
	f.tap(`.list button[value="bar-side"]`, true)
	for f.asks() != "stations" {
		f.tap(`#answering [name="usual"], #answering .words .go`, true)
	}
	f.types("4")
	f.tap(`[data-key=" "]`, false)
	f.types("8")
	f.tap(".pad .take", true)
	f.types("1.5")
	broken()
	f.tap(".pad .take", false)
	told("#kept")
	value("[name=answer]", "1.5")
	f.shot("broken")
	s.get("/measure") // looked at from elsewhere meanwhile
	put(t, "demo.toml", whole)
	for _, c := range complaints() {
		t.Error(c)
	}
}

// Next leads on through the rows that were begun and then to what sends them, not into empty rows; where the jaws are is
// typed by the same keys.
func TestPageNextLeadsToCompare(t *testing.T) {
	alongside(t)
	workshop(t)
	s := serve(t, pages.Options{})
	f, _ := phone(t, s)
	if err := chromedp.Run(f.ctx, chromedp.EmulateViewport(360, 640, chromedp.EmulateMobile),
		chromedp.Navigate(s.base+"/after?from=4&to=12&diameter=1"), chromedp.WaitReady("main")); err != nil {
		t.Fatal(err)
	}
	const active = `document.activeElement.name || document.activeElement.type`
	next := func(want string) {
		t.Helper()
		f.tap(`[data-key="next"]`, false)
		if got := evaluate[string](t, f.ctx, active); got != want {
			t.Errorf("next leads to %q, not to %q", got, want)
		}
	}
	for i, d := range []string{"0.9997", "1.0002", "1.0006", "1.0003"} {
		f.types(d)
		next(fmt.Sprintf("diameter%d", i+2))
	}
	f.types("0.9999")
	next("submit")
	if !evaluate[bool](t, f.ctx, `(() => { const b = document.activeElement.getBoundingClientRect();
		return b.top >= 0 && b.bottom <= innerHeight; })()`) {
		t.Error("what compares them is not in sight")
	}
	f.tap(`[name="position6"]`, false)
	f.types("13")
	next("diameter6")
	f.tap("#held_at", false)
	f.types("2.5")
	if got := evaluate[string](t, f.ctx, `document.querySelector("#held_at").value`); got != "2.5" {
		t.Errorf("%q stands for the jaws", got)
	}
	if !evaluate[bool](t, f.ctx, `(() => { const e = document.querySelector("#held_at"), b = e.getBoundingClientRect();
		return document.elementFromPoint(b.left + b.width / 2, b.top + b.height / 2) === e; })()`) {
		t.Error("the keys lie over it")
	}
	f.shot("jaws")
}
