package door_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"wornway/cmd/wornway/internal/door"
)

// inner is what lies behind the door; a stranger must not see it.
const inner = "the lathe's name"

// opened is a door that is served.
type opened struct {
	*door.Door
	addr string
	log  func() string
	end  func() error
}

func open(t testing.TB, once bool, idle time.Duration) opened {
	t.Helper()
	return openAt(t, once, idle, time.Now)
}

// openAt is open by another clock.
func openAt(t testing.TB, once bool, idle time.Duration, now func() time.Time) opened {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	var lock sync.Mutex
	var log strings.Builder
	d := door.New(door.Options{Host: l.Addr().String(), Once: once, Now: now,
		Idle: func(r *http.Request) bool { return r.URL.Path == "/state" },
		Log: func(line string) {
			lock.Lock()
			defer lock.Unlock()
			log.WriteString(line + "\n")
		}}, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/fault" {
			panic("a fault")
		}
		if err := r.ParseForm(); err != nil {
			http.Error(w, "too much", http.StatusRequestEntityTooLarge)
			return
		}
		fmt.Fprint(w, inner)
	}))
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- d.Serve(ctx, l, idle) }()
	end := sync.OnceValue(func() error { stop(); return <-ended })
	t.Cleanup(func() { _ = end() })
	return opened{d, l.Addr().String(), func() string {
		lock.Lock()
		defer lock.Unlock()
		return log.String()
	}, end}
}

// client is a browser with cookies of its own; it follows redirects where they are followed by browsers.
func client(t testing.TB) *http.Client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &http.Client{Jar: jar, Timeout: 20 * time.Second}
}

// get asks for an address, and returns the status and what came.
func get(t testing.TB, c *http.Client, r *http.Request) (int, string, http.Header) {
	t.Helper()
	a, err := c.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Body.Close()
	b, err := io.ReadAll(a.Body)
	if err != nil {
		t.Fatal(err)
	}
	return a.StatusCode, string(b), a.Header
}

