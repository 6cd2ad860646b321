package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"wornway/compensate"
	"wornway/profile"
)

// openFile reads a profile from a file, or from standard input where the name is "-". CSV files that it names lie beside it, or in the current folder.
func (e *env) openFile(name string) (*profile.Profile, error) {
	if name == "-" {
		data, err := io.ReadAll(e.stdin)
		if err != nil {
			return nil, refusal{"standard input: " + plainPathError(err), ""}
		}
		return profile.Parse(os.DirFS("."), "standard input", data)
	}
	data, err := os.ReadFile(name)
	if err != nil {
		hint := ""
		if errors.Is(err, fs.ErrNotExist) {
			hint = "wornway new FILE writes a profile to fill in, wornway new --demo FILE one to try things with"
		}
		return nil, refusal{fmt.Sprintf("%s: %s", name, plainPathError(err)), hint}
	}
	return profile.Parse(os.DirFS(filepath.Dir(name)), name, data)
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
	machine compensate.Machine
	words
}

// openLathe reads a profile and its wear; centreHeight, mm, takes the place of the file's where it is not zero.
func (e *env) openLathe(name string, centreHeight func(p *profile.Profile) (float64, error)) (*lathe, error) {
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
			p.Lathe.Bed.CentreHeight = h
		}
	}
	w, err := p.Estimate()
	switch {
	case errors.Is(err, profile.ErrNoWear):
		return nil, refusal{fmt.Sprintf("%s: there is no [wear], so nothing is known of the bed", p.File),
			"add [wear] with columns and rows; wornway show " + name + " says what else is missing"}
	case err != nil:
		return nil, err
	}
	return &lathe{
		Profile: p,
		machine: compensate.Machine{Lathe: p.Lathe.Bed, Wear: w, Axis: compensate.SpindleAxis()},
		words:   words{p.Unit},
	}, nil
}
