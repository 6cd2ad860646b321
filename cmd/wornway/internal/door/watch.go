package door

import (
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"sync/atomic"
)

// tally is a connection as the server sees it: how many requests it began, and how many of them came as far as the
// door. One that did not had a head that was too long, too slow, or none.
type tally struct{ begun, came atomic.Int64 }

type tallyKey struct{}

// watch gives each connection its count, and notes those that end in the middle of a head.
func (d *Door) watch(s *http.Server) {
	s.ConnContext = func(ctx context.Context, c net.Conn) context.Context {
		return context.WithValue(ctx, tallyKey{}, &c.(*visitor).seen)
	}
	s.ConnState = func(c net.Conn, state http.ConnState) {
		seen := &c.(*visitor).seen
		switch state {
		case http.StateActive:
			seen.begun.Add(1)
		case http.StateClosed:
			if seen.begun.Load() > seen.came.Load() {
				d.note(c.RemoteAddr().String(), "no whole head")
			}
		}
	}
}

// arrived counts a request that has come as far as the door.
func arrived(ctx context.Context) {
	if seen, ok := ctx.Value(tallyKey{}).(*tally); ok {
		seen.came.Add(1)
	}
}

// body notes once that a body was cut off.
type body struct {
	io.ReadCloser
	cut func(why string)
	is  bool
}

// Read implements io.Reader.
func (b *body) Read(p []byte) (int, error) {
	n, err := b.ReadCloser.Read(p)
	if err != nil && !errors.Is(err, io.EOF) && !b.is {
		b.is = true
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			b.cut("too large")
		} else {
			b.cut("no whole body")
		}
	}
	return n, err
}
