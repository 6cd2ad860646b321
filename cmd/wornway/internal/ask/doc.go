// Package ask is the conversation of new and of record, on a terminal or through a pipe.
//
// Asking fills in a new profile; Recording takes a survey station by station and writes each step into the profile
// before it asks on. What an answer does to the text is profile/entry's.
package ask
