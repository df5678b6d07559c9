package command

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"example.org/tankhand/faulttree/report"
	"example.org/tankhand/faulttree/visit"
)

func (p *Program) visitsReport() *cobra.Command {
	var format, out, paper string
	var samples bool
	c := &cobra.Command{Use: "report ID", Short: "The report of one visit", Args: cobra.ExactArgs(1),
		Example: "  tankhand visits report 3 --format html --out visit-3.html\n  tankhand visits report 3 --format csv --samples --out levels.csv",
		RunE: func(c *cobra.Command, args []string) error {
			return p.withStore(func(ctx context.Context, s visit.Store) error {
				v, _, err := visitNamed(ctx, s, args[0])
				if err != nil {
					return err
				}
				options, err := p.reportOptions(ctx, &v, samples)
				if err != nil {
					return err
				}
				if paper == "letter" {
					options.Paper = report.Letter
				}
				r := report.New(v, options)
				if samples {
					return p.writeOut(out, r.SamplesCSV)
				}
				return p.writeOut(out, func(w io.Writer) error { return r.Write(w, format) })
			})(c, nil)
		}}
	c.Flags().StringVar(&format, "format", "markdown", strings.Join(report.Formats(), ", "))
	c.Flags().StringVar(&out, "out", "", "file to write; standard output when not given")
	c.Flags().StringVar(&paper, "paper", "a4", "a4 or letter")
	c.Flags().BoolVar(&samples, "samples", false, "the levels of the visit as CSV, read anew from the raw capture")
	return c
}

// reportOptions are how this program's reports are written, with the level read anew from the bytes.
func (p *Program) reportOptions(ctx context.Context, v *visit.Visit, samples bool) (report.Options, error) {
	again, lacking := p.replay(ctx, v, samples)
	for _, err := range lacking {
		fmt.Fprintln(p.Err, "tankhand: the chart lacks a stretch:", err)
	}
	o := p.plainOptions()
	o.Chart, o.Samples = again.points, again.samples
	return o, ctx.Err()
}

func (p *Program) plainOptions() report.Options {
	return report.Options{Units: p.system(), Location: time.Local, Program: "tankhand " + p.Version}
}

// writeOut writes to a file, or to standard output when none is named.
func (p *Program) writeOut(out string, write func(io.Writer) error) error {
	if out == "" {
		return write(p.Out)
	}
	f, err := os.OpenFile(out, os.O_CREATE|os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return fmt.Errorf("writing %s: %w", out, err)
	}
	if err := write(f); err != nil {
		f.Close()
		return fmt.Errorf("writing %s: %w", out, err)
	}
	if err := f.Close(); err != nil {
		return fmt.Errorf("writing %s: %w", out, err)
	}
	fmt.Fprintln(p.Err, "written:", out)
	return nil
}

func (p *Program) visitsCompare() *cobra.Command {
	return &cobra.Command{Use: "compare ID ID", Short: "Two visits side by side: how the level, the pump and the relay behaved", Args: cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return p.withStore(func(ctx context.Context, s visit.Store) error {
				a, _, err := visitNamed(ctx, s, args[0])
				if err != nil {
					return err
				}
				b, _, err := visitNamed(ctx, s, args[1])
				if err != nil {
					return err
				}
				return report.WriteCompare(p.Out, a, b, p.plainOptions())
			})(c, nil)
		}}
}

// memory is a store that can look back.
type memory interface {
	visit.Store
	AssetVisits(ctx context.Context, site, asset string) ([]visit.Summary, error)
	Causes(ctx context.Context) ([]visit.CauseMet, error)
}

// lookBack is withStore for commands that need more than one visit at a time.
func (p *Program) lookBack(f func(context.Context, memory) error) func(*cobra.Command, []string) error {
	return p.withStore(func(ctx context.Context, s visit.Store) error {
		m, ok := s.(memory)
		if !ok {
			return fmt.Errorf("this store cannot look back over visits")
		}
		return f(ctx, m)
	})
}

func (p *Program) visitsHistory() *cobra.Command {
	return &cobra.Command{Use: "history SITE ASSET", Short: "All visits to one installation, and how it behaved in time", Args: cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return p.lookBack(func(ctx context.Context, m memory) error {
				all, err := m.AssetVisits(ctx, args[0], args[1])
				if err != nil {
					return err
				}
				var visits []visit.Visit
				for _, s := range all {
					v, _, err := visitNamed(ctx, m, s.ID)
					if err != nil {
						return err
					}
					visits = append(visits, v)
				}
				if len(visits) == 0 {
					return fmt.Errorf("no visit to %s / %s in this store; the sites stand in: tankhand visits list", args[0], args[1])
				}
				return report.WriteHistory(p.Out, visits, p.plainOptions())
			})(c, nil)
		}}
}

func (p *Program) visitsCauses() *cobra.Command {
	return &cobra.Command{Use: "causes", Short: "Which causes this firm met, how often, and the minutes they took", Args: cobra.NoArgs,
		RunE: p.lookBack(func(ctx context.Context, m memory) error {
			met, err := m.Causes(ctx)
			if err != nil {
				return err
			}
			return report.WriteCauses(p.Out, met)
		})}
}
