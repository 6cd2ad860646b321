// Package testcut answers how a turned part compares with its prediction: one cut, the features of a job's part, and
// several cuts from which a cause is to be found.
//
// # A cut beside its prediction
//
// check takes its prediction from the same Curve as predict. The measured differences share the measurement that they
// are differences to, and the push-off where held_at allows for it; the predicted ones share the wear. Both covariances
// go into one chi-square (accord.Test), which does not depend on where the dial was set. A straight taper, one wrong
// collar, push-off and a bend are each left free in turn, and named only where that alone makes the rest agree. A cut
// that the profile holds already is taken out of it first, or it would speak for itself. --add writes through
// document.AppendTable and disk.Replace, after the new text has been read and estimated from. The ± before is
// calculated with the spindle's lean open as it is after: before a cut in the spindle was surveyed, the lean is in no
// ±.
package testcut
