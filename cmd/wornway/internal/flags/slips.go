package flags

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/profile"
)

// Slips is which slips with surveys are taken to have been made: each a survey's number and the slip's name, as in
// 3:sign; wear:sign for the stated drops of [wear].
type Slips []shop.Slip

// String implements pflag.Value.
func (f *Slips) String() string {
	var out []string
	for _, s := range *f {
		out = append(out, s.String())
	}
	return strings.Join(out, ",")
}

// Set implements pflag.Value.
func (f *Slips) Set(text string) error {
	for one := range strings.SplitSeq(text, ",") {
		number, name, found := strings.Cut(strings.TrimSpace(one), ":")
		n, err := strconv.Atoi(number)
		if number == "wear" {
			n, err = profile.StatedDrops, nil
		} else if n < 1 {
			found = false
		}
		if !found || err != nil || name == "" {
			return errors.New("must be a survey's number and a slip, as in 3:sign; wear names them")
		}
		for _, s := range *f {
			if s.Number == n {
				if n == profile.StatedDrops {
					return errors.New("only one slip can be undone with [wear]")
				}
				return fmt.Errorf("only one slip can be undone with survey %d", n)
			}
		}
		*f = append(*f, shop.Slip{Number: n, Name: name})
	}
	return nil
}

// Type implements pflag.Value.
func (f *Slips) Type() string { return "slip" }

func (f *Slips) Flags(to *pflag.FlagSet) {
	to.Var(f, "accept-slip", "calculate as if a survey's slip had not been made, as in 3:sign (wear says which would "+
		"fit)")
}

// Undo takes the slips out of a profile's surveys.
func (f Slips) Undo(p *profile.Profile) error {
	for _, s := range f {
		var none profile.SlipError
		switch err := p.AcceptSlip(s.Number, s.Name); {
		case errors.As(err, &none):
			return refuse.Usage(fmt.Sprintf("--accept-slip %v: %s", s, none.What), none.Hint)
		case err != nil:
			return err
		}
	}
	return nil
}
