// Package shop is the lathe as it stands in the shop: a profile with its wear estimated, and a part held on it.
//
// Bench is what to use first: a profile, the machine that is calculated with, what was estimated of its wear, and the
// unit in which people are told of it. Part is a job's part as it lies on a bench. Values come from here; what is said
// of them is package say's, and which flags ask for them package flags'.
//
// # Where the formulas come from
//
// "Derived" means from the geometry, in the comment beside it, held by a test against an independent calculation.
//
//   - lean of a spindle that is called usual (internal/shop/usual.go): 0.02 mm over 300 mm, from a textbook's table of
//     what normal lathes are allowed.
package shop
