// Package document reads the files that a person writes by hand, and tells that person everything that is wrong with
// them.
//
// Use Parse first. It gives a Document, whose Root is a Table; the table's accessors (Number, Text, Rows, Table, …)
// hand out values together with their positions. Nothing stops at the first fault: accessors note what is wrong, report
// "not ok" and go on, and Document.Faults gives the whole list at the end, in the order of the file, each with file,
// line, column, key and, where there is one, a hint how to mend it. A key that no accessor asked for is reported as
// unknown, with the nearest key that is known there.
//
// ReadRows reads rows from CSV into the same Rows that Table.Rows gives for rows written in the TOML file.
//
// Document.Set, Append, Remove and AppendTable change the text of a TOML file and leave every other byte of it alone:
// comments, order, spacing and line ends stay as their writer left them.
//
// Numbers are always finite: nan, inf, and numbers too large for a float64 are faults. Lines and columns count from 1,
// columns in characters.
//
// What a key means, and whether a number is possible there, is for the caller to judge; so are units. The package reads
// no files itself.
package document
