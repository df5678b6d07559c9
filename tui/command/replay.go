package command

import (
	"context"
	"path/filepath"
	"time"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/livelevel/site"
)

// replayed is what the raw captures of a visit say again.
type replayed struct {
	points  []visit.Point
	samples []livelevel.Level
}

const (
	chartPoints = 1500
	// maxSamples bounds the table of samples: a day at 10 Hz.
	maxSamples = 864_000
)

// replay reads the captures of a visit anew, by the site sheet and the dialect that the visit was
// judged by: samples are not stored, the bytes are.
func (p *Program) replay(ctx context.Context, v *visit.Visit, samples bool) (replayed, []error) {
	folder, err := p.captures()
	if err != nil {
		return replayed{}, []error{err}
	}
	var out replayed
	var lacking []error
	paths := map[int]string{}
	var from, to time.Time
	for i := range v.Sources {
		s := &v.Sources[i]
		if s.Capture == nil {
			continue
		}
		path, err := visit.FindCapture(folder, *s.Capture)
		if err != nil {
			lacking = append(lacking, err)
			continue
		}
		paths[i] = path
		a, b := heard(ctx, path)
		from, to = earlier(from, a), later(to, b)
	}
	window := livelevel.NewWindow(max(to.Sub(from), time.Minute), chartPoints)
	for i := range v.Sources {
		if path := paths[i]; path != "" {
			out.read(ctx, path, &v.Sources[i], window, samples)
		}
	}
	out.points = window.Trend()
	return out, lacking
}

// heard is the time that a capture spans, by its own clock: a rig's may have run faster than ours.
func heard(ctx context.Context, path string) (from, to time.Time) {
	f := feed.Start(ctx, port.File(path, port.Options{ClockRate: port.AtOnce}), feed.Options{Lossless: true})
	defer f.Close()
	for b := range f.Batches() {
		from, to = b.Stats.From, b.Stats.To
	}
	return from, to
}

func earlier(a, b time.Time) time.Time {
	if a.IsZero() || !b.IsZero() && b.Before(a) {
		return b
	}
	return a
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

func (r *replayed) read(ctx context.Context, path string, s *visit.SourceRecord, window *livelevel.Window, samples bool) {
	sheet, err := site.Parse(filepath.Base(path), []byte(s.Sheet))
	if err != nil {
		sheet = site.Empty()
	}
	options := feed.Options{Sheet: sheet, Lossless: true}
	if d, err := dialect.Parse(s.DialectName, []byte(s.Dialect)); err == nil && s.Dialect != "" {
		options.Dialect = &d
	}
	gauge := livelevel.NewGauge(sheet)
	f := feed.Start(ctx, port.File(path, port.Options{ClockRate: port.AtOnce}), options)
	defer f.Close()
	for b := range f.Batches() {
		for i := range b.Readings {
			l := gauge.Add(b.Readings[i])
			window.Add(&l)
			if samples && len(r.samples) < maxSamples && l.Reading.Kind == livelevel.Report {
				r.samples = append(r.samples, l)
			}
		}
	}
}
