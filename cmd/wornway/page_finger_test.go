package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	pages "wornway/cmd/wornway/internal/page"
	"wornway/cmd/wornway/internal/turning"
	"wornway/profile/entry"
	"wornway/profile/survey"
)

// finger taps on a telephone's screen, and counts.
type finger struct {
	*testing.T
	ctx         context.Context
	taps, shots int
}

// at brings something into sight, and says where its middle is.
func (f *finger) at(selector string) (x, y float64) {
	f.Helper()
	b := evaluate[[]float64](f.T, f.ctx, fmt.Sprintf(`(() => { const e = document.querySelector(%q); if (!e) return [];
		e.scrollIntoView({block: "center"}); const b = e.getBoundingClientRect();
		return [b.left + b.width / 2, b.top + b.height / 2]; })()`, selector))
	if len(b) == 0 {
		f.Fatalf("there is no %s: %s", selector, evaluate[string](f.T, f.ctx, `document.body.innerText`))
	}
	return b[0], b[1]
}

func fingerAt(kind input.TouchType, at ...float64) chromedp.Action {
	var points []*input.TouchPoint
	if len(at) > 0 {
		points = append(points, &input.TouchPoint{X: at[0], Y: at[1]})
	}
	return chromedp.ActionFunc(func(ctx context.Context) error {
		return input.DispatchTouchEvent(kind, points).Do(ctx)
	})
}

// tap taps on something. Where that leads to another page, it waits for it.
func (f *finger) tap(selector string, leads bool) {
	f.Helper()
	x, y := f.at(selector)
	f.taps++
	if leads {
		evaluate[bool](f.T, f.ctx, `document.querySelector("main").seen = true`)
	}
	if err := chromedp.Run(f.ctx, fingerAt(input.TouchStart, x, y), fingerAt(input.TouchEnd)); err != nil {
		f.Fatal(err)
	}
	if leads {
		eventually(f.T, f.ctx, "after "+selector, `!!document.querySelector("main") && !document.querySelector("main").seen &&
			document.readyState === "complete"`)
	}
}

// types taps a number on the keys of the page.
func (f *finger) types(number string) {
	f.Helper()
	for _, k := range number {
		f.tap(fmt.Sprintf(`[data-key="%c"]`, k), false)
	}
}

// shot keeps a picture of the screen, where that is asked for.
func (f *finger) shot(name string) {
	f.Helper()
	if *pageShots == "" {
		return
	}
	var b []byte
	if err := chromedp.Run(f.ctx, chromedp.CaptureScreenshot(&b)); err != nil {
		f.Fatal(err)
	}
	f.shots++
	if err := os.WriteFile(filepath.Join(*pageShots, fmt.Sprintf("finger-%02d-%s.png", f.shots, name)), b,
		0o600); err != nil {
		f.Fatal(err)
	}
}

// asks is what Measure asks for.
func (f *finger) asks() string {
	f.Helper()
	return evaluate[string](f.T, f.ctx, `document.querySelector("#answering").dataset.asks`)
}

func (f *finger) text(selector string) string {
	f.Helper()
	return evaluate[string](f.T, f.ctx, fmt.Sprintf(`(document.querySelector(%q) || {}).innerText || ""`, selector))
}

// phone is a telephone of 360 × 740 that is touched, on the page's first screen.
func phone(t *testing.T, s served) (*finger, func() []string) {
	t.Helper()
	return phoneIn(t, browser(t), s)
}

// phoneIn is such a telephone in a window.
func phoneIn(t *testing.T, ctx context.Context, s served) (*finger, func() []string) {
	t.Helper()
	complaints := complaintsOf(ctx, func(url string) bool { return strings.HasPrefix(url, s.base+"/") })
	if err := chromedp.Run(ctx, network.Enable(), chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile),
		emulation.SetTouchEmulationEnabled(true), chromedp.Navigate(s.door.Address()),
		chromedp.WaitReady("main")); err != nil {
		t.Fatal(err)
	}
	return &finger{T: t, ctx: ctx}, complaints
}