func request(t testing.TB, method, address, body string, header ...string) *http.Request {
	t.Helper()
	r, err := http.NewRequest(method, address, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(header); i += 2 {
		if header[i] == "Host" {
			r.Host = header[i+1]
			continue
		}
		r.Header.Set(header[i], header[i+1])
	}
	return r
}

// Whoever comes with the key is let in, and the key stays in no address.
func TestKeyIsExchanged(t *testing.T) {
	d := open(t, true, time.Hour)
	c := client(t)
	var last *url.URL
	c.CheckRedirect = func(r *http.Request, _ []*http.Request) error { last = r.URL; return nil }
	status, body, header := get(t, c, request(t, "GET", d.Address(), ""))
	if status != 200 || body != inner || last == nil || last.String() != "http://"+d.addr+"/" {
		t.Fatalf("%d %q, led to %v", status, body, last)
	}
	for name, want := range map[string]string{"X-Frame-Options": "DENY", "X-Content-Type-Options": "nosniff",
		"Cache-Control": "no-store"} {
		if header.Get(name) != want {
			t.Errorf("%s: %q", name, header.Get(name))
		}
	}
	if csp := header.Get("Content-Security-Policy"); strings.Contains(csp, "unsafe") ||
		!strings.Contains(csp, "default-src 'none'") || !strings.Contains(csp, "frame-ancestors 'none'") {
		t.Errorf("policy %q", csp)
	}
	// The attributes by which scripts and other sites do not get a cookie: RFC 6265, 5.2.6, and its draft successor's
	// SameSite.
	raw := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	other := open(t, true, time.Hour)
	_, _, header = get(t, raw, request(t, "GET", other.Address(), ""))
	cookie := header.Get("Set-Cookie")
	// It ends with the browser, not by a clock.
	if strings.Contains(cookie, "Expires") || strings.Contains(cookie, "Max-Age") {
		t.Errorf("cookie %q", cookie)
	}
	if !strings.Contains(cookie, "HttpOnly") || !strings.Contains(cookie, "SameSite=Strict") ||
		strings.Contains(cookie, strings.Split(other.Address(), "=")[1]) {
		t.Errorf("cookie %q", cookie)
	}
}

// A key for this machine lets one browser in; a key for a network further ones.
func TestKeyServes(t *testing.T) {
	for once, want := range map[bool]int{true: http.StatusForbidden, false: http.StatusOK} {
		d := open(t, once, time.Hour)
		first, second := client(t), client(t)
		get(t, first, request(t, "GET", d.Address(), ""))
		status, body, _ := get(t, second, request(t, "GET", d.Address(), ""))
		if status != want || (want != 200) == strings.Contains(body, inner) {
			t.Errorf("once %v: the second browser gets %d %q", once, status, body)
		}
		if status, _, _ := get(t, first, request(t, "GET", d.Address(), "")); status != 200 {
			t.Errorf("once %v: the first browser gets %d when it opens the address again", once, status)
		}
	}
}

// What is no request of the door's own pages is refused, in one line of the log, and nothing is told.
func TestRefused(t *testing.T) {
	d := open(t, false, time.Hour)
	old := open(t, false, time.Hour)
	in := client(t)
	get(t, in, request(t, "GET", d.Address(), ""))
	here := "http://" + d.addr
	_, port, _ := net.SplitHostPort(d.addr)
	for _, x := range []struct {
		name   string
		client *http.Client
		r      *http.Request
		status int
	}{
		{"no key", client(t), request(t, "GET", here+"/", ""), 403},
		{"no key, a file", client(t), request(t, "GET", here+"/page.css", ""), 403},
		{"key of another time", client(t), request(t, "GET", here+"/?"+strings.Split(old.Address(), "?")[1], ""), 403},
		{"half a key", client(t), request(t, "GET", d.Address()[:len(d.Address())-3], ""), 403},
		{"cookie of another time", client(t), request(t, "GET", here+"/", "", "Cookie", "wornway-"+port+"=x"), 403},
		{"a host that begins alike", in, request(t, "GET", here+"/", "", "Host", "127.0.0.1.evil.example:"+port), 421},
		{"a host by its name", in, request(t, "GET", here+"/", "", "Host", "evil.example"), 421},
		{"no port", in, request(t, "GET", here+"/", "", "Host", "127.0.0.1"), 421},
		{"another host with the key", client(t), request(t, "GET", d.Address(), "", "Host", "evil.example"), 421},
		{"an origin that begins alike", in, request(t, "POST", here+"/", "", "Origin", here+".evil.example"), 403},
		{"no origin known", in, request(t, "POST", here+"/", "", "Origin", "null"), 403},
		{"another scheme", in, request(t, "POST", here+"/", "", "Origin", "https://"+d.addr), 403},
		{"reading from another origin", in, request(t, "GET", here+"/", "", "Origin", "http://evil.example"), 403},
		{"reading from another site", in, request(t, "GET", here+"/", "", "Sec-Fetch-Site", "cross-site"), 403},
		{"a form of nowhere", in, request(t, "POST", here+"/", ""), 403},
		{"a form of another page", in, request(t, "POST", here+"/", "", "Referer", here+".evil.example/"), 403},
		{"ten megabytes", in, request(t, "POST", here+"/", strings.Repeat("x", 10<<20), "Origin", here), 413},
		{"a method", in, request(t, "DELETE", here+"/", "", "Origin", here), 405},
	} {
		before := d.log()
		status, body, _ := get(t, x.client, x.r)
		line := strings.TrimPrefix(d.log(), before)
		if status != x.status || strings.Contains(body, inner) {
			t.Errorf("%s: %d %q, want %d", x.name, status, body, x.status)
		}
		if strings.Count(line, "\n") != 1 || strings.Contains(line, "evil") || strings.Contains(line, "key=") {
			t.Errorf("%s: logged %q", x.name, line)
		}
	}
	// A body that says nothing of its length is cut off where it grows too long.
	{
		r := request(t, "POST", here+"/", "", "Origin", here, "Content-Type", "application/x-www-form-urlencoded")
		before := d.log()
		r.Body, r.ContentLength = io.NopCloser(io.LimitReader(endless{}, 10<<20)), -1
		if a, err := in.Do(r); err == nil { // otherwise hung up while it was still being sent: as good
			a.Body.Close()
			if a.StatusCode != http.StatusRequestEntityTooLarge {
				t.Errorf("a body without end: %d", a.StatusCode)
			}
		}
		if line := strings.TrimPrefix(d.log(), before); strings.Count(line, "\n") != 1 ||
			!strings.Contains(line, "too large") {
			t.Errorf("a body without end: logged %q", line)
		}
	}
	// and what belongs there goes through
	for _, r := range []*http.Request{request(t, "GET", here+"/", "", "Sec-Fetch-Site", "same-origin"),
		request(t, "POST", here+"/", "a=b", "Origin", here),
		request(t, "POST", here+"/", "a=b", "Referer", here+"/cut")} {
		if status, body, _ := get(t, in, r); status != 200 || body != inner {
			t.Errorf("%s from %v: %d %q", r.Method, r.Header, status, body)
		}
	}
	if status, body, _ := get(t, in, request(t, "GET", here+"/fault", "")); status != 500 || strings.Contains(body,
		"a fault") {
		t.Errorf("a fault inside: %d %q", status, body)
	}
}

type endless struct{}

func (endless) Read(b []byte) (int, error) {
	for i := range b {
		b[i] = 'a'
	}
	return len(b), nil
}

// Heads that are too long, and clients that never come to an end, are hung up on; others are served meanwhile.
func TestSlowAndLongHeads(t *testing.T) {
	if testing.Short() {
		t.Skip("waits for limits of time")
	}
	d := open(t, false, time.Hour)
	in := client(t)
	get(t, in, request(t, "GET", d.Address(), ""))
	long := request(t, "GET", "http://"+d.addr+"/", "", "X-Long", strings.Repeat("x", 1<<20))
	if a, err := in.Do(long); err == nil {
		a.Body.Close()
		if a.StatusCode != http.StatusRequestHeaderFieldsTooLarge {
			t.Errorf("a head of a megabyte: %d", a.StatusCode)
		}
	}
	var hung atomic.Int32
	var all sync.WaitGroup
	for range 40 { // more than one machine may hold open
		all.Go(func() {
			c, err := net.Dial("tcp", d.addr)
			if err != nil {
				hung.Add(1)
				return
			}
			defer c.Close()
			fmt.Fprint(c, "GET / HTTP/1.1\r\nHost: ")
			_ = c.SetReadDeadline(time.Now().Add(15 * time.Second))
			_, err = bufio.NewReader(c).ReadByte()
			var timeout net.Error
			if !errors.As(err, &timeout) || !timeout.Timeout() {
				hung.Add(1)
			}
		})
	}
	if status, _, _ := get(t, in, request(t, "GET", "http://"+d.addr+"/", "")); status != 200 {
		t.Errorf("beside slow clients: %d", status)
	}
	all.Wait()
	if hung.Load() != 40 {
		t.Errorf("%d of 40 slow clients were hung up on", hung.Load())
	}
	// each of them, and the head of a megabyte, is told of in a line, up to as many as a minute has room for
	for end := time.Now().Add(time.Minute); strings.Count(d.log(), "\n") < 31 && time.Now().Before(end); {
		time.Sleep(20 * time.Millisecond)
	}
	log := d.log()
	if strings.Count(log, "\n") != 31 || !strings.Contains(log, "too many connections") ||
		!strings.Contains(log, "no whole head") || !strings.Contains(log, "many more") {
		t.Errorf("logged %q", log)
	}
}

// Wrong keys are answered the more slowly the more there are; the right one is not.
func TestWrongKeysSlowDown(t *testing.T) {
	d := open(t, false, time.Hour)
	var took []time.Duration
	for range 4 {
		begun := time.Now()
		get(t, client(t), request(t, "GET", "http://"+d.addr+"/?key=wrong", ""))
		took = append(took, time.Since(begun))
	}
	if took[3] < 600*time.Millisecond {
		t.Errorf("the fourth wrong key took %v", took[3])
	}
	quickest := time.Hour // of several, as the machine may be busy
	for tries := 0; tries < 20 && quickest > 400*time.Millisecond; tries++ {
		begun := time.Now()
		if status, _, _ := get(t, client(t), request(t, "GET", d.Address(), "")); status != 200 {
			t.Errorf("the right key: %d", status)
		}
		quickest = min(quickest, time.Since(begun))
	}
	if quickest > 400*time.Millisecond {
		t.Errorf("the right key takes %v", quickest)
	}
	// many at once are turned away, not kept
	var many atomic.Int32
	var all sync.WaitGroup
	for range 16 {
		all.Go(func() {
			wrong := request(t, "GET", "http://"+d.addr+"/?key=wrong", "")
			if status, _, _ := get(t, &http.Client{}, wrong); status == 429 {
				many.Add(1)
			}
		})
	}
	all.Wait()
	if many.Load() == 0 {
		t.Error("sixteen wrong keys at once are all waited for")
	}
}

// It ends when nobody asks for anything, and what a page asks by itself does not count.
func TestEndsWhenIdle(t *testing.T) {
	const idle = 1500 * time.Millisecond
	d := open(t, false, idle)
	in := client(t)
	get(t, in, request(t, "GET", d.Address(), ""))
	endsIdle(t, d, in)
}

// endsIdle waits until it has ended, as nobody asked for anything but its state.
func endsIdle(t *testing.T, d opened, in *http.Client) {
	t.Helper()
	ended := make(chan error, 1)
	go func() {
		for {
			a, err := in.Get("http://" + d.addr + "/state")
			if err != nil {
				ended <- err
				return
			}
			a.Body.Close()
			time.Sleep(50 * time.Millisecond)
		}
	}()
	select {
	case <-ended:
	case <-time.After(20 * time.Second):
		t.Fatal("it goes on")
	}
	if err := d.end(); !errors.Is(err, door.ErrIdle) {
		t.Errorf("ended with %v", err)
	}
}

// How long nobody has asked is the clock's word alone, and who was let in stays in when it is set back.
func TestClockIsSet(t *testing.T) {
	const idle = 100 * time.Millisecond
	var off atomic.Int64
	begun := time.Now()
	d := openAt(t, false, idle, func() time.Time { return begun.Add(time.Duration(off.Load())) })
	in := client(t)
	get(t, in, request(t, "GET", d.Address(), ""))
	for _, back := range []time.Duration{time.Hour, 24 * 365 * time.Hour} {
		off.Store(-int64(back))
		if status, body, _ := get(t, in, request(t, "GET", "http://"+d.addr+"/", "")); status != 200 || body != inner {
			t.Errorf("by a clock that is %v behind: %d", back, status)
		}
	}
	time.Sleep(3 * idle) // by a clock that stands still
	if status, _, _ := get(t, in, request(t, "GET", "http://"+d.addr+"/", "")); status != 200 {
		t.Errorf("it has ended, by a clock that stands still: %d", status)
	}
	off.Add(int64(idle))
	endsIdle(t, d, in)
}

// The code in the terminal has two rows of squares in each line, and is as wide as a code of its size.
func TestCode(t *testing.T) {
	code, err := door.Code("http://192.168.178.100:65535/?key=0123456789012345678901", false)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimRight(code, "\n"), "\n")
	// Version 4 has 33 squares a side and takes 62 bytes at level M (ISO/IEC 18004, table 7, from memory).
	const side = 33 + 2*3
	if len(lines) != (side+1)/2 {
		t.Errorf("%d lines", len(lines))
	}
	for _, l := range lines {
		if n := len([]rune(l)); n != side {
			t.Errorf("%d wide: %q", n, l)
		}
	}
}
