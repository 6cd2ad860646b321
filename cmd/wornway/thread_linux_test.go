package main

import (
	"runtime"
	"sync"
	"syscall"
	"testing"
)

// A process has one current folder, and command lines name files in it; but on Linux a thread may have a folder of its
// own. So tests that stand in folders run beside each other here, each on its own thread, which ends with the test.
// What a test starts in another goroutine is not on that thread, and stands where the process does.

// alongside has a test run beside others. It comes first in the test.
func alongside(t *testing.T) {
	t.Helper()
	t.Parallel()
	own(t)
}

// owners are the tests whose thread has a folder of its own.
var owners sync.Map

// own gives a test, or a part of one, a thread with a folder of its own. It begins as the process's.
func own(t testing.TB) {
	t.Helper()
	if err := ownThread(); err != nil {
		t.Fatal(err)
	}
	owners.Store(t, true)
	t.Cleanup(func() { owners.Delete(t) })
}

func ownThread() error {
	runtime.LockOSThread() // and never unlocked: the thread ends with the goroutine
	return syscall.Unshare(syscall.CLONE_FS)
}

// chdir has a thread of its own stand in a folder. Unlike os.Chdir it does not tell the go command, which would take it
// that every test stands there.
func chdir(folder string) error { return syscall.Chdir(folder) }

// enter makes a folder the test's current one.
func enter(t testing.TB, folder string) {
	t.Helper()
	if _, owns := owners.Load(t); !owns {
		t.Chdir(folder)
	} else if err := chdir(folder); err != nil {
		t.Fatal(err)
	}
}

// within gives a part of a test that stands in a folder the same one: it is another goroutine.
func within(t *testing.T, folder string) {
	t.Helper()
	own(t)
	enter(t, folder)
}

// standIn has a goroutine stand in a folder from here on.
func standIn(folder string) {
	if err := ownThread(); err != nil {
		panic(err)
	}
	if err := chdir(folder); err != nil {
		panic(err)
	}
}
