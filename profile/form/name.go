package form

import (
	"fmt"
	"unicode/utf8"

	"wornway/profile/document"
)

// longestName is how many characters a name may have: more than anybody gives one, and as many as a small card has room
// for.
const longestName = 200

// NameFault says what is wrong with a name and how it is mended; both are empty where nothing is.
func NameFault(name string) (message, hint string) {
	n := utf8.RuneCountInString(name)
	if n <= longestName {
		return "", ""
	}
	return fmt.Sprintf("is a name of %d characters, and %d are the most", n, longestName),
		"shorten it; a comment has room for the rest"
}

// Name reads a name. One that is too long is a fault.
func (r *Reader) Name(t *document.Table, key string) (string, bool) {
	v, ok := t.Text(key)
	if message, hint := NameFault(v.V); message != "" {
		t.Fault(key, hint, "%s", message)
		return "", false
	}
	return v.V, ok
}
