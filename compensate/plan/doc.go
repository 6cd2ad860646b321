// Package plan looks for the best way to make a part: on which lathe, how held, where along the bed, which end first,
// how brought to size, and with what dialled.
//
// [Search] is what to use. Every way that the lathes allow is looked at in closed form on a grid of positions, the best
// position of each kind is refined, and the most promising are then drawn at random with everything that is not known:
// the wear, the push of the cut, the tailstock's alignment, the dial and the measuring. All features of a part count
// together, as they share the bed.
//
// Lengths are mm, on diameter where they are errors of work. It leaves out what package setup leaves out, and how true
// two features turned in different set-ups run to each other.
package plan
