package command

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// manual writes a manual page a command, for packagers; it is hidden, as nobody at a tank needs it.
func (p *Program) manual() *cobra.Command {
	var folder string
	c := &cobra.Command{
		Use:    "manual",
		Short:  "Write the manual pages into a folder",
		Hidden: true,
		Args:   cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return p.writePages(c.Root(), folder)
		},
	}
	c.Flags().StringVar(&folder, "out", "man", "folder for the pages")
	return c
}

func (p *Program) writePages(c *cobra.Command, folder string) error {
	if c.Hidden || c.Name() == "help" || c.Name() == "completion" {
		return nil
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("writing manual pages: %w", err)
	}
	name := strings.ReplaceAll(c.CommandPath(), " ", "-") + ".1"
	if err := os.WriteFile(filepath.Join(folder, name), []byte(page(c, p.Version)), 0o644); err != nil {
		return fmt.Errorf("writing manual pages: %w", err)
	}
	for _, sub := range c.Commands() {
		if err := p.writePages(sub, folder); err != nil {
			return err
		}
	}
	return nil
}

// page is the manual page of one command in the man macros of troff.
func page(c *cobra.Command, version string) string {
	var b strings.Builder
	name := strings.ReplaceAll(c.CommandPath(), " ", "-")
	fmt.Fprintf(&b, ".TH %s 1 \"\" \"tankhand %s\"\n.SH NAME\n%s \\- %s\n", strings.ToUpper(roff(name)), roff(version), roff(name), roff(c.Short))
	fmt.Fprintf(&b, ".SH SYNOPSIS\n.B %s\n", roff(c.UseLine()))
	if c.Long != "" {
		fmt.Fprintf(&b, ".SH DESCRIPTION\n%s\n", roff(c.Long))
	}
	options(&b, "OPTIONS", c.NonInheritedFlags())
	options(&b, "OPTIONS OF ALL COMMANDS", c.InheritedFlags())
	if c.Example != "" {
		fmt.Fprintf(&b, ".SH EXAMPLES\n.nf\n%s\n.fi\n", roff(c.Example))
	}
	if related := seeAlso(c); related != "" {
		fmt.Fprintf(&b, ".SH SEE ALSO\n%s\n", related)
	}
	return b.String()
}

func options(b *strings.Builder, title string, flags *pflag.FlagSet) {
	if !flags.HasAvailableFlags() {
		return
	}
	fmt.Fprintf(b, ".SH %s\n", title)
	flags.VisitAll(func(f *pflag.Flag) {
		if f.Hidden {
			return
		}
		kind, usage := pflag.UnquoteUsage(f)
		fmt.Fprintf(b, ".TP\n\\fB%s\\fR %s\n%s\n", roff("--"+f.Name), roff(kind), roff(usage))
	})
}

func seeAlso(c *cobra.Command) string {
	var names []string
	if c.HasParent() {
		names = append(names, c.Parent().CommandPath())
	}
	for _, sub := range c.Commands() {
		if !sub.Hidden && sub.Name() != "help" && sub.Name() != "completion" {
			names = append(names, sub.CommandPath())
		}
	}
	for i, n := range names {
		names[i] = roff(strings.ReplaceAll(n, " ", "-")) + "(1)"
	}
	return strings.Join(names, ", ")
}

// roff escapes text: a backslash, a hyphen that is to stay one, and a dot or quote that begins a line.
func roff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(s)
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = `\&` + l
		}
	}
	return strings.Join(lines, "\n")
}
