package main

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"wornway/cmd/wornway/internal/guide"
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

// The guide's page on jobs explains every key in the list of the table that it stands in.
func TestGuideExplainsJobFiles(t *testing.T) {
	page, known := guide.Find("job")
	if !known {
		t.Fatal("there is no page on job files")
	}
	for _, k := range jobfile.Keys() {
		head := "In `[" + k.Table() + "]`"
		if k.Table() == "feature" {
			head = "In each `[[feature]]`"
		}
		_, list, found := strings.Cut(page.Source(), "\n"+head)
		list, _, _ = strings.Cut(list, "\nIn ")
		_, item, explained := strings.Cut(list, "\n- `"+k.Name()+"`: ")
		item, _, _ = strings.Cut(item, "\n- ")
		item, _, _ = strings.Cut(item, "\n\n")
		if !found || !explained {
			t.Errorf("%s is not explained", k.Path)
		}
		if k.Required != strings.Contains(item, "Required") {
			t.Errorf("%s: whether it is required is told otherwise: %s", k.Path, item)
		}
	}
}
