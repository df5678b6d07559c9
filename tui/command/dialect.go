package command

import (
	"context"
	"fmt"
	"io"
	"os"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
)

func (p *Program) dialect() *cobra.Command {
	c := &cobra.Command{Use: "dialect", Short: "How a controller's lines become readings: work a dialect out, list the built-in ones"}
	c.AddCommand(p.dialectLearn(), p.dialectList())
	return c
}

func (p *Program) dialectLearn() *cobra.Command {
	var s source
	var out string
	var length time.Duration
	c := &cobra.Command{
		Use:   "learn",
		Short: "Propose a dialect from a feed",
		Long: "learn listens to a feed, says what each column of it may mean and how sure that is, and writes a\n" +
			"dialect file that a person can read and mend. Exit status 3: not sure enough of the level; mend the\n" +
			"file before it is used.",
		Example: "  tankhand dialect learn --port /dev/ttyUSB0 --out board.yaml\n  tankhand dialect learn --file night.log",
		Args:    cobra.NoArgs,
		RunE:    func(c *cobra.Command, _ []string) error { return p.learn(c.Context(), &s, length, out) },
	}
	s.flags(c)
	c.Flags().StringVar(&out, "out", "", "file to write; standard output when not given")
	c.Flags().DurationVar(&length, "for", 30*time.Second, "how long to listen, in the feed's time (a log: to its end)")
	return c
}

func (p *Program) learn(ctx context.Context, s *source, length time.Duration, out string) error {
	o, err := s.open(port.AtOnce)
	if err != nil {
		return err
	}
	opener := o.opener
	if s.file == "" {
		opener = port.Limited(opener, length)
	}
	p.warn(o)
	f := feed.Start(ctx, opener, feed.Options{Sheet: o.sheet, Lossless: true, Interval: s.interval})
	defer f.Close()
	for b := range f.Batches() {
		if b.End != nil && b.Stats.Bytes == 0 {
			return fmt.Errorf("working a dialect out: nothing came from %s (%w)", b.Stats.Source, b.End)
		}
	}
	proposal := f.Proposal()
	if err := p.tellColumns(proposal); err != nil {
		return err
	}
	text := dialect.Format(proposal.Dialect)
	if out == "" {
		_, err = io.WriteString(p.Out, text)
	} else if err = os.WriteFile(out, []byte(text), 0o600); err == nil {
		fmt.Fprintln(p.Err, "written:", out)
	}
	if err != nil {
		return fmt.Errorf("writing the dialect: %w", err)
	}
	if !proposal.Settled {
		return exit{3}
	}
	return nil
}

// tellColumns says what was found, beside the file and not in it.
func (p *Program) tellColumns(proposal dialect.Proposal) error {
	w := tabwriter.NewWriter(p.Err, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "column\trole\tunit\tsure\trunner-up\tas it came")
	for _, c := range proposal.Columns {
		fmt.Fprintf(w, "%s\t%s\t%s\t%.0f %%\t%s\t%s\n", safe(c.At), c.Role, dash(c.Unit), 100*c.Confidence, runnerUp(c), safe(c.Sample))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintf(p.Err, "sure of the level to %.0f %%. %s\n", 100*proposal.Confidence, safe(proposal.Why))
	return err
}

// runnerUp is the second best guess: another unit where that is what is in doubt, else another role.
func runnerUp(c dialect.Column) string {
	if c.RunnerUnit != "" && c.Role != livelevel.Ignore {
		return "unit " + c.RunnerUnit
	}
	return c.RunnerUp.String()
}

func (p *Program) dialectList() *cobra.Command {
	return &cobra.Command{Use: "list", Short: "The built-in dialects", Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			for _, d := range dialect.Builtins() {
				fmt.Fprintf(p.Out, "%s\n", dialect.Format(d))
			}
			return nil
		}}
}
