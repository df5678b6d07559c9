package command

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/site"
)

// treeBoxes is how many questions fit a page.
const treeBoxes = 18

func (p *Program) tree() *cobra.Command {
	var sheetPath, resume, format string
	var lint, learned bool
	c := &cobra.Command{
		Use:     "tree [COMPLAINT]",
		Short:   "The fault tree of a complaint on one page; --lint checks the knowledge",
		Example: "  tankhand tree relay-chatter --site tank.yaml\n  tankhand tree no-echo --format markdown\n  tankhand tree --lint",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if lint {
				return p.lint()
			}
			if len(args) == 0 {
				return fmt.Errorf("tree needs a complaint, as in: tankhand tree no-echo")
			}
			if learned {
				base, err := loadKnowledge()
				if err == nil {
					err = knownComplaint(base, args[0])
				}
				if err != nil {
					return err
				}
				return p.tellLearned(base, args[0])
			}
			w, err := p.treeWalk(c.Context(), args[0], sheetPath, resume)
			if err != nil {
				return err
			}
			return p.writeTree(w.Tree(treeBoxes), format)
		},
	}
	c.Flags().StringVar(&sheetPath, "site", "", "site sheet, for the limits of what is measured")
	c.Flags().StringVar(&resume, "visit", "", "the rest of the tree from where this visit stands")
	c.Flags().StringVar(&format, "format", "text", "text, markdown or json")
	c.Flags().BoolVar(&learned, "learned", false, "the priors as shipped and as learned from this firm's visits, side by side")
	c.Flags().BoolVar(&lint, "lint", false, "check the shipped knowledge and the firm's own")
	return c
}

func (p *Program) writeTree(t faulttree.Tree, format string) error {
	switch format {
	case "text":
		_, err := io.WriteString(p.Out, t.Text(100))
		return err
	case "markdown":
		_, err := io.WriteString(p.Out, t.Markdown())
		return err
	case "json":
		data, err := t.JSON()
		if err == nil {
			_, err = p.Out.Write(append(data, '\n'))
		}
		return err
	}
	return fmt.Errorf("--format %q: a tree can be text, markdown or json", format)
}

// treeWalk is the walk that the tree is drawn from: fresh, or where a visit stands.
func (p *Program) treeWalk(ctx context.Context, complaint, sheetPath, resume string) (faulttree.Walk, error) {
	base, err := loadKnowledge()
	if err != nil {
		return faulttree.Walk{}, err
	}
	if err := knownComplaint(base, complaint); err != nil {
		return faulttree.Walk{}, err
	}
	options := faulttree.Options{}
	if sheetPath != "" {
		if options.Sheet, err = readSheet(sheetPath); err != nil {
			return faulttree.Walk{}, err
		}
	}
	var steps []faulttree.Step
	if resume != "" {
		err := p.withStore(func(ctx context.Context, s visit.Store) error {
			v, _, err := visitNamed(ctx, s, resume)
			if err == nil && v.Complaint.ID != complaint {
				err = fmt.Errorf("visit %s is about %s, not %s", resume, dash(v.Complaint.ID), complaint)
			}
			options.Priors, steps = v.Complaint.Priors, v.WalkSteps()
			return err
		})(commandWith(ctx), nil)
		if err != nil {
			return faulttree.Walk{}, err
		}
	}
	w, err := faulttree.Start(base, complaint, options)
	for _, s := range steps {
		if err == nil {
			w, err = w.Apply(s)
		}
	}
	return w, err
}

// commandWith is a command that carries nothing but a context.
func commandWith(ctx context.Context) *cobra.Command {
	c := &cobra.Command{}
	c.SetContext(ctx)
	return c
}

func readSheet(path string) (*site.Sheet, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("reading the site sheet: %w", err)
	}
	return site.Parse(path, data)
}

// lint checks the shipped knowledge, and the firm's own over it.
func (p *Program) lint() error {
	dir, err := configFolder()
	if err != nil {
		return err
	}
	folder := filepath.Join(dir, "knowledge")
	var firm fs.FS
	if _, err := os.Stat(folder); err == nil {
		firm = os.DirFS(folder)
	}
	base, warnings, err := knowledge.LintAll(firm, folder)
	for _, w := range warnings {
		fmt.Fprintln(p.Out, "warning:", w)
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(p.Out, "%d complaints, %d causes, %d probes: nothing refused, %d warnings\n", len(base.Complaints), len(base.Causes), len(base.Probes), len(warnings))
	return nil
}
