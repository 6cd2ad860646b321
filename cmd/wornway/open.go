package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/document"
	"wornway/profile/estimate"
)

// openFile reads a profile from a file, or from standard input where the name is "-". CSV files that it names lie
// beside it, or in the current folder.
func (e *env) openFile(name string) (*profile.Profile, error) {
	if name == "" {
		return nil, refuse.Usage(`which profile? "" names no file`, "give its file, or - for standard input")
	}
	data, err := e.profileText(name)
	if err != nil {
		return nil, err
	}
	if name == "-" {
		return e.parse(".", standardInput, data)
	}
	return e.parse(filepath.Dir(name), name, data)
}

const standardInput = "standard input"

// contents reads a file, or standard input where the name is "-", but no more than a file may hold: it may be a pipe or
// a device that never ends. wanted is what the file should be; missing says what to do where there is none.
func (e *env) contents(name, wanted, missing string) ([]byte, error) {
	if name == "-" {
		data, err := document.ReadAll(standardInput, e.stdin)
		return data, unread(standardInput, err, "give "+wanted+" by its name")
	}
	f, err := os.Open(name)
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
	e.read = append(e.read, name)
	return data, nil
}

// writable refuses a profile that readings cannot be written into.
func writable(name string) error {
	if info, err := os.Stat(name); err == nil && !info.IsDir() && !info.Mode().IsRegular() {
		return refuse.With(name+" is a pipe or a device: readings cannot be written into it", "give the profile's file")
	}
	return nil
}

// profileText is contents for a profile.
func (e *env) profileText(name string) ([]byte, error) {
	return e.contents(name, "the profile's file",
		"wornway new FILE writes a profile to fill in, wornway new --demo FILE one to try things with")
}

// unread is the refusal of what could not be read.
func unread(name string, err error, hint string) error {
	var faults document.Faults
	if err == nil || errors.As(err, &faults) {
		return err
	}
	return refuse.With(name+": "+plainPathError(err), hint)
}

// parse reads a profile from its text; the CSV files that it names lie in the folder.
func (e *env) parse(folder, name string, data []byte) (*profile.Profile, error) {
	p, err := profile.Parse(os.DirFS(folder), name, data)
	if err != nil {
		return nil, err
	}
	if p.Stated != nil && p.Stated.File != "" {
		e.read = append(e.read, filepath.Join(folder, filepath.FromSlash(p.Stated.File)))
	}
	for _, s := range p.Surveys {
		if s.File != "" {
			e.read = append(e.read, filepath.Join(folder, filepath.FromSlash(s.File)))
		}
	}
	return p, nil
}

// otherHeight puts another centre height, mm, in place of the file's, and with it what there is to say of its
// plausibility.
func otherHeight(p *profile.Profile, h float64) {
	p.Warnings = slices.DeleteFunc(p.Warnings, func(f document.Fault) bool {
		return f.Key == "lathe.centre_height" ||
			f.Key == "lathe.way_span"
	})
	p.Lathe.Bed.CentreHeight = h
	if _, message, hint := profile.Proportion(p.Lathe.Bed); message != "" {
		p.Warnings = append(p.Warnings, document.Fault{Key: "--centre-height", Message: message, Hint: hint})
	}
}

// plainPathError leaves out the name of the system call.
func plainPathError(err error) string {
	var p *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file"
	case errors.As(err, &p):
		return p.Err.Error()
	}
	return err.Error()
}

// lathe is a profile ready to be worked with.
type lathe struct {
	*profile.Profile
	machine  compensate.Machine
	estimate *estimate.Result
	word.Units
}

// noWear is the refusal of a profile that has neither wear nor readings.
type noWear struct {
	refuse.Refusal
	profile *profile.Profile
}

func (n noWear) Unwrap() error { return n.Refusal }

// openLathe reads a profile and its wear; centreHeight, mm, takes the place of the file's where it is not zero, and
// slips are undone.
func (e *env) openLathe(name string, slips slipFlag, centreHeight func(p *profile.Profile) (float64, error)) (*lathe,
	error) {
	p, err := e.open(name)
	if err != nil {
		return nil, err
	}
	if centreHeight != nil {
		h, err := centreHeight(p)
		if err != nil {
			return nil, err
		}
		if h != 0 {
			otherHeight(p, h)
		}
	}
	if err := slips.undo(p); err != nil {
		return nil, err
	}
	e.age(p)
	return ready(p, name)
}

// fixedHeight gives openLathe a centre height, mm, that is known beforehand; 0: the file's.
func fixedHeight(h float64) func(*profile.Profile) (float64, error) {
	return func(*profile.Profile) (float64, error) { return h, nil }
}

// ready estimates the wear of a profile; name is what it was opened under.
func ready(p *profile.Profile, name string) (*lathe, error) {
	est, err := p.Estimate()
	switch {
	case errors.Is(err, profile.ErrNoWear):
		return nil, noWear{refuse.With(fmt.Sprintf("%s: there is no [wear], so nothing is known of the bed", p.File),
			"add [wear] with columns and rows; wornway show "+name+" says what else is missing"), p}
	case err != nil:
		return nil, err
	}
	return &lathe{
		Profile:  p,
		estimate: est,
		machine:  compensate.Machine{Lathe: p.Lathe.Bed, Wear: est.Wear, Axis: compensate.SpindleAxis()},
		Units:    word.Units{In: p.Unit},
	}, nil
}
