// Command wornway plans precise turning on a lathe whose bed is worn: it turns a wear profile into predicted diameter
// error, dial corrections and the best place on the bed.
//
// One file holds one command: its options with their flags, one call into the libraries, and the report made of the
// result. main.go and root.go start it; what commands share lies in the packages under internal.
package main

import (
	"context"
	"io"
	"os"
	"time"

	"wornway/cmd/wornway/internal/env"
)

// Nothing listens for Ctrl-C: it ends the program at once, also where it waits for an answer, and no file is ever half
// written.
func main() {
	os.Exit(run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}

// run runs one command line and returns its exit status.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	return runOn(ctx, time.Now, args, stdin, stdout, stderr)
}

// runOn is run by another clock.
func runOn(ctx context.Context, now func() time.Time, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	return execute(env.New(ctx, now, stdin, stdout, stderr), args)
}
