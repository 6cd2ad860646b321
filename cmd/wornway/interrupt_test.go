package main

import (
	"bufio"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// Ctrl-C leaves a conversation at once, and nothing is written.
func TestInterruptEndsAsking(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no process can be interrupted there")
	}
	program, err := exec.LookPath("wornway")
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "bench.toml")
	c := exec.Command(program, "new", file, "--ask", "--unit", "in")
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	for line, lines := "", bufio.NewReader(out); !strings.Contains(line, "call this machine"); {
		if line, err = lines.ReadString('\n'); err != nil {
			t.Fatal(err)
		}
	}
	if err := c.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- c.Wait() }()
	select {
	case err := <-ended:
		if err == nil {
			t.Error("it ended as if nothing had happened")
		}
	case <-tooLate(t):
		if err := c.Process.Kill(); err != nil {
			t.Error(err)
		}
		<-ended
		t.Error("it went on asking")
	}
	if _, err := os.Stat(file); !os.IsNotExist(err) {
		t.Errorf("the file: %v", err)
	}
}

// tooLate tells when so little is left of the time for all tests that what is waited for will not come. A busy machine
// makes nothing fail; where the tests have all the time in the world it never tells.
func tooLate(t *testing.T) <-chan time.Time {
	end, limited := t.Deadline()
	if !limited {
		return nil
	}
	return time.After(time.Until(end) - 20*time.Second)
}
