package door

import (
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"

	"rsc.io/qr"
)

// Open opens an address in this machine's browser. The browser is given a file that only this user can read, not the
// address: command lines are seen by everybody. tidy takes the file away again.
func Open(address string) (tidy func(), err error) {
	tidy = func() {}
	folder, err := os.MkdirTemp("", "wornway")
	if err != nil {
		return tidy, err
	}
	tidy = func() { os.RemoveAll(folder) }
	file := filepath.Join(folder, "open.html")
	text := `<!DOCTYPE html><html lang="en"><meta charset="utf-8"><meta name="referrer" content="no-referrer">` +
		`<meta http-equiv="refresh" content="0;url=` + html.EscapeString(address) + `"><title>Opening</title></html>`
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		return tidy, err
	}
	var c *exec.Cmd
	switch runtime.GOOS {
	case "windows":
		c = exec.Command("rundll32", "url.dll,FileProtocolHandler", file)
	case "darwin":
		c = exec.Command("open", file)
	default:
		c = exec.Command("xdg-open", file)
	}
	if err := c.Start(); err != nil {
		return tidy, err
	}
	go func() { _ = c.Wait() }()
	return tidy, nil
}

// Code is an address as a QR code in characters of a terminal, two rows of squares in a line. Without colours it is
// meant for a dark terminal.
func Code(address string, coloured bool) (string, error) {
	c, err := qr.Encode(address, qr.M)
	if err != nil {
		return "", err
	}
	const quiet = 3 // squares about it
	signs := [2][2]string{{" ", "▄"}, {"▀", "█"}}
	begin, end := "\x1b[30;107m", "\x1b[0m\n"
	if !coloured {
		signs, begin, end = [2][2]string{{"█", "▀"}, {"▄", " "}}, "", "\n"
	}
	at := map[bool]int{true: 1}
	var b strings.Builder
	for y := -quiet; y < c.Size+quiet; y += 2 {
		b.WriteString(begin)
		for x := -quiet; x < c.Size+quiet; x++ {
			b.WriteString(signs[at[c.Black(x, y)]][at[c.Black(x, y+1)]])
		}
		b.WriteString(end)
	}
	return b.String(), nil
}
