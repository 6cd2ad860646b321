// Package steady makes property tests draw the same cases in every ordinary run, so that one fails for the change that
// breaks it and not on another day. Test files import it for that effect alone; -rapid.seed 0 draws other cases.
package steady

import (
	"flag"
	"strconv"
	"testing"

	_ "pgregory.net/rapid" // whose flags must be there before
)

const seed = "20261129"

func init() {
	if f := flag.Lookup("rapid.seed"); f.Value.String() == "0" { // nor has RAPID_SEED set another
		if err := f.Value.Set(seed); err != nil {
			panic(err)
		}
	}
}

// Some makes the properties of a test try so many cases and not the usual number, unless -rapid.checks says how many.
func Some(t testing.TB, cases int) {
	t.Helper()
	f := flag.Lookup("rapid.checks")
	if f.Value.String() != f.DefValue {
		return
	}
	if err := f.Value.Set(strconv.Itoa(cases)); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = f.Value.Set(f.DefValue) })
}
