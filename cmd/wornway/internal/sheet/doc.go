// Package sheet has what all papers that are printed for the machine share: the document with its day, and its styles.
package sheet
