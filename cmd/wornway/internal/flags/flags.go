package flags

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"wornway/cmd/wornway/internal/refuse"
	"wornway/profile/length"
)

// Need refuses a command line that lacks one of the flags.
func Need(c *cobra.Command, names ...string) error {
	var missing []string
	for _, n := range names {
		if !c.Flags().Changed(n) {
			missing = append(missing, "--"+n)
		}
	}
	if len(missing) == 0 {
		return nil
	}
	return refuse.Usage("still needed: "+strings.Join(missing, ", "), "for instance: wornway "+c.Name()+" "+
		c.Annotations["instance"])
}

// Lengths that no lathe has to do with, mm: they come of a slip, or of a wrong unit.
const (
	Longest  = 1e5
	Thinnest = 1e-3
)

// Sane refuses a length that no lathe has.
func Sane(flag string, l *length.Length, u length.Unit) error {
	if math.Abs(l.MM(u)) <= Longest {
		return nil
	}
	return refuse.Usage(fmt.Sprintf("--%s %s: is longer than any lathe", flag, l.String()),
		"check the number and its unit; without one it counts in the file's, which is "+u.String())
}

// Thick refuses a diameter that nobody turns; what is not above zero is refused elsewhere.
func Thick(diameter *length.Length, u length.Unit) error {
	if d := diameter.MM(u); d > 0 && d < Thinnest {
		return refuse.Usage(fmt.Sprintf("--diameter %s: is thinner than anything that is turned", diameter.String()),
			"check the number and its unit; without one it counts in the file's, which is "+u.String())
	}
	return nil
}

// Degrees is an angle as a person typed it.
type Degrees float64

func (d *Degrees) Set(s string) error {
	v, err := length.ParseNumber(strings.TrimSuffix(strings.TrimSpace(s), "°"))
	if err == nil {
		*d = Degrees(v)
	}
	return err
}

func (d *Degrees) String() string { return strconv.FormatFloat(float64(*d), 'g', -1, 64) }

// Type names the kind of value in a command's help.
func (d *Degrees) Type() string { return "degrees" }

// Spelling lets a flag be spelt the American way too.
func Spelling(_ *pflag.FlagSet, name string) pflag.NormalizedName {
	return pflag.NormalizedName(strings.ReplaceAll(name, "center", "centre"))
}

// OneProfile is the argument of a command that works on one profile.
func OneProfile(c *cobra.Command, args []string) error {
	switch len(args) {
	case 1:
		return nil
	case 0:
		return refuse.Usage("which profile? Give its file, or - for standard input",
			c.CommandPath()+" --help shows examples")
	}
	hint := "values belong to flags, such as --from 4in"
	if _, err := length.ParseUnit(args[1]); err == nil {
		hint = "a number and its unit stand together, without a blank: 4" + args[1]
	} else if f := c.Flags().Lookup("csv"); f != nil && f.Changed {
		hint = "a table's name is joined to its flag: --csv=" + args[1]
	}
	return refuse.Usage(fmt.Sprintf("one profile at a time: %q is too much", args[1]), hint)
}
