//go:build !linux

package main

import (
	"os"
	"testing"
)

// Here all threads of a process have one current folder, and tests that stand in one run one after the other.

func alongside(*testing.T) {}

func own(testing.TB) {}

func chdir(folder string) error { return os.Chdir(folder) }

func enter(t testing.TB, folder string) {
	t.Helper()
	t.Chdir(folder)
}

func within(*testing.T, string) {}

func standIn(string) {}
