package main

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/guide"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/show"
)

const exitStatus = `Exit status:
  0  done
  1  refused or failed; standard error says where, what and how to put it right
  2  wrong usage
` + "  3  done, but the work as asked cannot be held: with a stated ± when the probability of holding the tolerance " +
	"is under 95 %, without one when the computed spread exceeds it\n"

// helpWidth is how wide a help is on a terminal of a width, 0 where it is not known.
func helpWidth(terminal int) int {
	const usual, least, widest = 80, 40, 100
	if terminal <= 0 {
		return usual
	}
	return min(max(terminal, least), widest)
}

// layOutHelp wraps the help of every command at so many characters, when it is asked for, and puts the exit status at
// its end.
func layOutHelp(root *cobra.Command, width int) {
	usage := root.UsageTemplate()
	for _, flags := range []string{".LocalFlags", ".InheritedFlags"} {
		usage = strings.ReplaceAll(usage, flags+".FlagUsages", fmt.Sprintf("%s.FlagUsagesWrapped %d", flags, width))
	}
	root.SetUsageTemplate(usage)
	help := root.HelpFunc()
	root.SetHelpFunc(func(c *cobra.Command, args []string) {
		if c == root || c.Parent() == root { // the library's own, of completion, are laid out already
			c.Long = wrapped(c.Long, width)
		}
		var b bytes.Buffer
		out := root.OutOrStdout()
		c.SetOut(&b)
		help(c, args)
		c.SetOut(out)
		_, _ = io.WriteString(out, show.Fold(env.Shown(b.String()), width))
	})
	root.SetHelpTemplate(root.HelpTemplate() + "\n{{if not .HasParent}}" + topicList() + "\n{{end}}" + exitStatus)
}

// wrapped breaks a text into lines of at most width characters. Lines that follow each other are one paragraph; those
// that are indented stay as they are.
func wrapped(text string, width int) string {
	var out, paragraph []string
	flush := func() {
		out = append(out, show.Fill(strings.Join(paragraph, " "), width, "")...)
		paragraph = nil
	}
	for l := range strings.SplitSeq(text, "\n") {
		if l != "" && !strings.HasPrefix(l, " ") {
			paragraph = append(paragraph, l)
			continue
		}
		flush()
		out = append(out, l)
	}
	flush()
	return strings.Join(out, "\n")
}

// topicList names the pages of the guide, one to a line.
func topicList() string {
	var b strings.Builder
	b.WriteString("More to read, by wornway help TOPIC:\n")
	for _, t := range guide.Topics() {
		fmt.Fprintf(&b, "  %-12s  %s\n", t.Name, t.About)
	}
	return b.String()
}

// newHelp is the command help: it refuses a command that does not exist. A page of the guide is so many characters
// wide.
func newHelp(width int) *cobra.Command {
	return &cobra.Command{
		Use:   "help [command or topic]",
		Short: "Show the help of a command, or a page of the guide",
		Long: "Help shows the help of a command, as its flag --help does, or a page of the\n" +
			"guide. Where both have the name, the page follows the command's help.\n\n" + topicList(),
		RunE: func(c *cobra.Command, args []string) error {
			found, rest, err := c.Root().Find(args)
			command := err == nil && len(rest) == 0
			if command {
				found.InitDefaultHelpFlag()
				found.InitDefaultVersionFlag()
				if err := found.Help(); err != nil {
					return err
				}
			}
			topic, known := guide.Find(strings.Join(args, " "))
			if !known {
				if !command {
					return noCommand(c.Root(), strings.Join(args, " "))
				}
				return nil
			}
			if command {
				fmt.Fprintln(c.OutOrStdout())
			}
			_, err = io.WriteString(c.OutOrStdout(), topic.Text(width, env.Shown))
			return err
		},
		ValidArgsFunction: func(c *cobra.Command, args []string, _ string) ([]cobra.Completion,
			cobra.ShellCompDirective) {
			var names []cobra.Completion
			for _, k := range c.Root().Commands() {
				if k.IsAvailableCommand() && len(args) == 0 {
					names = append(names, cobra.CompletionWithDesc(k.Name(), k.Short))
				}
			}
			for _, t := range guide.Topics() {
				if len(args) == 0 && !slices.ContainsFunc(names, func(n cobra.Completion) bool {
					return strings.HasPrefix(n, t.Name+"\t")
				}) {
					names = append(names, cobra.CompletionWithDesc(t.Name, t.About))
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
