// Package shop is the lathe as it stands in the shop: a profile with its wear estimated, and a part held on it.
//
// Bench is what to use first: a profile, the machine that is reckoned with, what was estimated of its wear, and the
// unit in which people are told of it. Part is a job's part as it lies on a bench. Values come from here; what is said
// of them is package say's, and which flags ask for them package flags'.
package shop
