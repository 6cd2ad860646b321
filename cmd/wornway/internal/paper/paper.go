package paper

import (
	"fmt"
	"strings"
)

// Paper is a size of paper, mm, upright.
type Paper struct {
	Name          string
	Width, Height float64
}

// Papers lists the sizes known, cards first.
func Papers() []Paper {
	const inch = 25.4
	return []Paper{{"a6", 105, 148}, {"4x6", 4 * inch, 6 * inch}, {"a5", 148, 210},
		{"half-letter", 5.5 * inch, 8.5 * inch}, {"a4", 210, 297}, {"letter", 8.5 * inch, 11 * inch}}
}

// ParsePaper returns the size of that name; the error lists those known.
func ParsePaper(name string) (Paper, error) {
	var names []string
	for _, p := range Papers() {
		if p.Name == strings.ToLower(name) {
			return p, nil
		}
		names = append(names, p.Name)
	}
	return Paper{}, fmt.Errorf("is no paper known here: %s are", strings.Join(names, ", "))
}

// Across returns the paper laid across.
func (p Paper) Across() Paper {
	p.Width, p.Height = p.Height, p.Width
	return p
}
