// Package bend calculates how work bends: how far a shaft gives where the tool pushes it, what shape a held end that is
// moved forces on it, and how hard a finishing cut pushes.
//
// [Shaft] is what to use first: its sections and what holds it; [Shaft.Solve] gives a [Beam], which answers for any
// place and any place of the force. [Material] and [Radial] give the force where nobody has measured it, [Collars]
// where somebody has cut two collars to find out, and [Pushed] how much is left uncut.
//
// Lengths are mm, forces N, moduli N/mm². The shaft is round, slender and elastic (Euler and Bernoulli): shear, its
// own weight, the bore of a hollow one and the give of centres and steady are left out.
//
// # Where the formulas come from
//
// "Derived" means from the geometry, in the comment beside it, held by a test against an independent calculation.
//
//   - how work bends (compensate/bend/solve.go, beam.go): derived, by the unit-load method; tested against handbook
//     cases, element stiffnesses and the integral of M²/EI.
//   - force of a cut (compensate/bend/material.go, force.go): Kienzle, constants by VDI 3323 from a toolmaker's
//     catalogue, moduli from memory; two collars: derived, tested against a cut that settles.
//   - what a cut leaves that the work bends away from (bend/pushed.go): derived: force and give settle; tested by
//     putting it in again.
package bend
