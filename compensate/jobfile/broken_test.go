package jobfile

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"wornway/profile/document"
)

var update = flag.Bool("update", false, "renew what the broken job files in testdata are told")

// Each case in testdata/broken.txtar is a job file and what its reader is told: every fault and hint, or the warnings
// of a job that is accepted. go test -update renews the latter after a change of wording.
func TestBrokenJobs(t *testing.T) {
	const file = "testdata/broken.txtar"
	archive, err := txtar.ParseFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if len(archive.Files)%2 != 0 || len(archive.Files) < 2*40 {
		t.Fatalf("%d files in %s", len(archive.Files), file)
	}
	for i := 0; i < len(archive.Files); i += 2 {
		job, want := archive.Files[i], archive.Files[i+1]
		name, ok := strings.CutSuffix(job.Name, ": job.toml")
		if !ok || want.Name != name+": want" {
			t.Fatalf("%q and %q are no case", job.Name, want.Name)
		}
		t.Run(name, func(t *testing.T) {
			f, err := Parse("job.toml", job.Data)
			got := told(f, err)
			var faults document.Faults
			if errors.As(err, &faults) {
				for _, f := range faults {
					if f.Hint == "" {
						t.Errorf("there is no hint how to mend it: %s", f.Error())
					}
				}
			}
			if strings.HasPrefix(name, "accepted") != strings.HasPrefix(got, "accepted\n") {
				t.Errorf("told is\n%s", got)
			}
			switch {
			case *update:
				archive.Files[i+1].Data = []byte(got)
			case got != string(want.Data):
				t.Errorf("told is\n%s\nexpected was\n%s", got, want.Data)
			}
		})
	}
	if *update {
		if err := os.WriteFile(file, txtar.Format(archive), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// told is what the reader of a job file is told.
func told(f *File, err error) string {
	if err != nil {
		return err.Error() + "\n"
	}
	var b strings.Builder
	b.WriteString("accepted\n")
	for _, w := range f.Warnings {
		fmt.Fprintf(&b, "%s\n  hint: %s\n", w.Error(), w.Hint)
	}
	return b.String()
}
