package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	cdlog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"wornway/cmd/wornway/internal/env"
)

// browser starts a browser with nothing of anybody's in it, or skips the test where there is none.
func browser(t *testing.T) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("starts a browser")
	}
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		t.Skip("there is no browser on this machine (Debian: apt install chromium), so that the page is not tried")
	}
	dir, err := os.MkdirTemp("", "lesson")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) }) // what the browser still writes while it ends may stay
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.Flag("disable-dev-shm-usage", true), chromedp.UserDataDir(dir))
	all, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	page, end := chromedp.NewContext(all)
	t.Cleanup(end)
	timed, late := context.WithTimeout(page, 2*time.Minute)
	t.Cleanup(late)
	return timed
}

// lessons are the pages that were computed already, by the profile's text and the command line: several tests try one.
var lessons sync.Map

// lessonOf is the page of a command line that names a profile second.
func lessonOf(t *testing.T, line string) string {
	t.Helper()
	key := mustRead(t, split(line)[1]) + "\x00" + line
	if page, there := lessons.Load(key); there {
		return page.(string)
	}
	a := invoke(split(line + " -o computed.html --force")...)
	if a.status != env.ExitDone {
		t.Fatalf("%s: %s", line, a.stderr)
	}
	page := mustRead(t, "computed.html")
	lessons.Store(key, page)
	return page
}

// lessonPage writes the lesson of a lathe and opens it; what the page complains of, and what it asks of a network, are
// kept.
func lessonPage(t *testing.T, ctx context.Context, line string) (complaints func() []string) {
	t.Helper()
	put(t, "lesson.html", lessonOf(t, line))
	file, err := filepath.Abs("lesson.html")
	if err != nil {
		t.Fatal(err)
	}
	complaints = complaintsOf(ctx, func(url string) bool { return url == "file://"+file })
	if err := chromedp.Run(ctx, network.Enable(), cdlog.Enable(), chromedp.EmulateViewport(1200, 1000),
		chromedp.Navigate("file://"+file), chromedp.WaitVisible("#told", chromedp.ByQuery)); err != nil {
		t.Fatal(err)
	}
	return complaints
}

// complaintsOf keeps what a page complains of from now on, and what it asks for beyond what it may.
func complaintsOf(ctx context.Context, may func(url string) bool) func() []string {
	var lock sync.Mutex
	var wrong []string
	complain := func(text string) {
		lock.Lock()
		defer lock.Unlock()
		wrong = append(wrong, text)
	}
	chromedp.ListenTarget(ctx, func(event any) {
		switch e := event.(type) {
		case *network.EventRequestWillBeSent:
			if !may(e.Request.URL) {
				complain("asks for " + e.Request.URL)
			}
		case *runtime.EventExceptionThrown:
			complain(e.ExceptionDetails.Error())
		case *runtime.EventConsoleAPICalled:
			complain("writes to the console: " + string(e.Type))
		case *cdlog.EventEntryAdded:
			complain(e.Entry.Text + " " + e.Entry.URL)
		}
	})
	return func() []string {
		lock.Lock()
		defer lock.Unlock()
		return wrong
	}
}

// shown sets the choices and the position as a reader would, and returns the numbers that the page then shows.
func shown(t *testing.T, ctx context.Context, choices map[string]int, at int) map[string]string {
	t.Helper()
	script := `document.querySelectorAll("#guesses .later").forEach(b => b.click());`
	for id, v := range choices {
		script += fmt.Sprintf(
			`document.getElementById(%q).value = %q; document.getElementById(%q).dispatchEvent(new Event("change"));`,
			id, fmt.Sprint(v), id)
	}
	script += fmt.Sprintf(
		`document.getElementById("at").value = "%d"; document.getElementById("at").dispatchEvent(new Event("input"));`,
		at)
	script += `Object.fromEntries([...document.querySelectorAll("#numbers td")].map(td => [td.dataset.name, td.textContent]))`
	var out map[string]string
	if err := chromedp.Run(ctx, chromedp.Evaluate(script, &out)); err != nil {
		t.Fatal(err)
	}
	return out
}

// inPage evaluates a script in the page.
func inPage(t *testing.T, ctx context.Context, script string, into any) {
	t.Helper()
	if err := chromedp.Run(ctx, chromedp.Evaluate(script, into)); err != nil {
		t.Fatalf("%s: %v", script, err)
	}
}
