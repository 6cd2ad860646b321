package refuse

import "errors"

// UsageError is a command line that cannot be understood.
type UsageError struct {
	Message, Hint string
}

func (u UsageError) Error() string { return u.Message }

// Refusal is a fault with what to do about it.
type Refusal struct {
	Message, Hint string
}

func (r Refusal) Error() string { return r.Message }

// ErrNotHeld says that the answer was given, and is no.
var ErrNotHeld = errors.New("the work as asked cannot be held")
