package command

import (
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree/survey"
	"example.org/tankhand/livelevel/site"
)

func (p *Program) site() *cobra.Command {
	c := &cobra.Command{Use: "site", Short: "The site sheet: write a commented one, check one"}
	c.AddCommand(p.siteNew(), p.siteCheck())
	return c
}

func (p *Program) siteNew() *cobra.Command {
	var out string
	c := &cobra.Command{Use: "new", Short: "Write a commented site sheet to fill in", Args: cobra.NoArgs,
		Example: "  tankhand site new --out tank.yaml",
		RunE: func(*cobra.Command, []string) error {
			if out == "" {
				_, err := io.WriteString(p.Out, site.Template)
				return err
			}
			f, err := os.OpenFile(out, os.O_CREATE|os.O_WRONLY|os.O_EXCL, 0o600)
			if err != nil {
				return fmt.Errorf("writing the site sheet: %w", err)
			}
			if _, err := io.WriteString(f, site.Template); err != nil {
				f.Close()
				return fmt.Errorf("writing the site sheet to %s: %w", out, err)
			}
			fmt.Fprintln(p.Err, "written:", out)
			return f.Close()
		}}
	c.Flags().StringVar(&out, "out", "", "file to write, which must not exist; standard output when not given")
	return c
}

func (p *Program) siteCheck() *cobra.Command {
	return &cobra.Command{Use: "check F", Short: "Check a site sheet: the facts derived from it and the desk checks", Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			sheet, err := readSheet(args[0])
			if err != nil {
				return err
			}
			findings := diagnostics.Desk(sheet)
			if err := (survey.Page{Units: p.system()}).WriteDesk(p.Out, sheet, findings); err != nil {
				return err
			}
			return done(survey.Status(findings))
		}}
}
