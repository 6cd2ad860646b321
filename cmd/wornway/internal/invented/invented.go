// Package invented holds the demonstration lathe and a shaft to be turned on it. Both are made up: no such machine
// exists, and nobody measured its numbers.
package invented

import _ "embed"

// Lathe is the profile of the demonstration lathe.
//
//go:embed lathes/demo.toml
var Lathe []byte

// Shaft is the job file of a shaft for it.
//
//go:embed jobs/shaft.toml
var Shaft []byte
