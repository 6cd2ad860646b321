package door

import (
	"context"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"sync"
	"time"
)

// ErrIdle ends a door at which nobody has asked for anything for long.
var ErrIdle = errors.New("nobody has asked for anything for long")

// Serve serves the door on a listener until the context is done, which is no error, or nobody has asked for anything
// for so long.
func (d *Door) Serve(ctx context.Context, l net.Listener, idle time.Duration) error {
	s := &http.Server{
		Handler:           d,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       15 * time.Second,
		WriteTimeout:      2 * time.Minute,
		IdleTimeout:       time.Minute,
		MaxHeaderBytes:    mostHeader,
		ErrorLog:          log.New(io.Discard, "", 0), // strangers' mistakes
	}
	d.watch(s)
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(newTurnstile(l, func(from string) { d.note(from, "too many connections") })) }()
	tick := time.NewTicker(min(idle/4+time.Millisecond, 10*time.Second))
	defer tick.Stop()
	for {
		select {
		case err := <-ended:
			return err
		case <-ctx.Done():
			return d.end(s)
		case <-tick.C:
			d.lock.Lock()
			quiet := d.Now().Sub(d.asked)
			d.lock.Unlock()
			if quiet >= idle {
				_ = d.end(s)
				return ErrIdle
			}
		}
	}
}

// end lets answers under way go out, for a moment.
func (d *Door) end(s *http.Server) error {
	ctx, stop := context.WithTimeout(context.Background(), 2*time.Second)
	defer stop()
	if err := s.Shutdown(ctx); err != nil {
		return s.Close()
	}
	return nil
}

// Connections at a time, in all and from one address.
const mostConnections, mostFromOne = 96, 24

// turnstile is a listener that hangs up on who comes with too many connections.
type turnstile struct {
	net.Listener
	lock sync.Mutex
	all  int
	from map[string]int
	full func(remote string) // is told of each that is hung up on
}

func newTurnstile(l net.Listener, full func(remote string)) *turnstile {
	return &turnstile{Listener: l, from: map[string]int{}, full: full}
}

// Accept implements net.Listener.
func (l *turnstile) Accept() (net.Conn, error) {
	for {
		c, err := l.Listener.Accept()
		if err != nil {
			return nil, err
		}
		host, _, _ := net.SplitHostPort(c.RemoteAddr().String())
		l.lock.Lock()
		ok := l.all < mostConnections && l.from[host] < mostFromOne
		if ok {
			l.all++
			l.from[host]++
		}
		l.lock.Unlock()
		if ok {
			return &visitor{Conn: c, gone: sync.OnceFunc(func() { l.gone(host) })}, nil
		}
		l.full(c.RemoteAddr().String())
		c.Close()
	}
}

func (l *turnstile) gone(host string) {
	l.lock.Lock()
	defer l.lock.Unlock()
	l.all--
	if l.from[host]--; l.from[host] == 0 {
		delete(l.from, host)
	}
}

// visitor is a connection that gives its place back.
type visitor struct {
	net.Conn
	gone func()
	seen tally
}

// Close implements net.Conn.
func (c *visitor) Close() error {
	c.gone()
	return c.Conn.Close()
}
