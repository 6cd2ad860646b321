// Command wornway plans precise turning on a lathe whose bed is worn: it turns a wear profile into predicted diameter error, dial corrections
// and the best place on the bed.
//
// One file holds one command: its options with their flags, one call into the libraries, and the report made of the result. main.go and root.go
// start it, open.go reads profiles, output.go writes reports, cut.go holds the flags that say what is turned, words.go and assumed.go the
// sentences that several commands share.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// run runs one command line and returns its exit status.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	e := &env{ctx: ctx, stdin: stdin, stdout: stdout, stderr: stderr}
	e.open = e.openFile
	return e.run(args)
}
