package profile

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rogpeppe/go-internal/txtar"

	"wornway/profile/document"
)

var update = flag.Bool("update", false, "renew what the broken profiles in testdata are told")

// Each case under testdata/broken is a folder with a profile, the CSV files that it names, and what its reader is told:
// every fault and hint, or the warnings of a profile that is accepted. go test -update renews the latter after a change
// of wording.
func TestBrokenProfiles(t *testing.T) {
	files, err := filepath.Glob("testdata/broken/*.txtar")
	if err != nil {
		t.Fatal(err)
	}
	cases := 0
	for _, file := range files {
		archive, err := txtar.ParseFile(file)
		if err != nil {
			t.Fatal(err)
		}
		folder := fstest.MapFS{}
		for i, f := range archive.Files {
			at := strings.LastIndex(f.Name, ": ")
			if at < 0 {
				t.Fatalf("%s: %q names no case", file, f.Name)
			}
			if name := f.Name[at+2:]; name != "want" {
				folder[name] = &fstest.MapFile{Data: f.Data}
				continue
			}
			cases++
			t.Run(strings.TrimSuffix(filepath.Base(file), ".txtar")+"/"+f.Name[:at], func(t *testing.T) {
				p, err := Read(folder, "profile.toml")
				got := told(p, err)
				var faults document.Faults
				if errors.As(err, &faults) {
					for _, f := range faults {
						if f.Hint == "" {
							t.Errorf("there is no hint how to mend it: %s", f.Error())
						}
					}
				}
				accepted := strings.HasPrefix(f.Name, "accepted: ") || strings.HasSuffix(file, "warnings.txtar")
				if accepted != strings.HasPrefix(got, "accepted\n") {
					t.Errorf("told is\n%s", got)
				}
				switch {
				case *update:
					archive.Files[i].Data = []byte(got)
				case got != string(f.Data):
					t.Errorf("told is\n%s\nexpected was\n%s", got, f.Data)
				}
			})
			folder = fstest.MapFS{}
		}
		if *update {
			if err := os.WriteFile(file, txtar.Format(archive), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	if cases < 120 {
		t.Errorf("only %d cases", cases)
	}
}

// told is what the reader of a profile is told.
func told(p *Profile, err error) string {
	if err != nil {
		return err.Error() + "\n"
	}
	var b strings.Builder
	b.WriteString("accepted\n")
	for _, w := range p.Warnings {
		fmt.Fprintf(&b, "%s\n  hint: %s\n", w.Error(), w.Hint)
	}
	return b.String()
}

// Files that no editor of a text makes, or that one makes without being asked.
func TestBrokenBytes(t *testing.T) {
	const good = "format = 1\nunit = \"in\"\n[lathe]\ncentre_height = 6.0\nway_span = 8.0\nbed = [0.0, " +
		"20.0]\n[lathe.saddle]\nbearing_length = 0\n[wear]\n"
	const rows = "columns = [\"position\", \"front\"]\nrows = [[0.0, 0.004], [20.0, 0.0]]\n"
	const csv = "position,front\n0,0.004\n20,0\n"
	crlf := func(s string) string { return strings.ReplaceAll(s, "\n", "\r\n") }
	utf16 := func(s string) string {
		var b strings.Builder
		b.WriteString("\xff\xfe")
		for _, r := range s {
			b.WriteByte(byte(r))
			b.WriteByte(0)
		}
		return b.String()
	}
	const accepted = "accepted\n"
	for _, tt := range []struct{ name, profile, csv, want string }{
		{"byte order mark", "\uFEFF" + good + rows, "", accepted},
		{"CRLF", crlf(good + rows), "", accepted},
		{"CSV with byte order mark", good + "file = \"wear.csv\"\n", "\uFEFF" + csv, accepted},
		{"CSV with CRLF", good + "file = \"wear.csv\"\n", crlf(csv), accepted},
		{"CSV with both, semicolons and decimal commas", good + "file = \"wear.csv\"\n",
			"\uFEFF" + crlf("position;front\n0,0;0,004\n20,0;0\n"), accepted},
		{"CSV without an end to its last line", good + "file = \"wear.csv\"\n", strings.TrimSuffix(csv, "\n"),
			accepted},
		{"a picture", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "",
			"profile.toml:1:1: the text is not valid UTF-8\n  hint: save the file as UTF-8\n"},
		{"UTF-16", utf16(good + rows), "", "profile.toml:1:1: the text is UTF-16, not UTF-8\n  hint: save the file " +
			"as UTF-8\n"},
		{"CSV in UTF-16", good + "file = \"wear.csv\"\n", utf16(csv),
			"wear.csv:1:1: the text is UTF-16, not UTF-8\n  hint: save the file as UTF-8\n"},
		{"Latin-1 in a name", strings.Replace(good, "[lathe]\n", "[lathe]\nname = \"Fr\xe4se\"\n", 1) + rows, "",
			"profile.toml:4:11: the text is not valid UTF-8\n  hint: save the file as UTF-8\n"},
	} {
		folder := fstest.MapFS{"profile.toml": {Data: []byte(tt.profile)}}
		if tt.csv != "" {
			folder["wear.csv"] = &fstest.MapFile{Data: []byte(tt.csv)}
		}
		if got := told(Read(folder, "profile.toml")); got != tt.want {
			t.Errorf("%s: told is\n%s\nexpected was\n%s", tt.name, got, tt.want)
		}
	}
	// Zero bytes and other control characters are named, and never sent to the terminal.
	for _, s := range []string{"\x00", good + "\x00", strings.Replace(good, "6.0", "6\x00.0", 1),
		"[lathe]\nname = \"\x1b[31m\"\n", "\x1b[2J = 1\n"} {
		_, err := Parse(nil, "profile.toml", []byte(s))
		var faults document.Faults
		if !errors.As(err, &faults) {
			t.Errorf("%q: %v", s, err)
			continue
		}
		if strings.ContainsAny(err.Error(), "\x00\x1b") {
			t.Errorf("%q: the message holds a control character: %q", s, err)
		}
	}
}

// A file that is not there is the system's error, and no fault of a profile.
func TestReadMissingFile(t *testing.T) {
	_, err := Read(fstest.MapFS{}, "bench.toml")
	var faults document.Faults
	if !errors.Is(err, os.ErrNotExist) || errors.As(err, &faults) {
		t.Errorf("%v", err)
	}
}

// Who works in inches is not warned in millimetres.
func TestWarningsAreInTheFilesUnit(t *testing.T) {
	const lathe = `format = 1
unit = "in"
[lathe]
centre_height = 6.0
way_span = 8.0
bed = [-8.0, 44.0]
saddle = { bearing_length = 11.0 }
cross_slide = { dial = "diameter", division = 0.1, backlash = 0 }
spindle = { lean_out = 0.002, lean_uncertainty = 0.0001 }
[wear]
columns = ["position", "front"]
uncertainty = 0.001
rows = [[-8, 0], [6, 0.05], [44, 0]]
[[survey]]
method = "straightedge"
on = "front"
contacts = [0, 24]
columns = ["position", "goes", "stops"]
rows = [[4, 0, 0.0015], [12, 0.002, 0.003], [20, 0, 0.0015]]
`
	p, err := Parse(nil, "profile.toml", []byte(lathe))
	if err != nil {
		t.Fatal(err)
	}
	said := ""
	for _, w := range p.Warnings {
		said += w.Error() + " " + w.Hint + "\n"
	}
	// 2 µm and a 250,000th of 24 in are 4.44 µm: 0.17 thou.
	for _, want := range []string{"more than 0.006 in is unusual", "0.0008 in over 12 in is 0.00007",
		"more than 0.04 in, which is hardly wear",
		"an edge resting 24 in apart sags under its own weight; only its bow of ± 0.17 thou"} {
		if !strings.Contains(said, want) {
			t.Errorf("no %q in\n%s", want, said)
		}
	}
	if m := regexp.MustCompile(`\bmm\b|µm`).FindString(said); m != "" {
		t.Errorf("%s in\n%s", m, said)
	}
}
