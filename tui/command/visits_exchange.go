package command

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"time"

	"github.com/google/uuid"
	"github.com/spf13/cobra"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/feed"
)

// addEvent adds one event to a visit, open or closed.
func addEvent(ctx context.Context, s visit.Store, ref string, body visit.Body) error {
	v, events, err := visitNamed(ctx, s, ref)
	if err != nil {
		return err
	}
	e, err := visit.New(body)
	if err != nil {
		return err
	}
	return s.Append(ctx, e.Stamp(uuid.NewString(), v.ID, events[len(events)-1].Seq+1, time.Now()))
}

func (p *Program) visitsNote() *cobra.Command {
	var files []string
	c := &cobra.Command{Use: "note ID TEXT", Short: "Add a note to a visit, with photos or files cited by their hash", Args: cobra.ExactArgs(2),
		Example: "  tankhand visits note 3 \"joint box before\" --file joint.jpg",
		RunE: func(c *cobra.Command, args []string) error {
			return p.withStore(func(ctx context.Context, s visit.Store) error {
				body := visit.NoteBody{Text: args[1]}
				for _, f := range files {
					a, err := visit.Attach(f)
					if err != nil {
						return err
					}
					body.Files = append(body.Files, a)
				}
				return addEvent(ctx, s, args[0], body)
			})(c, nil)
		}}
	c.Flags().StringArrayVar(&files, "file", nil, "a photo or file that the note is about; may be given again")
	return c
}

func (p *Program) visitsCorrect() *cobra.Command {
	var reason string
	fields := []string{"site", "asset", "technician", "customer", "words", "follow-up", "believed"}
	c := &cobra.Command{Use: "correct ID FIELD VALUE", Short: "Put a fact of a visit right by a later entry; the old value stays readable",
		Long: fmt.Sprintf("FIELD is one of %q.", fields), Args: cobra.ExactArgs(3),
		RunE: func(c *cobra.Command, args []string) error {
			if !slices.Contains(fields, args[1]) {
				return fmt.Errorf("correcting %q: the fields are %q", args[1], fields)
			}
			return p.withStore(func(ctx context.Context, s visit.Store) error {
				return addEvent(ctx, s, args[0], visit.CorrectionBody{Field: args[1], Value: args[2], Reason: reason})
			})(c, nil)
		}}
	c.Flags().StringVar(&reason, "reason", "", "why")
	return c
}

func (p *Program) visitsExport() *cobra.Command {
	var out string
	var captures bool
	c := &cobra.Command{Use: "export ID...", Short: "Write visits to one checksummed bundle; raw captures only when asked for", Args: cobra.MinimumNArgs(1),
		Example: "  tankhand visits export 3 4 --out week.jsonl",
		RunE: func(c *cobra.Command, args []string) error {
			return p.withStore(func(ctx context.Context, s visit.Store) error { return p.export(ctx, s, args, out, captures) })(c, nil)
		}}
	c.Flags().StringVar(&out, "out", "", "file to write; standard output when not given")
	c.Flags().BoolVar(&captures, "captures", false, "take the raw captures along: boot logs may hold passwords")
	return c
}

func (p *Program) export(ctx context.Context, s visit.Store, refs []string, out string, captures bool) error {
	var ids []string
	for _, ref := range refs {
		id, err := s.Find(ctx, ref)
		if err != nil {
			return err
		}
		ids = append(ids, id)
	}
	var open func(string) (io.ReadCloser, error)
	if captures {
		folder, err := p.captures()
		if err != nil {
			return err
		}
		open = func(path string) (io.ReadCloser, error) { return openCapture(folder, path) }
	}
	return p.writeOut(out, func(w io.Writer) error {
		e, err := visit.Export(ctx, s, w, ids, open)
		if err == nil {
			fmt.Fprintf(p.Err, "%d visits, %d entries, %d captures\n", e.Visits, e.Events, e.Captures)
			for _, m := range e.Missing {
				fmt.Fprintln(p.Err, "not there any more:", safe(m))
			}
		}
		return err
	})
}

// openCapture opens a cited capture where it was written, or in the folder of captures.
func openCapture(folder, path string) (io.ReadCloser, error) {
	if f, err := os.Open(path); err == nil {
		return f, nil
	}
	found, err := visit.FindCapture(folder, feed.Citation{Path: path})
	if err != nil {
		return nil, err
	}
	return os.Open(found)
}

func (p *Program) visitsImport() *cobra.Command {
	return &cobra.Command{Use: "import F", Short: "Take a bundle in; what is here already stays as it is", Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			f, err := os.Open(args[0])
			if err != nil {
				return fmt.Errorf("importing visits: %w", err)
			}
			defer f.Close()
			folder, err := p.captures()
			if err != nil {
				return err
			}
			return p.withStore(func(ctx context.Context, s visit.Store) error {
				in, err := visit.Import(ctx, f, s, visit.SaveCaptures(folder))
				if err != nil {
					return err
				}
				fmt.Fprintf(p.Out, "%d visits: %d entries new, %d known, %d of purged visits left out, %d captures\n", in.Visits, in.New, in.Known, in.Purged, in.Captures)
				return nil
			})(c, nil)
		}}
}

func (p *Program) visitsPurge() *cobra.Command {
	var person, by, reason string
	var yes bool
	c := &cobra.Command{Use: "purge [ID]", Short: "Erase a visit, or a person's name, for good; that it was done stays on the record", Args: cobra.MaximumNArgs(1),
		Long: "purge erases: there is no way back. Bundles and reports that were handed on are not reached.",
		RunE: func(c *cobra.Command, args []string) error {
			switch {
			case (len(args) == 0) == (person == ""):
				return errors.New("purge what: give the ID of a visit, or --person NAME")
			case !yes:
				return errors.New("purging erases for good: say --yes when you mean it")
			}
			return p.withStore(func(ctx context.Context, s visit.Store) error { return p.purge(ctx, s, args, person, by, reason) })(c, nil)
		}}
	c.Flags().StringVar(&person, "person", "", "erase this name from all visits")
	c.Flags().StringVar(&by, "by", "", "who asks for it, for the record")
	c.Flags().StringVar(&reason, "reason", "", "why, for the record")
	c.Flags().BoolVar(&yes, "yes", false, "yes, for good")
	return c
}

// eraser is a store that can erase.
type eraser interface {
	PurgeVisit(ctx context.Context, id, by, reason string, at time.Time) (visit.Purged, error)
	PurgePerson(ctx context.Context, name, by, reason string, at time.Time) (visit.Purged, error)
}

func (p *Program) purge(ctx context.Context, s visit.Store, args []string, person, by, reason string) error {
	e, ok := s.(eraser)
	if !ok {
		return errors.New("purging: this store can only be read")
	}
	var gone visit.Purged
	var id string
	var err error
	if person != "" {
		gone, err = e.PurgePerson(ctx, person, by, reason, time.Now())
	} else {
		if id, err = s.Find(ctx, args[0]); err == nil {
			gone, err = e.PurgeVisit(ctx, id, by, reason, time.Now())
		}
	}
	if err == nil {
		err = p.forgetDrafts(id, person)
	}
	if err != nil {
		return err
	}
	folder, err := p.captures()
	if err != nil {
		return err
	}
	removed, err := visit.RemoveCaptures(folder, gone.Captures)
	fmt.Fprintf(p.Out, "erased: %d visits, %d entries, %d captures\n", gone.Visits, gone.Events, len(removed))
	return err
}
