package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	cdlog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	pagescript "github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/cdproto/target"
	"github.com/chromedp/chromedp"

	"wornway/cmd/wornway/internal/env"
)

// window is a window of a browser with nothing of anybody's in it; the test is skipped where there is no browser. One
// serves all tests, each in windows that share nothing with another's.
func window(t *testing.T) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("starts a browser")
	}
	b := theBrowser()
	switch {
	case b.err != nil:
		t.Fatal(b.err)
	case b.ctx == nil:
		t.Skip("there is no browser on this machine (Debian: apt install chromium-headless-shell), so that " +
			"the page is not tried")
	}
	own, err := target.CreateBrowserContext().Do(b.over())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = target.DisposeBrowserContext(own).Do(b.over()) })
	id, err := target.CreateTarget("about:blank").WithBrowserContextID(own).WithNewWindow(true).Do(b.over())
	if err != nil {
		t.Fatal(err)
	}
	window, end := chromedp.NewContext(b.ctx, chromedp.WithTargetID(id))
	t.Cleanup(end)
	return window
}

// browser is a window for one test, which may take so long and no longer.
func browser(t *testing.T) context.Context {
	t.Helper()
	return limited(t, window(t))
}

// limited is a window for as long as one test, or a part of one, may take.
func limited(t *testing.T, window context.Context) context.Context {
	t.Helper()
	timed, late := context.WithTimeout(window, 2*time.Minute)
	t.Cleanup(late)
	return timed
}

// started is a browser that runs; ctx is nil where there is none.
type started struct {
	ctx context.Context
	err error
}

// over is for what is asked of the browser itself.
func (b started) over() context.Context {
	return cdp.WithExecutor(b.ctx, chromedp.FromContext(b.ctx).Browser)
}

// endBrowser ends the browser, if one was started.
var endBrowser = func() {}

var theBrowser = sync.OnceValue(func() started {
	path := ""
	// The first draws no window of its own, and needs half of the time. Debian's command for it is a script which leaves
	// the browser running where it is killed; so it is called by its file.
	for _, name := range []string{"/usr/lib/chromium/chromium-headless-shell", "chromium", "chromium-browser",
		"google-chrome", "chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		return started{}
	}
	dir, err := os.MkdirTemp("", "browser")
	if err != nil {
		return started{err: err}
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.Flag("disable-dev-shm-usage", true), chromedp.UserDataDir(dir))
	all, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, end := chromedp.NewContext(all)
	endBrowser = func() {
		end()
		stop()
		_ = os.RemoveAll(dir) // what the browser still writes while it ends may stay
	}
	run := make(chan error)
	go func() { // the browser ends with the thread that starts it, and one of a test's ends with the test
		runtime.LockOSThread()
		run <- chromedp.Run(ctx)
		<-ctx.Done()
	}()
	return started{ctx, <-run}
})

// ending runs the tests, and ends what they share.
type ending struct{ *testing.M }

func (e ending) Run() int {
	defer func() { endBrowser() }()
	return e.M.Run()
}

// lessons are the pages that were computed already, by the profile's text and the command line: several tests try one.
var lessons sync.Map

// lessonOf is the page of a command line that names a profile second.
func lessonOf(t *testing.T, line string) string {
	t.Helper()
	key := mustRead(t, split(line)[1]) + "\x00" + line
	defer maker(key)()
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
		case *pagescript.EventExceptionThrown:
			complain(e.ExceptionDetails.Error())
		case *pagescript.EventConsoleAPICalled:
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
	script += `Object.fromEntries([...document.querySelectorAll("#numbers td")].
		map(td => [td.dataset.name, td.textContent]))`
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
