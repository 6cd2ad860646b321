//go:build unix

package main

import (
	"os"
	"syscall"
	"testing"

	"wornway/cmd/wornway/internal/env"
)

// Of a named pipe that somebody fills for ever no more is read than a file may hold.
func TestEndlessPipe(t *testing.T) {
	workshop(t)
	if err := syscall.Mkfifo("pipe", 0o600); err != nil {
		t.Skip(err)
	}
	written := make(chan int)
	go func() {
		n := 0
		defer func() { written <- n }()
		f, err := os.OpenFile("pipe", os.O_WRONLY, 0)
		if err != nil {
			return
		}
		defer f.Close()
		for block := make([]byte, 1<<16); ; {
			k, err := f.Write(block)
			if n += k; err != nil || n > 2*enough {
				return
			}
		}
	}()
	a := invoke("show", "pipe")
	if a.status != env.ExitRefused || a.stdout != "" || withoutHint(a.stderr) != "" {
		t.Errorf("exit status %d, told\n%s", a.status, a.stderr)
	}
	if n := <-written; n > enough {
		t.Errorf("%d bytes were read", n)
	}
	if a := invoke("record", "pipe", "--method", "saddle-level"); a.status != env.ExitRefused ||
		withoutHint(a.stderr) != "" {
		t.Errorf("record: exit status %d, told\n%s", a.status, a.stderr)
	}
}
