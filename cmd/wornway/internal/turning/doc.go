// Package turning answers what a length comes out like: predicted (Predict), corrected by the dial (Correction), at its
// best place (PlaceReport), and step by step (Explanation); of one length, and of the features of a part.
//
// An answer here is a show.Report, with tables, sentences and JSON made from the same values of package compensate.
// Which length is asked for is package flags' matter.
package turning
