//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/env"
)

// inShell returns a command for a shell, with this program in $0.
func inShell(t *testing.T, script string) *exec.Cmd {
	t.Helper()
	program, err := exec.LookPath("wornway")
	if err != nil {
		t.Fatal(err)
	}
	return exec.Command("sh", "-c", script, program)
}

// begin takes the first of three readings down.
const begin = `printf '2026-03-14\n0.02 mm/m\n\n0.5\n' |
	"$0" record demo.toml --method saddle-level --at 0,8,16 >/dev/null || exit 9
`

// onlyFirst checks that the first reading is in a file and the second is not.
func onlyFirst(t *testing.T, file string) {
	t.Helper()
	if !strings.Contains(file, "\n  [0.0, 0.5],\n]") || strings.Contains(file, "\n  [8.0,") {
		t.Errorf("the file:\n%s", file)
	}
}

const goesOn = "what was answered before is in the file; once that is put right, the same command goes on"

// saidWhy checks that a command was refused, and that it says why and what to do.
func saidWhy(t *testing.T, c *exec.Cmd, want, hint string) (output string) {
	t.Helper()
	out, err := c.CombinedOutput()
	if c.ProcessState == nil || c.ProcessState.ExitCode() != env.ExitRefused {
		t.Fatalf("%v\n%s", err, out)
	}
	if !strings.Contains(string(out), "cannot write demo.toml: "+want) ||
		!strings.Contains(string(out), "hint: "+hint) {
		t.Errorf("no %q in\n%s", want, out)
	}
	return string(out)
}

// A limit on the size of files stands for a disk that takes no more, on every Unix.
func TestRecordFileTooLarge(t *testing.T) {
	alongside(t)
	workshop(t)
	// In blocks of 512 or of 1024 bytes, by the shell: less than the file in both cases.
	saidWhy(t, inShell(t, begin+`ulimit -f 2
		printf '7\n' | "$0" record demo.toml --method saddle-level >/dev/null`),
		"the file is too large for this disk", goesOn)
	file, err := os.ReadFile("demo.toml")
	if err != nil {
		t.Fatal(err)
	}
	onlyFirst(t, string(file))
	if names, err := filepath.Glob(".*.tmp"); err != nil || len(names) > 0 {
		t.Errorf("left behind: %q, %v", names, err)
	}
}

// onSmallDisk returns a command for a script that runs in a file system of its own, of 64 KiB in memory, with the
// profile in it; it skips where the system does not let us make one.
func onSmallDisk(t *testing.T, script string) *exec.Cmd {
	t.Helper()
	const mount = "mount -t tmpfs -o size=64k none small"
	if err := os.Mkdir("small", 0o755); err != nil {
		t.Fatal(err)
	}
	unshare, err := exec.LookPath("unshare")
	if err == nil {
		err = exec.Command(unshare, "-rm", "sh", "-c", mount).Run()
	}
	if err != nil {
		t.Skip("no file system of our own can be made here: ", err)
	}
	c := inShell(t, mount+" && cp demo.toml small/ && cd small || exit 9\n"+script)
	return exec.Command(unshare, append([]string{"-rm"}, c.Args...)...)
}

// A full disk: the reading that does not fit is refused, those before it are there, and it goes on once there is room.
func TestRecordFullDisk(t *testing.T) {
	alongside(t)
	workshop(t)
	out := saidWhy(t, onSmallDisk(t, begin+`head -c 200000 /dev/zero >full 2>/dev/null
		printf '7\n' | "$0" record demo.toml --method saddle-level >/dev/null
		status=$?
		rm full
		echo '--- then'
		cat demo.toml
		echo '--- later'
		printf '7\n' | "$0" record demo.toml --method saddle-level >/dev/null && cat demo.toml && ls -A
		exit $status`), "the disk is full", goesOn)
	_, out, _ = strings.Cut(out, "--- then\n")
	then, later, _ := strings.Cut(out, "--- later\n")
	onlyFirst(t, then)
	if !strings.HasSuffix(later, "  [0.0, 0.5],\n  [8.0, 7.0],\n]\ndemo.toml\ndemo.toml.bak\n") {
		t.Errorf("once there was room:\n%s", later)
	}
}

// A folder that has become read-only.
func TestRecordReadOnlyFolder(t *testing.T) {
	alongside(t)
	workshop(t)
	out := saidWhy(t, onSmallDisk(t, begin+`mount -o remount,ro "$PWD"
		printf '7\n' | "$0" record demo.toml --method saddle-level >/dev/null
		status=$?
		echo '--- then'
		cat demo.toml
		exit $status`), "the folder is read-only", goesOn)
	_, then, _ := strings.Cut(out, "--- then\n")
	onlyFirst(t, then)
}
