package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/refuse"
)

const exitStatus = `Exit status:
  0  done
  1  refused or failed; standard error says where, what and how to put it right
  2  wrong usage
  3  done, but the work as asked cannot be held: with a stated ± when the
     probability of holding the tolerance is under 95 %, without one when the
     computed spread exceeds it
`

// layOutHelp fits the help of every command to the terminal's width, 0 where it is not known, and puts the exit status
// at its end.
func layOutHelp(root *cobra.Command, width int) {
	const usual, least, widest = 80, 40, 100
	if width <= 0 {
		width = usual
	}
	width = min(max(width, least), widest)
	for _, c := range append(root.Commands(), root) {
		c.Long = wrapped(c.Long, width)
	}
	usage := root.UsageTemplate()
	for _, flags := range []string{".LocalFlags", ".InheritedFlags"} {
		usage = strings.ReplaceAll(usage, flags+".FlagUsages", fmt.Sprintf("%s.FlagUsagesWrapped %d", flags, width))
	}
	root.SetUsageTemplate(usage)
	root.SetHelpTemplate(root.HelpTemplate() + "\n" + exitStatus)
}

// wrapped breaks a text into lines of at most width characters. Lines that follow each other are one paragraph; those
// that are indented stay as they are.
func wrapped(text string, width int) string {
	var out []string
	line := ""
	flush := func() {
		if line != "" {
			out = append(out, line)
		}
		line = ""
	}
	for _, l := range strings.Split(text, "\n") {
		if l == "" || strings.HasPrefix(l, " ") {
			flush()
			out = append(out, l)
			continue
		}
		for _, word := range strings.Fields(l) {
			switch {
			case line == "":
				line = word
			case len([]rune(line))+1+len([]rune(word)) <= width:
				line += " " + word
			default:
				out = append(out, line)
				line = word
			}
		}
	}
	flush()
	return strings.Join(out, "\n")
}

// newHelp is the command help: it refuses a command that does not exist.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [command]",
		Short: "Show the help of a command",
		Long:  "Help shows the help of a command, as its flag --help does.",
		RunE: func(c *cobra.Command, args []string) error {
			found, rest, err := c.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return noCommand(c.Root(), strings.Join(args, " "))
			}
			found.InitDefaultHelpFlag()
			found.InitDefaultVersionFlag()
			return found.Help()
		},
		ValidArgsFunction: func(c *cobra.Command, args []string, _ string) ([]cobra.Completion,
			cobra.ShellCompDirective) {
			var names []cobra.Completion
			for _, k := range c.Root().Commands() {
				if k.IsAvailableCommand() && len(args) == 0 {
					names = append(names, cobra.CompletionWithDesc(k.Name(), k.Short))
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
	}
}

// addCompletion adds the command that writes a shell's completion script; it refuses a shell that it does not know.
func addCompletion(root *cobra.Command) {
	root.InitDefaultCompletionCmd()
	for _, c := range root.Commands() {
		if c.Name() != "completion" {
			continue
		}
		c.Short = "Write the completion script of a shell"
		c.Args = func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			var shells []string
			for _, s := range c.Commands() {
				shells = append(shells, s.Name())
			}
			return refuse.Usage(fmt.Sprintf("there is no completion for %q", args[0]),
				"there is one for each of "+strings.Join(shells, ", "))
		}
		c.RunE = func(c *cobra.Command, _ []string) error { return c.Help() }
	}
}
