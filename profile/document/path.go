package document

import (
	"strconv"
	"strings"
)

// step is one part of a path: a key and, for what stands in arrays, the places in them, counted from 1.
type step struct {
	key string
	at  []int
}

// splitPath takes a path such as survey[2].rows apart.
func splitPath(path string) ([]step, bool) {
	var steps []step
	for {
		var s step
		rest := path
		if strings.HasPrefix(path, `"`) {
			i := 1
			for i < len(path) && path[i] != '"' {
				if path[i] == '\\' {
					i++
				}
				i++
			}
			if i >= len(path) {
				return nil, false
			}
			one, err := Parse("", []byte("x = "+path[:i+1]))
			if err != nil || one.root.entry("x").value.kind != textKind {
				return nil, false
			}
			s.key, rest = one.root.entry("x").value.text, path[i+1:]
		} else {
			i := 0
			for i < len(path) && path[i] != '.' && path[i] != '[' {
				i++
			}
			s.key, rest = path[:i], path[i:]
			if s.key == "" || bare(s.key) != s.key {
				return nil, false
			}
		}
		for strings.HasPrefix(rest, "[") {
			i := strings.IndexByte(rest, ']')
			if i < 0 {
				return nil, false
			}
			n, err := strconv.Atoi(rest[1:i])
			if err != nil || n < 1 || strconv.Itoa(n) != rest[1:i] {
				return nil, false
			}
			s.at = append(s.at, n)
			rest = rest[i+1:]
		}
		steps = append(steps, s)
		if rest == "" {
			return steps, true
		}
		if rest[0] != '.' {
			return nil, false
		}
		path = rest[1:]
	}
}

// follow finds the value at the end of the steps; nil where there is none.
func (t *Table) follow(steps []step) *value {
	var v *value
	for _, s := range steps {
		if t == nil {
			return nil
		}
		e := t.entry(s.key)
		if e == nil {
			return nil
		}
		v = &e.value
		for _, n := range s.at {
			if v.kind != arrayKind || n > len(v.items) {
				return nil
			}
			v = &v.items[n-1]
		}
		t = nil
		if v.kind == tableKind {
			t = v.table
		}
	}
	return v
}
