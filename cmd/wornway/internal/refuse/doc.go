// Package refuse holds the ways in which a command ends without an answer, or with the answer no.
//
// Usage is for a command line that cannot be understood, With for everything else that a person can mend; both carry a
// hint on how. ErrNotHeld says that the answer was given. Faults in a file are document.Faults, which know their line.
package refuse

// Usage refuses a command line; hint says what to write instead.
func Usage(message, hint string) UsageError { return UsageError{message, hint} }

// With refuses with a message and what to do about it.
func With(message, hint string) Refusal { return Refusal{message, hint} }
