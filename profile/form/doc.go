// Package form reads the keys of the project's files: a lathe's profile and a job file alike.
//
// A [Reader] asks a [document.Table] for numbers, lengths and choices, turns lengths into mm and notes what is wrong,
// with the hint that the key's own description gives; reading goes on, so that all faults are told at once. A [Key]
// describes one key for hints, templates and the README. What the keys mean is for the packages that read with it.
package form
