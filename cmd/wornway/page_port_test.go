package main

import (
	"os"
	"os/exec"
	"strings"
	"testing"
)

// A page comes back at the address where it was, so that a browser finds what it kept for it; where another program has
// the port, it comes at another one, and another profile has its own.
func TestPageComesBackAtItsPort(t *testing.T) {
	alongside(t)
	program, err := exec.LookPath("wornway")
	if err != nil {
		t.Fatal(err)
	}
	workshop(t)
	put(t, "other.toml", mustRead(t, "demo.toml"))
	start := func(file string) (base string, end func()) {
		c := exec.Command(program, "page", file, "--open=false")
		s := startPage(t, c)
		return s.base, func() { _ = c.Process.Kill(); _ = c.Wait() }
	}
	first, end := start("demo.toml")
	beside, endBeside := start("demo.toml")
	other, endOther := start("other.toml")
	if first == beside || other == first || other == beside {
		t.Errorf("at once at %s, %s and %s", first, beside, other)
	}
	endBeside()
	endOther()
	end()
	for range 3 {
		again, end := start("./demo.toml")
		if again != first || !strings.HasPrefix(again, "http://127.0.0.1:") {
			t.Errorf("at %s, and then at %s", first, again)
		}
		end()
	}
}

// A profile has one port by whichever name it is opened, so that the browser finds what it kept.
func TestPortIsOfTheFile(t *testing.T) {
	alongside(t)
	workshop(t)
	if err := os.Symlink("demo.toml", "other.toml"); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	if a, b := ownPort("demo.toml"), ownPort("other.toml"); a != b {
		t.Errorf("ports %d and, by a link, %d", a, b)
	}
}
