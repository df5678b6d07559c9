package command

import (
	"context"
	"fmt"
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/livelevel/site"
)

// benchWindow is how far back the checks of the live program look.
const benchWindow = 10 * time.Minute

// sitting is a running session with what it needs closed afterwards.
type sitting struct {
	*visit.Session
	*draft // of its notes
	opened
	base  *knowledge.Base
	store visit.Store
}

// Close ends the session and its store.
func (s *sitting) Close() error {
	err := s.Session.Close()
	if s.store != nil {
		if e := s.store.Close(); err == nil {
			err = e
		}
	}
	return err
}

// ask is how a session is to run.
type ask struct {
	source   *source
	rate     float64       // clock rate when none was given
	keep     bool          // on the record
	window   time.Duration // of the checks; 0 is the whole feed
	lossless bool
	limit    time.Duration // of feed time, after which the feed ends; 0 is none
	visit    string        // to take up again
	between  diagnostics.Hours
}

// sit opens the feed and begins the session.
func (p *Program) sit(ctx context.Context, a ask) (*sitting, error) {
	limits, err := a.source.walkLimits()
	if err != nil {
		return nil, err
	}
	o, err := a.source.open(a.rate)
	if err != nil {
		return nil, err
	}
	if a.visit != "" {
		if a.visit, err = p.takeUp(ctx, a.visit, a.source, &o); err != nil {
			return nil, err
		}
	}
	base, err := loadKnowledge()
	if err != nil {
		return nil, err
	}
	s := &sitting{opened: o, base: base}
	options := feed.Options{Dialect: o.dialect, Sheet: o.sheet, Interval: a.source.interval, Lossless: a.lossless}
	if a.keep {
		if s.store, err = p.keepRecord(ctx); err != nil {
			return nil, err
		}
		if options.Capture, err = p.captures(); err != nil {
			return nil, err
		}
	}
	opener := o.opener
	if a.limit > 0 {
		opener = port.Limited(opener, a.limit)
	}
	p.warn(o)
	f := feed.Start(ctx, opener, options)
	cfg := visit.Config{Store: s.store, Visit: a.visit, Sheet: o.sheet, SheetText: o.sheetText, Base: base, Feed: f,
		Info: opener.Info(), Window: a.window, Between: a.between, Invented: o.rig != nil, Program: p.Version,
		Technician: a.source.technician, Customer: a.source.customer, Walk: limits}
	if o.rig != nil {
		cfg.Hands = func(id string) time.Time {
			_ = o.rig.Do(id) // what the rig has no hands for changes nothing on it
			return rigTime(o.opener)
		}
	}
	if a.keep && !a.source.noLearning {
		cfg.Priors = func(complaint string) map[string]float64 { return p.learned(base, complaint) }
	}
	if s.Session, err = visit.Begin(ctx, cfg); err != nil {
		_ = f.Close()
		return nil, err
	}
	s.draft = p.draftFor(s.Visit())
	return s, nil
}

// rigTime is up to when a rig has sent already; the visit may not have read all of it.
func rigTime(o port.Opener) time.Time {
	if c, ok := o.(port.Clock); ok {
		return c.Now()
	}
	return time.Time{}
}

// warn says, once and before it happens, what opening the port may do; the screen says it in its own way.
func (p *Program) warn(o opened) {
	if !p.onScreen && o.rig == nil && o.opener.Info().MayRestart {
		fmt.Fprintln(p.Err, restartWarning)
	}
}

// takeUp finds the visit to go on with, and judges the feed by the site sheet and the dialect that the
// visit was begun with where no others were given.
func (p *Program) takeUp(ctx context.Context, ref string, s *source, o *opened) (id string, err error) {
	path, err := p.storePath()
	if err != nil {
		return "", err
	}
	store, err := visit.OpenRead(path)
	if err != nil {
		return "", err
	}
	defer store.Close()
	v, _, err := visitNamed(ctx, store, ref)
	if err != nil || len(v.Sources) == 0 {
		return v.ID, err
	}
	last := v.Sources[len(v.Sources)-1]
	if s.sheetPath == "" && o.rig == nil && last.Sheet != "" {
		if o.sheet, err = site.Parse(last.SheetName, []byte(last.Sheet)); err != nil {
			return "", err
		}
		o.sheetText = last.Sheet
	}
	if s.dialectPath == "" && o.rig == nil && last.Dialect != "" {
		d, err := dialect.Parse(last.DialectName, []byte(last.Dialect))
		if err != nil {
			return "", err
		}
		o.dialect = &d
	}
	return v.ID, nil
}
