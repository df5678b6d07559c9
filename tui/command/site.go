package command

import (
	"bufio"
	"fmt"
	"os"
	"strings"

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
	c := &cobra.Command{Use: "new", Short: "Write a commented site sheet; on a terminal it asks the few questions that matter", Args: cobra.NoArgs,
		Example: "  tankhand site new --out tank.yaml",
		RunE: func(*cobra.Command, []string) error {
			text := []byte(site.Template)
			if p.onTerminal() && out != "" {
				text = p.askSheet(bufio.NewScanner(p.In))
			}
			return p.writeNew(out, text)
		}}
	c.Flags().StringVar(&out, "out", "", "file to write, which must not exist; standard output when not given")
	return c
}

// askSheet fills a sheet in by its questions; an empty answer leaves a fact out, and the end of the
// input ends the asking with what there is.
func (p *Program) askSheet(in *bufio.Scanner) []byte {
	fmt.Fprintln(p.Out, "An empty answer leaves a fact out: the sheet can be filled in later, and says what each is for.")
	text, asked := p.askShape(in), map[string]bool{}
	for {
		sheet, err := site.Parse("new sheet", text)
		if err != nil {
			return text
		}
		q, ok := nextQuestion(sheet, asked)
		if !ok {
			return text
		}
		asked[q.Path] = true
		for {
			fmt.Fprintf(p.Out, "%s (%s): ", q.Ask, q.Help)
			if !in.Scan() {
				fmt.Fprintln(p.Out)
				return text
			}
			answer := strings.TrimSpace(in.Text())
			if answer == "" {
				break
			}
			next, err := site.Amend("new sheet", text, q.Path, answer)
			if err == nil {
				text = next
				break
			}
			fmt.Fprintln(p.Out, " ", err)
		}
	}
}

// askShape begins with the shape of the tank: what else is asked hangs on it.
func (p *Program) askShape(in *bufio.Scanner) []byte {
	for {
		fmt.Fprint(p.Out, "Shape of the tank (vertical cylinder, box, horizontal cylinder, sphere, cone bottom, dished bottom; empty: vertical cylinder): ")
		if !in.Scan() || strings.TrimSpace(in.Text()) == "" {
			return []byte(site.Template)
		}
		text, err := site.TemplateFor(strings.TrimSpace(in.Text()))
		if err == nil {
			return []byte(text)
		}
		fmt.Fprintln(p.Out, " ", err)
	}
}

func nextQuestion(sheet *site.Sheet, asked map[string]bool) (site.Question, bool) {
	for _, q := range site.Questions(sheet) {
		if !asked[q.Path] {
			return q, true
		}
	}
	return site.Question{}, false
}

// writeNew writes a file that must not be there yet.
func (p *Program) writeNew(out string, text []byte) error {
	if out == "" {
		_, err := p.Out.Write(text)
		return err
	}
	f, err := os.OpenFile(out, os.O_CREATE|os.O_WRONLY|os.O_EXCL, 0o600)
	if err != nil {
		return fmt.Errorf("writing the site sheet: %w", err)
	}
	if _, err := f.Write(text); err != nil {
		f.Close()
		return fmt.Errorf("writing the site sheet to %s: %w", out, err)
	}
	fmt.Fprintln(p.Err, "written:", out)
	return f.Close()
}

func (p *Program) siteCheck() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{Use: "check F", Short: "Check a site sheet: the facts derived from it and the desk checks", Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			sheet, err := readSheet(args[0])
			if err != nil {
				return err
			}
			findings := diagnostics.DeskIn(sheet, p.system())
			if asJSON {
				err = survey.WriteDeskJSON(p.Out, sheet, findings)
			} else {
				err = (survey.Page{Units: p.system()}).WriteDesk(p.Out, sheet, findings)
			}
			if err != nil {
				return err
			}
			return done(survey.Status(findings))
		}}
	c.Flags().BoolVar(&asJSON, "json", false, "print the document tankhand/site-check/1")
	return c
}
