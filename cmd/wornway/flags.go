package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"wornway/cmd/wornway/internal/flags"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile/length"
)

// flagError says in plain words what is wrong with a flag, and what to write instead.
func flagError(c *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	var value *pflag.InvalidValueError
	var missing *pflag.ValueRequiredError
	u := refuse.Usage(err.Error(), fmt.Sprintf("%s --help shows the flags and examples", c.CommandPath()))
	switch {
	case errors.As(err, &unknown):
		name := unknown.GetSpecifiedName()
		u.Message = "there is no flag " + dashed(name)
		if all := unknown.GetSpecifiedShortnames(); utf8.RuneCountInString(all) > 1 &&
			c.Flags().Lookup(beforeEqual(all)) != nil {
			u.Hint = "a flag's name has two dashes: --" + beforeEqual(all)
		} else if near := nearFlag(c, name); near != "" {
			u.Hint = "did you mean --" + near + "?"
		}
	case errors.As(err, &value):
		what, hint := wrongValue(value)
		u.Message = fmt.Sprintf("--%s %s: %s", value.GetFlag().Name, word.Visible(value.GetValue()), what)
		if hint != "" {
			u.Hint = hint
		}
	case errors.As(err, &missing):
		u.Message = dashed(missing.GetSpecifiedName()) + " needs a value"
	}
	return u
}

// dashed writes a flag's name, or its letter, as it is given.
func dashed(name string) string {
	if utf8.RuneCountInString(name) == 1 {
		return "-" + name
	}
	return "--" + name
}

func beforeEqual(s string) string {
	name, _, _ := strings.Cut(s, "=")
	return name
}

// wrongValue says what is wrong with a flag's value.
func wrongValue(v *pflag.InvalidValueError) (what, hint string) {
	var l *length.Error
	var number *strconv.NumError
	switch {
	case errors.As(v.Unwrap(), &l):
		return l.What, l.Hint
	case errors.As(v.Unwrap(), &number) && v.GetFlag().Value.Type() == "bool":
		return "must be true or false", "the flag alone means true"
	}
	return v.Unwrap().Error(), ""
}

// nearFlag returns the flag whose name resembles a name most; empty where none does.
func nearFlag(c *cobra.Command, name string) string {
	name = string(flags.Spelling(nil, strings.ToLower(name)))
	best, least := "", 1+min(max(1, len(name)/3), max(0, len(name)-1)) // every letter changed is no resemblance
	c.Flags().VisitAll(func(f *pflag.Flag) {
		if d := levenshtein.ComputeDistance(name, f.Name); d < least {
			best, least = f.Name, d
		}
	})
	return best
}

// noCommand says that there is no command of that name, and which one may have been meant.
func noCommand(root *cobra.Command, name string) error {
	hint := "wornway --help lists the commands, and the topics of wornway help"
	switch near := root.SuggestionsFor(name); {
	case len(near) > 0:
		hint = "did you mean " + strings.Join(near, " or ") + "?"
	case name == "version":
		hint = "wornway --version tells it"
	case strings.HasSuffix(name, ".toml"):
		hint = "a command stands before the profile: wornway show " + name
	}
	return refuse.Usage(fmt.Sprintf("there is no command %q", name), hint)
}
