package main

import (
	"context"
	"errors"
	"fmt"
	"hash/fnv"
	"net"
	"net/netip"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/door"
	"wornway/cmd/wornway/internal/env"
	pages "wornway/cmd/wornway/internal/page"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/safe"
)

type pageOptions struct {
	open     bool
	port     int
	lan      bool
	readOnly bool
}

func newPage(e *env.Env, run func(*env.Env, []string) int) *cobra.Command {
	o := &pageOptions{}
	c := &cobra.Command{
		Use:   "page PROFILE [JOB]",
		Short: "Serve this lathe's page to a phone at the machine",
		Long: `Page serves the lathe's page until it is ended by Ctrl-C, or nobody has asked for anything for an hour:
what comes out and what to dial, the list one stop at a time in figures that are read from two metres, where a length
comes out best, surveys taken reading by reading, and a cut held against the prediction. What it answers the commands
answer.

With a job file it offers the lengths of that job, as predict --job has them, and their part as it lies.

It prints the address with a key, opens the browser, and lets in who has the key. A profile has a port of its own: what
a phone has kept of the page it finds again after a restart. By itself it serves this machine alone. With --lan it
serves the network that the machine is on, and the key is shown as a QR code as well, for phones to read. That is plain
HTTP: who can read the network can read along and change what is sent, so use one that you trust.
The screen of a phone stays on by itself only where its browser allows it; set it so otherwise.`,
		Example: `  wornway page demo.toml
  wornway page demo.toml shaft.toml
  wornway page demo.toml --open=false --read-only`,
		Args: func(_ *cobra.Command, args []string) error {
			switch {
			case len(args) == 0:
				return refuse.Usage("which profile? Give its file", "for instance: wornway page demo.toml")
			case len(args) > 2:
				return refuse.Usage(fmt.Sprintf("one profile and one job at a time: %q is too much", args[2]),
					"start another page for another lathe")
			}
			return nil
		},
		GroupID: "work",
		RunE:    func(_ *cobra.Command, args []string) error { return runPage(e, run, args, o) },
	}
	f := c.Flags()
	f.SortFlags = false
	f.BoolVar(&o.lan, "lan", false, "serve the network that this machine is on, to phones that have the key")
	f.IntVar(&o.port, "port", 0,
		"the `number` of the port (default: one of the profile's own, or the next that is free)")
	f.BoolVar(&o.open, "open", true, "open the browser of this machine")
	f.BoolVar(&o.readOnly, "read-only", false, "take no readings, and change nothing in the profile")
	return c
}

func runPage(e *env.Env, run func(*env.Env, []string) int, files []string, o *pageOptions) error {
	if slices.Contains(files, "-") {
		return refuse.Usage("standard input cannot be served: it is read once", "give the file's name")
	}
	if o.port < 0 || o.port > 65535 {
		return refuse.Usage(fmt.Sprintf("--port %d: there is no such port", o.port), "leave it out for one that is "+
			"free")
	}
	serving := pages.Options{Profile: files[0], ReadOnly: o.readOnly, Run: run, Now: e.Now}
	p, err := e.Open(serving.Profile)
	if err != nil {
		return err
	}
	if len(files) > 1 {
		serving.Job = files[1]
		if _, err := e.Job(serving.Job); err != nil {
			return err
		}
	}
	at := door.Here
	if o.lan {
		if at, err = door.OnNetwork(); err != nil {
			return refuse.With("--lan: "+err.Error(), "join the shop's network first, or leave --lan out")
		}
	}
	l, err := listen(at, o.port, serving.Profile)
	if err != nil {
		return err
	}
	inside := pages.New(serving)
	defer inside.Close()
	d := door.New(door.Options{Host: l.Addr().String(), Once: !o.lan, Idle: pages.ByItself, Now: e.Now,
		Log: func(line string) { fmt.Fprint(e.Stderr, safe.Line(line)+"\n") }}, inside)
	ctx, stop := signal.NotifyContext(e.Ctx, os.Interrupt)
	defer stop()
	go inside.Prepare(ctx)
	e.Say("The page of “%s”:\n  %s\n", p.Lathe.Name, d.Address())
	if o.lan {
		if env.IsTerminal(e.Stdout) {
			code, err := door.Code(d.Address(), os.Getenv("NO_COLOR") == "")
			if err != nil {
				return err
			}
			fmt.Fprint(e.Stdout, code)
		}
		e.Say("Whoever has this address is let in. It is plain HTTP: for a network that you trust.\n")
	}
	e.Say("Ctrl-C ends it.\n")
	if o.open && env.IsTerminal(e.Stdout) { // where nobody sits, nobody looks
		tidy, err := door.Open(d.Address())
		defer tidy()
		if err != nil {
			e.Say("No browser could be opened here: open the address by hand.\n")
		}
	}
	return servePage(ctx, e, d, l)
}

// servePage serves until it is ended.
func servePage(ctx context.Context, e *env.Env, d *door.Door, l net.Listener) error {
	const idle = time.Hour
	err := d.Serve(ctx, l, idle)
	switch {
	case errors.Is(err, door.ErrIdle):
		e.Say("Ended: for an hour nobody has asked for anything.\n")
		return nil
	case err != nil:
		return err
	}
	e.Say("Ended.\n")
	return nil
}

// listen listens at an address: at the port that was named, or at the profile's own. Where that is taken, it is the
// next one that is free.
func listen(at netip.Addr, port int, profile string) (l net.Listener, err error) {
	on := func(port int) (net.Listener, error) {
		return net.Listen("tcp", net.JoinHostPort(at.String(), strconv.Itoa(port)))
	}
	if port != 0 {
		if l, err = on(port); err != nil {
			return nil, refuse.With(fmt.Sprintf("port %d cannot be had: another program may have it", port),
				"leave --port out for one that is free")
		}
		return l, nil
	}
	const tries = 20
	for own := range tries {
		if l, err = on(ownPort(profile) + own); err == nil {
			return l, nil
		}
	}
	if l, err = on(0); err != nil {
		return nil, refuse.With("no port can be had: "+err.Error(), "end other programs that serve something")
	}
	return l, nil
}

// ownPort is the port of a profile's page, by the place of its file. A browser keeps what was typed and not yet taken
// for one address, and finds it there when the program runs again. The ports lie below those that systems lend to
// whoever asks for any: 32768 and up on Linux, 49152 and up elsewhere.
func ownPort(profile string) int {
	const first, ports = 20000, 12000
	if whole, err := filepath.Abs(profile); err == nil {
		profile = whole
	}
	if file, err := filepath.EvalSymlinks(profile); err == nil { // by whichever name it is opened
		profile = file
	}
	sum := fnv.New32a()
	_, _ = sum.Write([]byte(profile))
	return first + int(sum.Sum32()%ports)
}
