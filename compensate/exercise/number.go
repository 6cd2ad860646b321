package exercise

import (
	"fmt"
	"strconv"
	"strings"
)

// Number names an exercise: its seed and its level, 1 to [Hardest].
type Number struct {
	Seed  uint64
	Level int
}

// Hardest is the highest level. 1: one cause, well marked, and everything read that tells it. 2: one cause of usual
// strength or none, and only two cuts, which need not be enough. 3: two causes together, or a weak one, and everything
// read.
const Hardest = 3

// ParseNumber reads "417-2", or "417", whose level is then the other one given; 0: level 1.
func ParseNumber(s string, level int) (Number, error) {
	seed, tail, has := strings.Cut(strings.TrimSpace(s), "-")
	n := Number{Level: max(level, 1)}
	var err error
	if n.Seed, err = strconv.ParseUint(seed, 10, 32); err != nil {
		return n, fmt.Errorf("%q is not the number of an exercise, which is like 417 or 417-2", s)
	}
	if has {
		own, err := strconv.Atoi(tail)
		if err != nil {
			return n, fmt.Errorf("%q is not the number of an exercise, which is like 417 or 417-2", s)
		}
		if level > 0 && own != level {
			return n, fmt.Errorf("%q is of level %d, not %d", s, own, level)
		}
		n.Level = own
	}
	if n.Level < 1 || n.Level > Hardest {
		return n, fmt.Errorf("there is no level %d: levels go from 1 to %d", n.Level, Hardest)
	}
	return n, nil
}

func (n Number) String() string { return fmt.Sprintf("%d-%d", n.Seed, n.Level) }
