// Package exercise makes blind exercises in finding what is wrong with a lathe: an invented bed, surveys of it, and
// cuts and readings made since with one or two causes hidden in them, all from a number. The readings come out of the
// same forward models by which package cause explains readings ([cause.Foretell]), with zeros and errors of reading of
// usual size, rounded as they would be noted. [New] makes one, [Exercise.Answer] says what was hidden and what tells it
// from its look-alikes, and [Answer.Mark] judges what a class answered.
//
// The same number gives the same exercise on every machine: whatever is decided is decided on rounded readings, and
// every number is drawn in a fixed order.
package exercise
