//go:build linux

package main

import (
	"fmt"
	"net/http/httptest"
	"os"
	"strings"
	"testing"

	pages "wornway/cmd/wornway/internal/page"
)

// BenchmarkPageChange: This cut as it is shown when somebody has changed the length, each time to one that was not
// asked before. Goals: a tenth of a second from stated wear, half a second from readings.
//
//	go test ./cmd/wornway -run '^$' -bench PageChange
func BenchmarkPageChange(b *testing.B) {
	workshop(b)
	if err := os.WriteFile("read.toml", []byte(readLathe(false)), 0o644); err != nil {
		b.Fatal(err)
	}
	for _, k := range []struct {
		name, file, path string
		from, step       float64
	}{
		{"stated", "demo.toml", "/?from=%.3f&to=12&diameter=1", 4, 0.001},
		{"stated-tolerance", "demo.toml", "/?from=%.3f&to=12&diameter=1&tolerance=0.001", 4, 0.001},
		{"readings", "read.toml", "/?from=%.3f&to=300&diameter=25", 100, 0.01},
	} {
		b.Run(k.name, func(b *testing.B) {
			s := pages.New(pages.Options{Profile: k.file, Run: execute, Now: onTestDay})
			defer s.Close()
			i := 0
			ask := func() {
				w := httptest.NewRecorder()
				s.ServeHTTP(w, httptest.NewRequest("GET", fmt.Sprintf(k.path, k.from+k.step*float64(i)), nil))
				if i++; w.Code != 200 || !strings.Contains(w.Body.String(), "dial") {
					b.Fatalf("%d %.300s", w.Code, w.Body)
				}
			}
			ask() // the estimate is made once
			for b.Loop() {
				ask()
			}
		})
	}
}
