// Package plan looks for the best way to make a part: on which lathe, how held, where along the bed, which end first,
// how brought to size, and with what dialled.
//
// [Question.Search] is what to use. Every way that the lathes allow is looked at in closed form on a grid of positions,
// the best position of each kind is refined, and the most promising are then drawn at random with everything that is not
// known: the wear, the push of the cut, the tailstock's alignment, the dial and the measuring. All features of a part
// count together, as they share the bed.
//
// Lengths are mm, on diameter where they are errors of work. It leaves out what package setup leaves out, and how true
// two features turned in different set-ups run to each other.
//
// # Where the formulas come from
//
// "Derived" means from the geometry, in the comment beside it, held by a test against an independent calculation.
//
//   - best set-over (plan/strip.go): derived: the range of points in a strip is the upper envelope of straight lines of
//     the set-over; tested against trying every one.
//   - probability that a part is held (plan/evaluate.go, compensate/joint.go): Monte Carlo propagation, JCGM 101;
//     tested against parts made one by one, and one feature against JCGM 106's formula.
package plan
