// Package testcut answers how a turned part compares with its prediction: one cut, the features of a job's part, and
// several cuts from which a cause is to be found.
package testcut
