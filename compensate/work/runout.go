package work

// Jaws say how a chuck finds a part again that is held in it once more.
type Jaws string

// The kinds of jaws.
const (
	ThreeJaw Jaws = "three-jaw" // a scroll chuck, the part just gripped again
	FourJaw  Jaws = "four-jaw"  // independent jaws, the part indicated true
	SoftJaws Jaws = "soft-jaws" // bored in place to the part's diameter
)

// AllJaws lists the kinds of jaws.
func AllJaws() []Jaws { return []Jaws{ThreeJaw, FourJaw, SoftJaws} }

// Words says the jaws as one would at the machine.
func (j Jaws) Words() string {
	switch j {
	case FourJaw:
		return "the four-jaw chuck, the part indicated true"
	case SoftJaws:
		return "soft jaws bored in place"
	}
	return "the three-jaw chuck, the part gripped again"
}

// Limits of the total indicator reading, mm, by which what is turned in one set-up runs out to what was turned in an
// earlier one. Common practice, no source: a scroll chuck repeats to 1 to 3 thou, a part indicated in a four-jaw chuck
// to 0.3 to 0.5 thou, soft jaws bored in place to half a thou, good centres to 0.1 to 0.2 thou. The wider end of each
// is taken.
const (
	threeJawRunout = 0.003 * 25.4
	fourJawRunout  = 0.0005 * 25.4
	softJawsRunout = 0.0005 * 25.4
	centresRunout  = 0.0002 * 25.4
)

// Runs returns within what total indicator reading, mm, a part held once more runs true to what was turned on it
// before: where its near end is held and where its far end is. In the jaws alone the far end is taken to run out as the
// near one. On the tailstock's centre the far end runs true to that centre's hole: turned end for end, the hole lay in
// the jaws before, and is no truer to what was turned then than they hold.
func Runs(h Holding, j Jaws, endForEnd bool) (near, far float64) {
	jaws := map[Jaws]float64{FourJaw: fourJawRunout, SoftJaws: softJawsRunout}[j]
	if jaws == 0 {
		jaws = threeJawRunout
	}
	switch {
	case h == Centres:
		return centresRunout, centresRunout
	case h == ChuckAndCentre && !endForEnd:
		return jaws, centresRunout
	}
	return jaws, jaws
}
