// Package collars works from collars alone: a bar skimmed at one setting of the dial and measured along its length,
// of a lathe of which nothing else is known.
//
// [Parse] reads the table of positions and diameters, [Table.Estimate] makes of it the curve that the tool cut, with
// its covariance. [Estimate.Wear] gives that curve as the wear of a lathe ([Lathe]) whose tool moves sideways just so:
// whatever follows, from the error of a length to what the dial is to be turned, is then calculated as for any profile.
//
// What it leaves out: the tool's drop and height, which collars do not show apart; and whatever lies outside of them.
// Lengths are mm, diameters' errors on diameter.
//
// # Where the formulas come from
//
// "Derived" means from the geometry, in the comment beside it, held by a test against an independent calculation.
//
//   - the tool's path from collars alone (collars/model.go): Gaussian process regression as below, averaged over
//     strength, reach and repeat; how the bar gives, package bar.
package collars
