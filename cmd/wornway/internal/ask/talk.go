package ask

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/safe"
	"wornway/cmd/wornway/internal/show"
)

// Talk is a conversation over a terminal or a pipe, in lines no wider than it. Where the answers do not come from a
// terminal, which shows what is typed, they are written out, so that both look alike.
type Talk struct {
	ctx   context.Context
	out   io.Writer
	width int
	echo  bool
	ask   chan struct{}
	lines chan string // closed at the end of the input
	fault error       // why the input ended early; to be read once lines is closed
}

func NewTalk(ctx context.Context, e *env.Env) *Talk {
	t := &Talk{ctx: ctx, out: e.Stdout, width: width(e), echo: !env.IsTerminal(e.Stdin),
		ask: make(chan struct{}), lines: make(chan string)}
	go t.read(e.Stdin)
	return t
}

// width is that of the lines, in characters.
func width(e *env.Env) int {
	const usual, least, widest = 80, 40, 100
	width := e.Width()
	if width <= 0 {
		width = usual
	}
	return min(max(width, least), widest)
}

// read takes one line for each that is asked for, so that an interrupt need not wait for it.
func (t *Talk) read(in io.Reader) {
	defer close(t.lines)
	s := bufio.NewScanner(in)
	for range t.ask {
		if !s.Scan() {
			t.fault = unanswered(s.Err())
			return
		}
		select {
		case t.lines <- strings.TrimSpace(s.Text()):
		case <-t.ctx.Done():
			return
		}
	}
}

// unanswered says why answers could not be read to their end; nil where they could.
func unanswered(err error) error {
	switch {
	case errors.Is(err, bufio.ErrTooLong):
		return InputError{refuse.With("standard input: an answer is longer than 64 KB",
			"give each answer a line of its own")}
	case err != nil:
		return InputError{refuse.With("standard input: "+env.PlainPathError(err),
			"give the answers again, from a terminal or a file")}
	}
	return nil
}

// errEnded ends a conversation that is to be gone on with later.
var errEnded = errors.New("ended")

// InputError ends a conversation whose answers cannot be read; what was answered before is kept.
type InputError struct{ refuse.Refusal }

func (i InputError) Unwrap() error { return i.Refusal }

// Close ends the conversation.
func (t *Talk) Close() { close(t.ask) }

// answer asks and returns the answer without blanks around it. At the end of the input, and when interrupted, it is
// errEnded; where the input could not be read to its end, a refusal.
func (t *Talk) answer(prompt string) (string, error) {
	const room = 8 // for the answer
	lines := fold(env.Shown(prompt)+":", t.width-room)
	t.raw(strings.Join(lines, "\n") + " ")
	if t.ctx.Err() == nil {
		select {
		case t.ask <- struct{}{}:
			select {
			case s, ok := <-t.lines:
				if ok {
					if t.echo {
						t.raw(s + "\n")
					}
					return s, nil
				}
				if t.fault != nil {
					t.raw("\n")
					return "", t.fault
				}
			case <-t.ctx.Done():
			}
		case <-t.lines: // closed: the input has ended before
		case <-t.ctx.Done():
		}
	}
	t.raw("\n")
	return "", errEnded
}

// Say writes sentences as they stand in a conversation, and a command line below them.
func Say(e *env.Env, sentences []string, command string) {
	t := &Talk{out: e.Stdout, width: width(e)}
	for _, s := range sentences {
		t.say(s)
	}
	if command != "" {
		t.show(Turn{Said: []Remark{{Command, command}}})
	}
}

// Lead leads a conversation to its end: it writes what is said and asks for answers. Where these end early, or an
// interrupt comes, the rest is left for later.
func (t *Talk) Lead(r *Recording) error {
	turn := r.Turn()
	for {
		t.show(turn)
		if turn.Asks == nil {
			return nil
		}
		text, err := t.answer(turn.Asks.Text)
		if err != nil {
			t.show(r.Stop())
			if errors.Is(err, errEnded) {
				return nil
			}
			return err
		}
		if turn, err = r.Answer(text); err != nil {
			turn.Asks = nil
			t.show(turn)
			return err
		}
	}
}

// show writes what is said in a turn.
func (t *Talk) show(turn Turn) {
	for _, m := range turn.Said {
		switch m.Kind {
		case About:
			t.say("")
			t.say(m.Text)
		case Refused, Meaning, Sure, Tells:
			t.say("  " + m.Text)
		case Odd:
			t.say("! " + m.Text)
		case Command:
			t.raw(show.Fold("  "+m.Text+"\n", t.width))
		default:
			t.say(m.Text)
		}
	}
}

// say writes a paragraph.
func (t *Talk) say(text string) { t.raw(strings.Join(fold(env.Shown(text), t.width), "\n") + "\n") }

func (t *Talk) raw(text string) { fmt.Fprint(t.out, safe.Text(text)) }

// fold breaks a paragraph into lines of at most width characters; those after the first have two blanks more before
// them than the first.
func fold(text string, width int) []string {
	indent := text[:len(text)-len(strings.TrimLeft(text, " "))]
	line := indent
	var out []string
	for i, word := range strings.Fields(text) {
		switch {
		case i == 0:
			line += word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) <= width:
			line += " " + word
		default:
			out = append(out, line)
			line = indent + "  " + word
		}
	}
	return append(out, line)
}
