package main

import (
	_ "embed"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/compensate/jobfile"
	"wornway/profile/length"
)

//go:embed jobs/shaft.toml
var demoJob []byte

// newJob returns the text of a job file, and what to say of it once it is written.
func newJob(o *newOptions) (text []byte, next string, err error) {
	if o.demo {
		return demoJob, "it is an invented shaft for the demonstration lathe", nil
	}
	if o.unit == "" {
		return nil, "", refuse.Usage("--unit in or --unit mm? It holds for every length in the file",
			"for instance: wornway new --job shaft.toml --unit in")
	}
	return []byte(jobfile.Template(units[o.unit], nil)), "fill it in with an editor", nil
}

// units are the units that a file may be in, by name.
var units = map[string]length.Unit{"in": length.Inch, "mm": length.Millimetre}
