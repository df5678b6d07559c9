package command

import (
	"context"
	"encoding/json"
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"example.org/tankhand/faulttree/visit"
)

func (p *Program) visits() *cobra.Command {
	c := &cobra.Command{Use: "visits", Short: "The record: list, show, report, compare, exchange, salvage, purge"}
	c.AddCommand(p.visitsList(), p.visitsShow(), p.visitsReport(), p.visitsCompare(), p.visitsHistory(), p.visitsCauses(),
		p.visitsNote(), p.visitsCorrect(), p.visitsExport(), p.visitsImport(), p.visitsSalvage(), p.visitsPurge())
	return c
}

// withStore opens the store for one command.
func (p *Program) withStore(f func(context.Context, visit.Store) error) func(*cobra.Command, []string) error {
	return func(c *cobra.Command, _ []string) error {
		s, err := p.openStore(c.Context())
		if err != nil {
			return err
		}
		defer s.Close()
		return f(c.Context(), s)
	}
}

func (p *Program) visitsList() *cobra.Command {
	return &cobra.Command{Use: "list", Short: "All visits, the newest first", Args: cobra.NoArgs,
		RunE: p.withStore(func(ctx context.Context, s visit.Store) error {
			all, err := s.Visits(ctx)
			if err != nil {
				return err
			}
			if len(all) == 0 {
				fmt.Fprintln(p.Out, "No visits yet. One begins with: tankhand bench --port DEV, or tankhand for the start screen.")
				return nil
			}
			w := tabwriter.NewWriter(p.Out, 0, 0, 2, ' ', 0)
			fmt.Fprintln(w, "visit\tbegun\tsite\tcomplaint\tcause\toutcome\tid")
			for _, v := range all {
				fmt.Fprintf(w, "%d\t%s\t%s\t%s\t%s\t%s\t%s\n", v.Number, v.Begun.Local().Format("2006-01-02 15:04"),
					siteWords(v), dash(v.Complaint), dash(v.Cause), open(v.Outcome), short(v.ID))
			}
			return w.Flush()
		})}
}

func siteWords(v visit.Summary) string {
	switch {
	case v.Site == "" && v.Asset == "":
		return "-"
	case v.Asset == "":
		return safe(v.Site)
	}
	return safe(v.Site + " / " + v.Asset)
}

func dash(s string) string {
	if s == "" {
		return "-"
	}
	return safe(s)
}

func open(outcome string) string {
	if outcome == "" {
		return "open"
	}
	return outcome
}

// visitNamed reads a visit by what a person typed for it.
func visitNamed(ctx context.Context, s visit.Store, ref string) (visit.Visit, []visit.Event, error) {
	id, err := s.Find(ctx, ref)
	if err != nil {
		return visit.Visit{}, nil, err
	}
	events, err := s.Events(ctx, id)
	if err != nil {
		return visit.Visit{}, nil, err
	}
	v, err := visit.Fold(events)
	if err != nil {
		return v, events, err
	}
	v.Number, err = numberOf(ctx, s, id)
	return v, events, err
}

// numberOf is the small number under which people know a visit.
func numberOf(ctx context.Context, s visit.Store, id string) (int64, error) {
	all, err := s.Visits(ctx)
	if err != nil {
		return 0, err
	}
	for _, v := range all {
		if v.ID == id {
			return v.Number, nil
		}
	}
	return 0, nil
}

func (p *Program) visitsShow() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{Use: "show ID", Short: "Everything recorded of one visit, in order", Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return p.withStore(func(ctx context.Context, s visit.Store) error {
				_, events, err := visitNamed(ctx, s, args[0])
				if err != nil {
					return err
				}
				if asJSON {
					enc := json.NewEncoder(p.Out)
					enc.SetIndent("", "  ")
					return enc.Encode(events)
				}
				for _, e := range events {
					fmt.Fprintf(p.Out, "%4d  %s  %-14s %s\n", e.Seq, e.At.Local().Format("2006-01-02 15:04:05"), e.Kind, safe(visit.Line(e)))
				}
				return nil
			})(c, nil)
		}}
	c.Flags().BoolVar(&asJSON, "json", false, "print the events as they are stored")
	return c
}
