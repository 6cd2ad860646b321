// Package setup puts a part on a lathe: where it lies, how it is held, the axis about which it then turns, how it bends
// under the cut, and which of its features can be turned so.
//
// [Lathe.Set] is what to use: it takes a job and a [Setup] and gives a [Mounting], from which [Mounting.Curve] gives
// the error curve of a feature as package compensate has it. What cannot be so, such as a part that hangs out too far,
// is a [Refusal].
//
// Lengths are mm, forces newtons. It leaves out the weight of the work, the give of centres, tailstock and steady, and
// heat.
package setup
