package command

import (
	"errors"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"example.org/tankhand/faulttree/visit"
)

func (p *Program) visitsSalvage() *cobra.Command {
	var out string
	c := &cobra.Command{Use: "salvage DAMAGED --out NEW", Short: "Read what can be read of a damaged store into a new one", Args: cobra.ExactArgs(1),
		Long: "salvage reads a damaged store of visits from both ends and writes what it could read to a new file.\n" +
			"The damaged file stays as it is.",
		Example: "  tankhand visits salvage visits.db --out mended.db\n  tankhand visits list --store mended.db",
		RunE: func(c *cobra.Command, args []string) error {
			if _, err := os.Stat(args[0]); err != nil {
				return fmt.Errorf("salvaging %s: %w (name the damaged file of visits)", args[0], err)
			}
			if _, err := os.Stat(out); err == nil {
				return fmt.Errorf("salvaging into %s: the file exists; name one that does not", out)
			}
			events, damage := visit.Salvage(c.Context(), args[0])
			if len(events) == 0 {
				return errors.Join(fmt.Errorf("salvaging %s: nothing could be read", args[0]), damage)
			}
			s, err := visit.Open(out)
			if err != nil {
				return err
			}
			err = s.Append(c.Context(), events...)
			if err := errors.Join(err, s.Close()); err != nil {
				return err
			}
			visits := map[string]bool{}
			for _, e := range events {
				visits[e.Visit] = true
			}
			fmt.Fprintf(p.Out, "%d entries of %d visits written to %s\n", len(events), len(visits), out)
			if damage != nil {
				fmt.Fprintf(p.Err, "tankhand: some could not be read: %v\n", damage)
			}
			return nil
		}}
	c.Flags().StringVar(&out, "out", "", "the new file, which must not be there yet")
	_ = c.MarkFlagRequired("out") // fails only where there is no such flag
	return c
}
