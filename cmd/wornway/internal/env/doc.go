// Package env is what a command works with: streams, clock, files that are read and answers that are written.
//
// Env reads profiles and jobs, remembers what it has read so that no answer replaces it, and writes a show.Report as
// Output asks for it. What is in a file, and what is said of it, is no matter of this package.
package env
