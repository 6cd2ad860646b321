package env

import (
	"bytes"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"wornway/cmd/wornway/internal/lesson"
	"wornway/cmd/wornway/internal/plot"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/show"
	"wornway/profile"
	"wornway/profile/estimate"
)

// Capture is what a command answered, for a caller that shows it by itself. What it has made for a file of its own,
// such as a PDF, goes to standard output as ever.
type Capture struct {
	Report     show.Report
	Figure     func() plot.Figure // nil: the answer has no picture
	Lesson     *lesson.Page       // nil: it is no lesson
	Complaints []refuse.Refusal   // what was said to be wrong before the end
}

// Overlay returns what a file holds that is not to be read from the disk; ok is false where it is.
type Overlay func(name string) (data []byte, ok bool)

// Cache returns an estimate that was made before, or makes it. What was changed in the profile since it was read is
// named by changed: one file, changed alike, has one estimate. It is not to be changed.
type Cache func(changed string, make func() (*estimate.Result, error)) (*estimate.Result, error)

// Estimate estimates the wear of a profile that was read, and changed as is said.
func (e *Env) Estimate(p *profile.Profile, changed string) (*estimate.Result, error) {
	if e.Kept == nil {
		return p.Estimate()
	}
	return e.Kept(changed, p.Estimate)
}

// open opens a file, or what is given in its place.
func (e *Env) open(name string) (fs.File, error) {
	if e.Given != nil {
		if data, ok := e.Given(name); ok {
			return &memoryFile{Reader: bytes.NewReader(data), name: filepath.Base(name), size: int64(len(data))}, nil
		}
	}
	return os.Open(name)
}

// Folder is where files lie that another file names.
func (e *Env) Folder(name string) fs.FS {
	if e.Given == nil {
		return os.DirFS(name)
	}
	return folder{name, e}
}

type folder struct {
	name string
	env  *Env
}

// Open implements fs.FS.
func (f folder) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	if data, ok := f.env.Given(filepath.Join(f.name, filepath.FromSlash(name))); ok {
		return &memoryFile{Reader: bytes.NewReader(data), name: name, size: int64(len(data))}, nil
	}
	return os.DirFS(f.name).Open(name)
}

// memoryFile is a file that lies in memory.
type memoryFile struct {
	io.Reader
	name string
	size int64
}

func (f *memoryFile) Close() error               { return nil }
func (f *memoryFile) Stat() (fs.FileInfo, error) { return f, nil }
func (f *memoryFile) Name() string               { return f.name }
func (f *memoryFile) Size() int64                { return f.size }
func (f *memoryFile) Mode() fs.FileMode          { return 0o444 }
func (f *memoryFile) ModTime() time.Time         { return time.Time{} }
func (f *memoryFile) IsDir() bool                { return false }
func (f *memoryFile) Sys() any                   { return nil }
