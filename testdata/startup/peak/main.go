//go:build linux

// Command peak runs the command given to it, several times if a number comes first, and prints for each run its wall
// time in nanoseconds and its greatest resident memory in KiB. What the command prints is thrown away.
//
// It exists because Linux counts into a process's greatest memory that of the process which started it: a test binary
// would measure itself. This program is smaller than whatever it starts.
package main

import (
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"syscall"
	"time"
)

func main() {
	args, runs := os.Args[1:], 1
	if len(args) > 0 {
		if n, err := strconv.Atoi(args[0]); err == nil {
			args, runs = args[1:], n
		}
	}
	if len(args) == 0 {
		fail("usage: peak [runs] command [argument …]")
	}
	for range runs {
		c := exec.Command(args[0], args[1:]...)
		c.Stderr = os.Stderr
		start := time.Now()
		err := c.Run()
		took := time.Since(start)
		if err != nil {
			fail(fmt.Sprintf("%s: %v", args[0], err))
		}
		usage, ok := c.ProcessState.SysUsage().(*syscall.Rusage)
		if !ok {
			fail("the system does not tell a process's memory")
		}
		fmt.Println(took.Nanoseconds(), usage.Maxrss)
	}
}

func fail(message string) {
	fmt.Fprintln(os.Stderr, "peak:", message)
	os.Exit(1)
}
