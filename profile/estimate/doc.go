// Package estimate makes one estimate of a bed's wear out of any number of surveys.
//
// [Estimate] takes the equations that package survey makes of readings and returns a wear.Wear with its full
// covariance, how each survey agrees with it, and what no reading determines. Everything is one linear model: the
// curves' values at knots, the bed's twist, the spindle's lean and what each survey leaves open are unknown, readings
// are weighted sums of them with a standard uncertainty. What is known beforehand is weak and written down in prior.go:
// wear is smooth, there is none where the ways are unworn, and little on the tailstock ways. How strong and how smooth
// it is, is not taken as known but averaged over (average.go). Lengths are mm, angles radians.
//
// Source of the method: Gaussian process regression with explicit basis functions, C. E. Rasmussen and C. K. I.
// Williams, Gaussian Processes for Machine Learning (2006), section 2.7, from memory; the sums are derived here.
package estimate
