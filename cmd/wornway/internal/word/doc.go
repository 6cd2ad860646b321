// Package word writes numbers as people on a shop floor read them.
//
// Units is what to use first: it writes lengths, given in mm, in the unit of a file: positions, diameters, small errors
// and their ±. Beside it stand counts, fractions of a division, probabilities and lists. What is said with them is no
// matter of this package, and nothing is calculated here but the rounding.
package word
