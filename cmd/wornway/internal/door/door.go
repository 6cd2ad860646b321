// Package door lets browsers in to pages that are served at a machine, and nobody else.
//
// A [Door] stands before a handler. It passes on what comes with the cookie that it gave in exchange for its key, under
// the one address that it serves, from its own pages; everything else is refused without a word of what lies behind.
// [Door.Serve] serves it with limits on sizes, times and connections, and ends when nobody has asked for anything for
// long. It speaks plain HTTP: who can read the network reads along.
package door

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"time"
)

// Limits of one request.
const (
	mostBody   = 64 << 10
	mostHeader = 16 << 10
)

// Options say how a door is kept.
type Options struct {
	Host string // the address with its port, as browsers name it
	Once bool   // the key lets one browser in and is then used up
	// Idle tells a request that nobody has made by hand, such as one that a page repeats by itself; nil: none is.
	Idle func(r *http.Request) bool
	Log  func(line string) // takes a line for what was refused
	Now  func() time.Time  // time.Now, whose differences do not hang on the clock's being set
}

// Door is a handler that lets in who has the key.
type Door struct {
	Options
	inside http.Handler
	key    string
	cookie string

	lock    sync.Mutex
	let     map[[sha256.Size]byte]bool // by the sum of a cookie's value: looking up takes no time that tells anything
	used    bool
	failed  int // keys and cookies in a row that were none
	waiting int // with a wrong key
	asked   time.Time
	logged  logRate
}

// New makes a door with a new key before a handler.
func New(o Options, inside http.Handler) *Door {
	_, port, _ := net.SplitHostPort(o.Host)
	return &Door{Options: o, inside: inside, key: secret(), cookie: "wornway-" + port,
		let: map[[sha256.Size]byte]bool{}, asked: o.Now()}
}

// secret returns 128 bits by chance.
func secret() string {
	b := make([]byte, 16)
	_, _ = rand.Read(b) // it never fails
	return base64.RawURLEncoding.EncodeToString(b)
}

// Address is what a browser opens to be let in.
func (d *Door) Address() string { return d.origin() + "/?key=" + d.key }

func (d *Door) origin() string { return "http://" + d.Host }

// refusal is why a request is not passed on.
type refusal struct {
	status int
	why    string
}

// ServeHTTP implements http.Handler.
func (d *Door) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	arrived(r.Context())
	h := w.Header()
	h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "+
		"connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'")
	h.Set("X-Frame-Options", "DENY")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
	defer func() {
		if fault := recover(); fault != nil {
			if fault == http.ErrAbortHandler {
				panic(fault)
			}
			d.note(r.RemoteAddr, fmt.Sprintf("fault: %v", fault))
			http.Error(w, "Something went wrong here. The other pages go on.", http.StatusInternalServerError)
		}
	}()
	if f := d.refused(r); f.status != 0 {
		d.refuse(w, r, f)
		return
	}
	if key := r.URL.Query().Get("key"); r.URL.Path == "/" && key != "" {
		d.enter(w, r, key)
		return
	}
	if !d.known(r) {
		d.stranger(w, r, "no key")
		return
	}
	if r.Body != nil {
		r.Body = &body{ReadCloser: http.MaxBytesReader(w, r.Body, mostBody),
			cut: func(why string) { d.note(r.RemoteAddr, why) }}
	}
	if d.Idle == nil || !d.Idle(r) {
		d.lock.Lock()
		d.asked = d.Now()
		d.lock.Unlock()
	}
	d.inside.ServeHTTP(w, r)
}

// refused says what is wrong with a request whoever makes it.
func (d *Door) refused(r *http.Request) refusal {
	switch {
	case r.Host != d.Host:
		return refusal{http.StatusMisdirectedRequest, "another host"}
	case r.Method != http.MethodGet && r.Method != http.MethodHead && r.Method != http.MethodPost:
		return refusal{http.StatusMethodNotAllowed, "method"}
	case r.ContentLength > mostBody:
		return refusal{http.StatusRequestEntityTooLarge, "too large"}
	case r.URL.IsAbs() || !strings.HasPrefix(r.URL.Path, "/"):
		return refusal{http.StatusBadRequest, "path"}
	}
	from, has := r.Header["Origin"]
	for _, o := range from {
		if o != d.origin() {
			return refusal{http.StatusForbidden, "another origin"}
		}
	}
	site := r.Header.Get("Sec-Fetch-Site")
	entering := r.Method == http.MethodGet && r.URL.Path == "/" && r.URL.Query().Has("key")
	if site != "" && site != "same-origin" && site != "none" && !entering {
		return refusal{http.StatusForbidden, "another site"}
	}
	// A browser says of a form where it comes from; one of ten years ago by the page's address alone.
	if r.Method == http.MethodPost && !has && site == "" {
		if u, err := url.Parse(r.Referer()); err != nil || u.Scheme+"://"+u.Host != d.origin() {
			return refusal{http.StatusForbidden, "no origin"}
		}
	}
	return refusal{}
}

