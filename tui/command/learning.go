package command

import (
	"context"
	"fmt"
	"text/tabwriter"
	"time"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
)

// everywhere takes back a narrower place that stands in the settings.
const everywhere = "everywhere"

// walkLimits are the limits that the command line sets to what is offered.
func (s *source) walkLimits() (faulttree.Options, error) {
	opt := faulttree.Options{NoMains: s.noMains, ByHand: s.byHand, NoFeed: s.none && !s.given()}
	switch w := faulttree.Where(s.where); w {
	case everywhere:
		return opt, nil
	case "", faulttree.AtTank, faulttree.AtBoard, faulttree.Remote:
		opt.Where = w
		return opt, nil
	}
	return opt, fmt.Errorf("--where %q: it is %s, %s, %s or %s", s.where, faulttree.AtTank, faulttree.AtBoard, faulttree.Remote, everywhere)
}

// teacher is a store that knows how its visits were closed.
type teacher interface {
	Closed(ctx context.Context, complaint string) ([]faulttree.Closed, error)
}

// learnWait bounds the look at the firm's own visits: a slow store must not hold up a visit.
const learnWait = 2 * time.Second

// closed are the firm's own closed visits of a complaint; none where the store cannot tell.
func (p *Program) closed(complaint string) []faulttree.Closed {
	path, err := p.storePath()
	if err != nil {
		return nil
	}
	s, err := visit.OpenRead(path)
	if err != nil {
		return nil
	}
	defer s.Close()
	t, ok := s.(teacher)
	if !ok {
		return nil
	}
	ctx, cancel := context.WithTimeout(context.Background(), learnWait)
	defer cancel()
	visits, err := t.Closed(ctx, complaint)
	if err != nil {
		return nil
	}
	return visits
}

// learned are the priors of a complaint with what this firm met; nil while there is nothing to learn.
func (p *Program) learned(base *knowledge.Base, complaint string) map[string]float64 {
	for _, c := range base.Complaints {
		if c.ID == complaint {
			return faulttree.Learn(c, p.closed(complaint))
		}
	}
	return nil
}

// tellLearned prints shipped and learned priors side by side.
func (p *Program) tellLearned(base *knowledge.Base, complaint string) error {
	visits := p.closed(complaint)
	fmt.Fprintf(p.Out, "%d closed visits of this firm; practice rigs teach nothing\n", len(visits))
	w := tabwriter.NewWriter(p.Out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(w, "shipped\tlearned\t \tcause\t")
	for _, c := range base.Complaints {
		if c.ID != complaint {
			continue
		}
		for _, l := range faulttree.SideBySide(base, c, visits) {
			fmt.Fprintf(w, "%.1f %%\t%.1f %%\t \t%s\t\n", 100*l.Shipped, 100*l.Learned, l.Title)
		}
	}
	return w.Flush()
}
