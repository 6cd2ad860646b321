package env

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/compensate/jobfile"
	"wornway/profile"
	"wornway/profile/collars"
	"wornway/profile/document"
)

// OpenJob reads a job file, or a job from standard input where the name is "-".
func (e *Env) OpenJob(name string) (*jobfile.File, error) {
	if name == "" {
		return nil, refuse.Usage(`which job? "" names no file`, "give its file, or - for standard input")
	}
	data, err := e.Contents(name, "the job's file", "wornway new --job FILE writes a job to fill in")
	if err != nil {
		return nil, err
	}
	if name == "-" {
		name = standardInput
	}
	return jobfile.Parse(name, data)
}

// OpenFile reads a profile from a file, or from standard input where the name is "-". CSV files that it names lie
// beside it, or in the current folder.
func (e *Env) OpenFile(name string) (*profile.Profile, error) {
	if name == "" {
		return nil, refuse.Usage(`which profile? "" names no file`, "give its file, or - for standard input")
	}
	data, err := e.ProfileText(name)
	if err != nil {
		return nil, err
	}
	if name == "-" {
		return e.Parse(".", standardInput, data)
	}
	return e.Parse(filepath.Dir(name), name, data)
}

// CollarsError is the refusal of a table of collars where a profile is needed.
type CollarsError struct {
	refuse.Refusal
	Name string
	Data []byte
}

func (c CollarsError) Unwrap() error { return c.Refusal }

const standardInput = "standard input"

// Contents reads a file, or standard input where the name is "-", but no more than a file may hold: it may be a pipe or
// a device that never ends. wanted is what the file should be; missing says what to do where there is none.
func (e *Env) Contents(name, wanted, missing string) ([]byte, error) {
	if name == "-" {
		data, err := document.ReadAll(standardInput, e.Stdin)
		return data, unread(standardInput, err, "give "+wanted+" by its name")
	}
	f, err := e.open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, unread(name, err, missing)
	}
	if err != nil {
		return nil, unread(name, err, "see that you may read it, or give another file")
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, refuse.With(name+": it is a folder", "give "+wanted)
	}
	data, err := document.ReadAll(name, f)
	if err != nil {
		return nil, unread(name, err, "see that it can be copied, or give another file")
	}
	e.Read = append(e.Read, name)
	return data, nil
}

// Writable refuses a profile that readings cannot be written into.
func Writable(name string) error {
	if info, err := os.Stat(name); err == nil && !info.IsDir() && !info.Mode().IsRegular() {
		return refuse.With(name+" is a pipe or a device: readings cannot be written into it", "give the profile's file")
	}
	return nil
}

// ProfileText is contents for a profile.
func (e *Env) ProfileText(name string) ([]byte, error) {
	return e.Contents(name, "the profile's file",
		"wornway new FILE writes a profile to fill in, wornway new --demo FILE one to try things with")
}

// unread is the refusal of what could not be read.
func unread(name string, err error, hint string) error {
	var faults document.Faults
	if err == nil || errors.As(err, &faults) {
		return err
	}
	return refuse.With(name+": "+PlainPathError(err), hint)
}

// Parse reads a profile from its text; the CSV files that it names lie in the folder.
func (e *Env) Parse(folder, name string, data []byte) (*profile.Profile, error) {
	if collars.Is(data) {
		return nil, CollarsError{refuse.With(name+": it is a table of collars, and this needs a lathe's profile: "+
			"centre height, way span, bed and "+
			"saddle", "wornway new bench.toml --from "+name+" --reading-unit in (or mm) makes one; predict, correct, "+
			"chart and check take the table as it is"), name, data}
	}
	if err := collars.Headless(name, data); err != nil {
		return nil, err
	}
	p, err := profile.Parse(e.Folder(folder), name, data)
	if err != nil {
		return nil, err
	}
	if p.Stated != nil && p.Stated.File != "" {
		e.Read = append(e.Read, filepath.Join(folder, filepath.FromSlash(p.Stated.File)))
	}
	for _, s := range p.Surveys {
		if s.File != "" {
			e.Read = append(e.Read, filepath.Join(folder, filepath.FromSlash(s.File)))
		}
	}
	return p, nil
}

// PlainPathError leaves out the name of the system call.
func PlainPathError(err error) string {
	var p *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file"
	case errors.As(err, &p):
		return p.Err.Error()
	}
	return err.Error()
}
