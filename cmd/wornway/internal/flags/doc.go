// Package flags holds what several commands ask for on the command line: a length and its tool, a job's part and how it
// is held, slips that are to be undone; and what they make of it.
package flags
