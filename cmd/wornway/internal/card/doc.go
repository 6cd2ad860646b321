// Package card draws the correction of a length on paper: as a card for the machine, and as a strip that is true to
// scale along the bed.
package card
