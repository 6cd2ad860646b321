package main

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"wornway/compensate/jobfile"
	"wornway/profile"
	"wornway/profile/document"
	"wornway/profile/length"
)

// readReadmeFile reads a file that the README shows: a job where it has [job], a cut where it has a survey and no
// [lathe], otherwise a profile.
func readReadmeFile(name string, content []byte) ([]document.Fault, error) {
	// a cut, which borrows its lathe
	if bytes.Contains(content, []byte("\n[[survey]]")) && !bytes.Contains(content, []byte("\n[lathe]")) {
		_, err := (&profile.Profile{Unit: length.Inch, Lathe: profile.Lathe{Ways: profile.Range{From: 0,
			To: 1000}}}).ReadCut(nil, name, content)
		return nil, err
	}
	if strings.Contains("\n"+string(content), "\n[job]\n") {
		f, err := jobfile.Parse(name, content)
		if err != nil {
			return nil, err
		}
		return f.Warnings, nil
	}
	p, err := profile.Parse(os.DirFS("."), name, content)
	if err != nil {
		return nil, err
	}
	return p.Warnings, nil
}

// The README's section on job files explains every key in the table of the header that it stands under.
func TestReadmeExplainsJobFiles(t *testing.T) {
	text, err := os.ReadFile(readmeFile)
	if err != nil {
		t.Fatal(err)
	}
	_, section, found := strings.Cut(string(text), "\n## A job file\n")
	section, _, _ = strings.Cut(section, "\n## ")
	if !found {
		t.Fatal("there is no section on job files")
	}
	for _, k := range jobfile.Keys() {
		head := "| in `[" + k.Table() + "]` |"
		if k.Table() == "feature" {
			head = "| in each `[[feature]]` |"
		}
		_, table, found := strings.Cut(section, head)
		table, _, _ = strings.Cut(table, "\n\n")
		_, row, explained := strings.Cut(table, "\n| `"+k.Name()+"` | ")
		row, _, _ = strings.Cut(row, "\n")
		if !found || !explained {
			t.Errorf("%s is not explained", k.Path)
		}
		if k.Required != strings.Contains(row, "Required") {
			t.Errorf("%s: whether it is required is told otherwise: %s", k.Path, row)
		}
	}
}
