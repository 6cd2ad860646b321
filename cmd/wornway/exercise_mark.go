package main

import (
	"wornway/cmd/wornway/internal/classroom"
	"wornway/cmd/wornway/internal/env"
)

// markClass marks the answers in a file.
func markClass(e *env.Env, o *exerciseOptions) error {
	const wanted = "a CSV file with the columns name, seed, cause"
	data, err := e.Contents(o.mark, wanted, wanted)
	if err != nil {
		return err
	}
	all, err := classroom.ReadAnswers(o.mark, data, o.level)
	if err != nil {
		return err
	}
	defer e.Progress("marking")()
	r, err := classroom.Marked(all)
	if err != nil {
		return err
	}
	return e.Emit(o.out, r, "marks")
}