// known says whether a request has a cookie that was given here.
func (d *Door) known(r *http.Request) bool {
	c, err := r.Cookie(d.cookie)
	if err != nil {
		return false
	}
	d.lock.Lock()
	defer d.lock.Unlock()
	return d.let[sha256.Sum256([]byte(c.Value))]
}

// enter gives a cookie in exchange for the key.
func (d *Door) enter(w http.ResponseWriter, r *http.Request, key string) {
	known := d.known(r)
	d.lock.Lock()
	right := subtle.ConstantTimeCompare([]byte(key), []byte(d.key)) == 1
	used := d.used
	const mostBrowsers = 256
	if right && !known && !used && len(d.let) < mostBrowsers {
		value := secret()
		d.let[sha256.Sum256([]byte(value))] = true
		d.used, d.failed = d.Once, 0
		http.SetCookie(w, &http.Cookie{Name: d.cookie, Value: value, Path: "/", HttpOnly: true,
			SameSite: http.SameSiteStrictMode})
		known = true
	}
	d.asked = d.Now()
	d.lock.Unlock()
	switch {
	case !right:
		d.stranger(w, r, "wrong key")
		return
	case !known:
		d.stranger(w, r, "used key")
		return
	}
	// To a page that comes from elsewhere, such as the file that opened the browser, the cookie is given back only when
	// a page of this place asks.
	if site := r.Header.Get("Sec-Fetch-Site"); site == "cross-site" || site == "same-site" {
		w.Header().Set("Referrer-Policy", "no-referrer")
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		fmt.Fprint(w, `<!DOCTYPE html><html lang="en"><meta charset="utf-8">`+
			`<meta http-equiv="refresh" content="0;url=/"><title>Opening</title>`+
			`<p><a href="/">Open the page</a></p></html>`)
		return
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// stranger refuses somebody who has shown no key, or a wrong one: the latter the more slowly the more often.
func (d *Door) stranger(w http.ResponseWriter, r *http.Request, why string) {
	_, err := r.Cookie(d.cookie)
	if why != "no key" || err == nil {
		const most, longest = 8, 4 * time.Second
		d.lock.Lock()
		d.failed++
		wait := min(longest, 50*time.Millisecond<<min(d.failed, 10))
		full := d.waiting >= most
		if !full {
			d.waiting++
		}
		d.lock.Unlock()
		if full {
			w.Header().Set("Retry-After", "5")
			d.refuse(w, r, refusal{http.StatusTooManyRequests, "too many keys"})
			return
		}
		t := time.NewTimer(wait)
		select {
		case <-t.C:
		case <-r.Context().Done():
			t.Stop()
		}
		d.lock.Lock()
		d.waiting--
		d.lock.Unlock()
	}
	d.refuse(w, r, refusal{http.StatusForbidden, why})
}

func (d *Door) refuse(w http.ResponseWriter, r *http.Request, f refusal) {
	d.note(r.RemoteAddr, f.why)
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(f.status)
	if r.Method != http.MethodHead {
		fmt.Fprint(w, notLetIn)
	}
}

// notLetIn is all that is said to who has no key, whatever the reason; most often the program was started anew while a
// telephone stood at the lathe. It tells nothing of the lathe.
const notLetIn = `<!doctype html>
<html lang="en">
<meta name="viewport" content="width=device-width">
<title>Not let in</title>
<h1>Not let in</h1>
<p>Each start of the program has a key of its own. Open the whole address that it printed last, or scan its code.
<p>Where that address was used already, start the program anew.
<p>What was taken down before is kept.
</html>
`

// logRate keeps the log from being flooded.
type logRate struct {
	minute time.Time
	lines  int
}

// note logs one line. What the request says of itself is not in it: it could be anything.
func (d *Door) note(remote, why string) {
	const most = 30 // lines a minute
	d.lock.Lock()
	now := d.Now()
	if now.Sub(d.logged.minute) >= time.Minute {
		d.logged = logRate{minute: now}
	}
	d.logged.lines++
	n := d.logged.lines
	d.lock.Unlock()
	if d.Log == nil || n > most+1 {
		return
	}
	if n == most+1 {
		d.Log(now.Format(time.TimeOnly) + " refused: many more, which are not told of")
		return
	}
	from, _, err := net.SplitHostPort(remote)
	if err != nil {
		from = "somebody"
	}
	d.Log(fmt.Sprintf("%s refused: %s, from %s", now.Format(time.TimeOnly), why, from))
}
