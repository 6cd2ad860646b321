package card

import "wornway/cmd/wornway/internal/turning"

// Entry is one length or feature with its corrections, to be put on paper.
type Entry struct {
	turning.Correction
	Name    string // of the feature; empty for a length
	How     string // how the work is held, for a job
	Promise string // what is said of a tolerance; empty where none was asked
	Held    bool
}
