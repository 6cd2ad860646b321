// Package turning answers what a length comes out like: predicted (Predict), corrected by the dial (Correction), at its
// best place (PlaceReport), and step by step (Explanation); of one length, and of the features of a part.
//
// An answer here is a show.Report, with tables, sentences and JSON made from the same values of package compensate.
// Which length is asked for is package flags' matter.
//
// # A job on one lathe
//
// predict, correct and check with --job put the part on the lathe by setup.Lathe.Set (internal/flags/job.go, the place
// by Lathe.Nearest where none is given), and go through its features with the code that serves one length:
// lathe.predict, correction.report, checked.say. Their tables are gathered into one with the column feature; what is
// taken for granted is said once for all (assumeAll). check judges all features at once by compensate.CheckAll, since
// they share the wear. place --job needs no holding: it slides each feature by itself.
package turning
