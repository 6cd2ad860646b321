// Package ask is the conversation of new and of record.
//
// Record opens a Recording, which takes a survey station by station and writes each step into the profile before it
// asks on. It is led from outside: Turn says what stands before the person, Answer takes what he says. Talk leads it
// at a terminal or through a pipe. Asking fills in a new profile. What an answer does to the text is profile/entry's.
package ask
