package work

import "fmt"

// Held is a way of holding work.
type Held string

// The ways of holding work.
const (
	Chuck          Held = "chuck"            // in the jaws alone, the other end free
	ChuckAndCentre Held = "chuck-and-centre" // in the jaws, the other end on the tailstock's centre
	Centres        Held = "centres"          // between the headstock's centre and the tailstock's, driven by a dog
)

// AllHeld lists the ways of holding work.
func AllHeld() []Held { return []Held{Chuck, ChuckAndCentre, Centres} }

// ParseHeld returns the way of that name.
func ParseHeld(name string) (Held, error) {
	for _, h := range AllHeld() {
		if string(h) == name {
			return h, nil
		}
	}
	return "", fmt.Errorf("%q is no way of holding work", name)
}

// Words says the way of holding as one would at the machine.
func (h Held) Words() string {
	switch h {
	case ChuckAndCentre:
		return "in the chuck and on the tailstock's centre"
	case Centres:
		return "between centres"
	}
	return "in the chuck"
}

// Tailed says whether the tailstock's centre carries the far end.
func (h Held) Tailed() bool { return h != Chuck }

// Gripped says whether jaws hold the near end.
func (h Held) Gripped() bool { return h != Centres }