// From a profile without readings to a cut that was dialled and measured, by finger alone: the bed is surveyed at ten
// stations, the cut planned, its list gone through, and the cut added. The readings are invented.
func TestPageFromFreshByFinger(t *testing.T) {
	alongside(t)
	workshop(t)
	lathe, _, _ := strings.Cut(mustRead(t, "demo.toml"), "[[damage]]")
	put(t, "fresh.toml", lathe)
	s := serve(t, pages.Options{Profile: "fresh.toml"})
	f, complaints := phone(t, s)
	f.shot("fresh")
	for range 2 {
		to := evaluate[string](t, f.ctx, `document.querySelector("#to").value`)
		f.tap(`button[value="to+"]`, false)
		eventually(t, f.ctx, "a step", fmt.Sprintf(`document.querySelector("#to").value !== %q`, to))
	}
	eventually(t, f.ctx, "the way to Measure follows", `document.querySelector("#go a").href.includes("to=13")`)
	f.tap("#go a", true)
	f.shot("measure")
	f.tap(`.list button[value="bar-side"]`, true)
	for range 12 {
		f.shot("question")
		if f.asks() == "stations" {
			break
		}
		f.tap(`#answering [name="usual"], #answering .words .go`, true)
	}
	f.tap(`[name="usual"]`, true)
	before := f.taps
	var sent []float64
	for range 40 {
		place := f.text(".station")
		if f.asks() != "reading" {
			break
		}
		var z float64
		if _, err := fmt.Sscanf(place, "%v in", &z); err != nil {
			t.Fatalf("asked for %q", place)
		}
		reading := fmt.Sprintf("%.1f", 2.6*math.Exp(-(z-8)*(z-8)/25)+0.05)
		f.types(reading)
		f.shot("reading")
		f.tap(`.pad [type="submit"]`, true)
		var x float64
		_, _ = fmt.Sscan(reading, &x)
		sent = append(sent, x)
	}
	f.shot("all")
	surveyed := f.taps
	method, _ := survey.Find("bar-side")
	e, err := entry.Find([]byte(mustRead(t, "fresh.toml")), method)
	if err != nil || e == nil || len(e.Rows) != len(sent) || len(sent) < 9 {
		t.Fatalf("%d readings sent, in the file: %v %v\n%s", len(sent), e, err, mustRead(t, "fresh.toml"))
	}
	for i, row := range e.Rows {
		var in float64
		if _, err := fmt.Sscan(row.Cells["reading"], &in); err != nil || in != sent[i] {
			t.Errorf("reading %d: %v sent, %v in the file", i+1, sent[i], row)
		}
	}
	f.tap(`button[value="done"]`, true)
	f.shot("done")
	f.tap("main a.go", true)
	f.shot("cut")
	var j turning.CorrectJSON
	const line = "correct fresh.toml --from 4 --to 13 --diameter 1 --held chuck-and-centre"
	if err := json.Unmarshal([]byte(invoke(split(line+" --json")...).stdout), &j); err != nil {
		t.Fatal(err)
	}
	if first := firstSentence(invoke(split(line)...)); !strings.Contains(f.text("#lead"), step(first)) {
		t.Errorf("This cut says %q, correct %q", f.text("#lead"), first)
	}
	f.tap("#go a", true)
	for i := range len(j.Moves) + 3 {
		f.shot("stop")
		said := strings.Join(strings.Fields(f.text(".card.shown")), " ")
		switch k := i - 2; {
		case i == 1 && !strings.Contains(said, fmt.Sprintf("cut to %.4f in as measured", *j.Aim)):
			t.Errorf("the aim is %v, in %q", *j.Aim, said)
		case k >= 0 && k < len(j.Moves) && !strings.Contains(said, strings.ToUpper(j.Moves[k].Direction)):
			t.Errorf("move %+v, in %q", j.Moves[k], said)
		}
		if i < len(j.Moves)+2 {
			f.tap("#next", false)
		}
	}
	if f.text(".card.shown h2") != "The end" {
		t.Errorf("the list ends with %q", f.text(".card.shown h2"))
	}
	f.tap(`nav a[href^="/after"]`, true)
	for i, d := range []string{"0.9997", "1.0002", "1.0006", "1.0003", "0.9999"} {
		f.types(d) // the first empty diameter has the mark, and the key leads to the next one
		if got := evaluate[string](t, f.ctx, fmt.Sprintf(`document.querySelector('[name="diameter%d"]').value`,
			i+1)); got != d {
			t.Errorf("diameter %d: %q typed, %q stands there", i+1, d, got)
		}
		f.tap(`[data-key="next"]`, false)
	}
	f.shot("collars")
	f.tap(`#collars button.go[type="submit"]`, true)
	f.shot("check")
	f.tap(`[name="add"]`, true)
	f.shot("added")
	if n := strings.Count(mustRead(t, "fresh.toml"), "[[survey]]"); n != 2 {
		t.Errorf("%d surveys: %s", n, f.text("main"))
	}
	for _, c := range complaints() {
		t.Error(c)
	}
	t.Logf("%d taps in all; %d of them for %d readings", f.taps, surveyed-before, len(sent))
}

// While a finger drags the part, what is answered follows, and the finger keeps its hold.
func TestPageFollowsTheFinger(t *testing.T) {
	alongside(t)
	folder := workshop(t)
	put(t, "long.toml", longJob)
	for _, x := range []struct {
		name, job, query, value string
		is                      float64
		unit                    float64 // of the job, in inches
	}{{"a length", "", "?from=4&to=10&diameter=1", "#from", 4, 1},
		{"a job's part", "long.toml", "?feature=2&at=110", "#at", 110, 1 / 25.4}} {
		t.Run(x.name, func(t *testing.T) {
			within(t, folder)
			s := serve(t, pages.Options{Job: x.job})
			f, _ := phone(t, s)
			if err := chromedp.Run(f.ctx, chromedp.Navigate(s.base+"/"+x.query), chromedp.WaitReady("#bed .part")); err != nil {
				t.Fatal(err)
			}
			px, py := f.at("#bed .part")
			value := func() (v float64) {
				_, _ = fmt.Sscan(evaluate[string](t, f.ctx, fmt.Sprintf(`document.querySelector(%q).value`, x.value)), &v)
				return v
			}
			was := f.text("#lead")
			move := func(dx float64) {
				if err := chromedp.Run(f.ctx, fingerAt(input.TouchMove, px+dx, py)); err != nil {
					t.Fatal(err)
				}
			}
			if err := chromedp.Run(f.ctx, fingerAt(input.TouchStart, px, py)); err != nil {
				t.Fatal(err)
			}
			move(12)
			move(30)
			eventually(t, f.ctx, "it is answered while the finger lies there", fmt.Sprintf(
				`document.querySelector("#lead").innerText !== %q`, was))
			first := value()
			move(60)
			if err := chromedp.Run(f.ctx, fingerAt(input.TouchEnd)); err != nil {
				t.Fatal(err)
			}
			// 52 in of bed on some 300 px: 60 px are some 10 in, whatever it is rounded to
			last := value()
			if by := (last - x.is) * x.unit; !(first > x.is) || !(last > first) || by < 7 || by > 14 {
				t.Errorf("dragged from %v to %v and on to %v", x.is, first, last)
			}
			eventually(t, f.ctx, "the bed is drawn where it was left",
				`!!document.querySelector("#bed .part") && document.querySelector("#link").hidden`)
		})
	}
}
