// Package paper draws pages that are printed and used at a machine: true to scale, black on white, with text whose
// height is stated as it is measured, in mm of a capital letter or digit.
//
// [New] begins a document of pages of one [Paper]; [Doc.Page] begins each page. Text, lines and pictures count in mm
// from the page's upper left corner. What cannot be printed, such as a character that the font lacks, is kept as the
// document's error and told by [Doc.Output]; nothing is dropped in silence. The same calls give the same bytes.
//
// It knows nothing of lathes, units or what a page says.
package paper
