package form

import (
	"fmt"
	"strings"

	"wornway/profile/length"
)

// Key says of one key of a file what it is and how a turner finds it.
type Key struct {
	Path     string   // as in faults: lathe.way_span
	Required bool     // where its table is there at all
	Text     bool     // its value is text
	Of       []string // the texts that it may be, where they are few
	Plain    bool     // its value is a number without a unit
	Along    bool     // its value is measured along the bed, with a rule or a tape
	What     string   // what it is, in a line
	How      string   // how to measure or decide it; also the hint where it is missing
	Inch, MM string   // an example, as TOML, for either unit
	Default  string   // what is taken where it is absent, in words
	Instead  []string // paths of the keys that it stands in place of: they are not given together
}

// Answers are values for a new file, as TOML text, by the path of their key.
type Answers map[string]string

// Table is the path of the table that the key stands in.
func (k Key) Table() string { return k.Path[:strings.LastIndexByte(k.Path, '.')] }

// Name is the key as it is written under its table's header.
func (k Key) Name() string { return k.Path[strings.LastIndexByte(k.Path, '.')+1:] }

// Example is the key's example in a unit.
func (k Key) Example(unit length.Unit) string {
	if unit == length.Inch {
		return k.Inch
	}
	return k.MM
}

// Write writes the key into a template: what it is and how to find it as comments, and its line, as a comment with an
// example where there is no answer.
func (k Key) Write(b *strings.Builder, unit length.Unit, answers Answers) {
	needed := "needed"
	if !k.Required {
		needed = "left out: " + k.Default
	}
	fmt.Fprintf(b, "# %s (%s).\n#   %s.\n", capital(k.What), needed, capital(k.How))
	if v, ok := answers[k.Path]; ok {
		fmt.Fprintf(b, "%s = %s\n", k.Name(), v)
		return
	}
	fmt.Fprintf(b, "# %s = %s\n", k.Name(), k.Example(unit))
}

// Off is what stands before a line that is to be a comment.
func Off(open bool) string {
	if open {
		return ""
	}
	return "# "
}

// HowOf returns the hint for a key by its path, whichever of several tables it stands in; empty for one that is not
// among the keys.
func HowOf(keys []Key, path string) string {
	for _, k := range keys {
		if k.Path == Plain(path) {
			return k.How
		}
	}
	return ""
}

// Plain takes the count of a table out of a path: feature[2].name is feature.name.
func Plain(path string) string {
	if open := strings.IndexByte(path, '['); open >= 0 {
		if end := strings.IndexByte(path, ']'); end > open {
			return path[:open] + path[end+1:]
		}
	}
	return path
}

func capital(s string) string {
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
