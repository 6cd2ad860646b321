// Package blank draws the sheets that a survey is written on: what is set up how, where the stations are, what is
// expected, and room for every reading.
package blank
