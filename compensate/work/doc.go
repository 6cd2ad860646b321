// Package work says what is to be turned: a [Job] of one or more [Feature]s, each a length with a diameter and what is
// asked of it, and the [Part] that they belong to: its stock, how it may be held and how it is cut.
//
// It knows neither lathe nor wear. Lengths are mm, forces newtons. How the work bends and about which axis it turns
// belong to the packages above.
//
// # Where the formulas come from
//
// "Derived" means from the geometry, in the comment beside it, held by a test against an independent calculation.
//
//   - limits of a fit (compensate/work/fits.go, fit_tables.go): ISO 286 through secondary copies, by tables to 500 mm,
//     each with its source; grade 12 over 315 mm and M6 over 250 to 315 are from memory, and marked (Fit.FromMemory);
//     tested against printed examples and the standard's formulas.
//   - runout of one set-up to another (work/runout.go, plan/runout.go): limits by way of holding: common practice, no
//     source; half of the reading is the eccentricity, drawn as likely up to it; tested against parts made one by one
//     under an indicator.
package work
