package command

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"example.org/tankhand/faulttree/report"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/visits"
)

// book is the record as the screen of past visits reads it.
type book struct{ p *Program }

func (b book) read(f func(visit.Store) error) error {
	path, err := b.p.storePath()
	if err != nil {
		return err
	}
	s, err := visit.OpenRead(path)
	if err != nil {
		return err
	}
	defer s.Close()
	return f(s)
}

// List is empty before the first visit: a store that is not there yet is no trouble.
func (b book) List(ctx context.Context) (all []visit.Summary, err error) {
	if path, err := b.p.storePath(); err == nil && !there(path) {
		return nil, nil
	}
	err = b.read(func(s visit.Store) error {
		all, err = s.Visits(ctx)
		return err
	})
	return all, err
}

func (b book) Story(ctx context.Context, id string) (out visits.Story, err error) {
	err = b.read(func(s visit.Store) error {
		v, events, err := visitNamed(ctx, s, id)
		if err != nil {
			return err
		}
		for _, e := range events {
			out.Told = append(out.Told, visits.Told{At: e.At, What: string(e.Kind), Text: visit.Line(e)})
		}
		options := b.p.plainOptions()
		options.CustomerOnly = true
		var page strings.Builder
		if err := report.New(v, options).Markdown(&page); err != nil {
			return err
		}
		out.Customer = page.String()
		src, err := lastSource(&v)
		if err != nil {
			out.Refused = err.Error()
			return nil
		}
		out.Feed = src.words()
		return nil
	})
	return out, err
}

func (b book) Report(ctx context.Context, id string) ([]string, error) {
	return b.p.writeReports(ctx, id, nil)
}

// writeReports writes the report of a visit, and the customer's sheet by itself where that is wanted, into
// the data folder. The chart is the trend that the screen still has, else it is read anew from the bytes.
func (p *Program) writeReports(ctx context.Context, id string, trend []visit.Point) (paths []string, err error) {
	dir, err := p.dataFolder()
	if err != nil {
		return nil, err
	}
	chosen := p.chosen()
	var v visit.Visit
	err = book{p}.read(func(s visit.Store) error {
		v, _, err = visitNamed(ctx, s, id)
		return err
	})
	if err != nil {
		return nil, err
	}
	options := p.plainOptions()
	if options.Chart = trend; len(trend) == 0 {
		again, _ := p.replay(ctx, &v, false) // what the chart lacks, the report says
		options.Chart = again.points
	}
	if chosen.Paper == "letter" {
		options.Paper = report.Letter
	}
	format := chosen.Report
	if format == "" {
		format = "html"
	}
	name := fmt.Sprintf("visit-%d-%s", v.Number, plainName(cmp.Or(v.Asset, v.Site)))
	for _, customer := range []bool{false, true} {
		if customer && chosen.Customer == "no" {
			break
		}
		options.CustomerOnly = customer
		var text bytes.Buffer
		if err := report.New(v, options).Write(&text, format); err != nil {
			return paths, err
		}
		path, err := keep(filepath.Join(dir, "reports"), reportName(name, customer, format), text.String())
		if err != nil {
			return paths, err
		}
		paths = append(paths, path)
	}
	return paths, nil
}

func reportName(name string, customer bool, format string) string {
	if customer {
		name += "-customer"
	}
	return name + "." + strings.Replace(format, "markdown", "md", 1)
}

// lastSource is the feed that a visit was last on, to be opened again.
func lastSource(v *visit.Visit) (source, error) {
	if len(v.Sources) == 0 {
		return source{}, fmt.Errorf("it had no feed")
	}
	last := v.Sources[len(v.Sources)-1]
	name, rigged := strings.CutPrefix(last.Source, practiceName)
	switch {
	case rigged:
		return source{rig: name, seed: 1}, nil
	case strings.HasPrefix(last.Source, "/dev/"), strings.HasPrefix(last.Source, "COM"):
		if strings.HasPrefix(last.Source, "/dev/") && !there(last.Source) {
			return source{}, fmt.Errorf("%s is not plugged in", last.Source)
		}
		return source{port: last.Source, baud: "auto"}, nil
	case there(last.Source):
		return source{file: last.Source}, nil
	case strings.Contains(last.Source, ":"):
		return source{net: last.Source, baud: "auto"}, nil
	}
	return source{}, fmt.Errorf("its feed, %s, is not there any more", last.Source)
}
