package visit

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"time"

	"github.com/google/uuid"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
)

// evidenceEvery is how often the findings are looked at for new evidence, in feed time: checks hold
// their verdicts for seconds, so looking more often finds nothing new.
const evidenceEvery = time.Second

// Patience is how many windows of a watch probe a proof may take before the unwanted answer counts.
const Patience = 3

// asFoundAfter is how much feed the "as found" record waits for: the shortest window of the checks
// that the complaints rest on.
const asFoundAfter = time.Minute

// The trend keeps an hour, a point each five seconds: more than a screen has columns for.
const (
	trendSpan   = time.Hour
	trendPoints = 720
)

// running is the state of a session, touched by its goroutine alone.
type running struct {
	cfg  Config
	id   string
	seq  int64
	last string // id of the newest event
	fold Visit
	// notes is where the fold keeps each note, so that one can be undone.
	notes map[string]int

	gauge  *livelevel.Gauge
	checks checking
	trend  *livelevel.Window
	live   liveFeed
	level  livelevel.Level
	now    time.Time             // feed time: of the newest reading
	judged time.Time             // when the findings were last looked at for evidence
	thawed time.Time             // since when the windows of the checks have seen the installation untouched
	deed   time.Time             // on the feed's clock: what was sent before it is no evidence of it
	found  []diagnostics.Finding // what counts as evidence: since something was last done here
	desk   []diagnostics.Finding

	walk    *walking
	mended  mending
	foundAt bool // the as-found record is made
	dialect string
	ended   bool
	toldEnd bool // the record says why it ended
}

func newRunning(cfg Config) *running {
	return &running{
		cfg:    cfg,
		id:     cfg.Visit,
		notes:  map[string]int{},
		gauge:  livelevel.NewGauge(cfg.Sheet),
		checks: newChecking(cfg.Sheet, cfg.Window, cfg.Between),
		trend:  livelevel.NewWindow(trendSpan, trendPoints),
		live:   newLiveFeed(),
		desk:   diagnostics.Desk(cfg.Sheet),
	}
}

// begin writes the first events of a new visit, or reads those of an old one.
func (r *running) begin(ctx context.Context) error {
	if r.cfg.Store == nil {
		return nil
	}
	if r.id != "" {
		if err := r.resume(ctx); err != nil {
			return err
		}
		if err := r.record(ctx, ReopenedBody{}); err != nil {
			return err
		}
	} else {
		r.id = uuid.NewString()
		err := r.record(ctx, BegunBody{Site: r.cfg.Sheet.Site, Asset: r.cfg.Sheet.Asset,
			Technician: r.cfg.Technician, Customer: r.cfg.Customer, Program: r.cfg.Program})
		if err != nil {
			return err
		}
	}
	r.fold.Number = r.number(ctx)
	err := r.record(ctx, OpenedBody{Source: r.cfg.Info.Source, Baud: r.cfg.Info.Baud, Invented: r.cfg.Invented,
		SheetName: r.cfg.Sheet.File, Sheet: r.cfg.SheetText})
	if err == nil && r.walk != nil { // taken up again: the step is offered at once
		r.pin(ctx)
	}
	return err
}

// number is the small number of the visit in this store; 0 where the store cannot tell just now.
func (r *running) number(ctx context.Context) int64 {
	all, err := r.cfg.Store.Visits(ctx)
	if err != nil {
		return 0
	}
	for _, v := range all {
		if v.ID == r.id {
			return v.Number
		}
	}
	return 0
}

// resume folds the stored events and takes the walk up where it stood.
func (r *running) resume(ctx context.Context) error {
	events, err := r.cfg.Store.Events(ctx, r.id)
	if err != nil {
		return err
	}
	if len(events) == 0 {
		return fmt.Errorf("visit %s: no such visit in this store; see tankhand visits list", r.id)
	}
	for _, e := range events {
		r.fold.add(e, r.notes)
	}
	r.fold.ID = r.id
	r.seq = events[len(events)-1].Seq
	r.foundAt = r.fold.Found != nil
	if r.fold.Complaint.ID == "" {
		return nil
	}
	r.walk, err = resumeWalk(&r.cfg, &r.fold)
	return err
}

// record puts one event on disk; only then may anything of it be shown.
func (r *running) record(ctx context.Context, body Body) error {
	if r.cfg.Store == nil {
		return nil
	}
	e, err := New(body)
	if err != nil {
		return err
	}
	e = e.Stamp(uuid.NewString(), r.id, r.seq+1, r.cfg.Clock())
	if err := r.cfg.Store.Append(ctx, e); err != nil {
		return fmt.Errorf("writing %s to the visit: %w", body.kind(), err)
	}
	r.seq, r.last = e.Seq, e.ID
	r.fold.ID = r.id
	r.fold.add(e, r.notes)
	return nil
}

// batch takes what the feed brought.
func (r *running) batch(ctx context.Context, b feed.Batch) {
	r.live.stats = b.Stats
	r.live.keepRaw(b.Raw)
	newest := len(b.Readings) - 1
	for newest > 0 && !tellsLevel(&b.Readings[newest]) {
		newest--
	}
	for i := range b.Readings {
		r.reading(&b.Readings[i], i == newest)
	}
	r.cfg.Feed.Recycle(b)
	r.live.dialect, r.live.stats.DialectConfidence, r.live.settled = r.cfg.Feed.Dialect()
	r.live.columns = r.cfg.Feed.Proposal().Columns
	if !r.live.settled {
		r.live.dialect = r.cfg.Feed.Proposal().Dialect
	}
	if r.cfg.Window > 0 && r.now.Sub(r.judged) >= evidenceEvery {
		r.judge(ctx)
	}
}

// tellsLevel: the level of a report or of a silence is the one to show.
func tellsLevel(in *livelevel.Reading) bool {
	return in.Kind == livelevel.Report || in.Kind == livelevel.Tick
}

// reading takes one item of the feed; the newest of a batch is the one that is kept to be shown.
func (r *running) reading(in *livelevel.Reading, newest bool) {
	l := r.checks.next()
	r.gauge.AddTo(l, in)
	if !in.Time.IsZero() {
		r.now = in.Time
		if r.thawed.IsZero() {
			r.thawed = in.Time
		}
	}
	r.live.add(l)
	if newest && tellsLevel(in) {
		r.level = *l
	}
	r.trend.Add(l)
	if in.Time.Before(r.deed) && !in.Time.IsZero() {
		return // sent before the last deed, and no evidence of what came of it
	}
	if r.walk != nil {
		r.walk.watch(l)
	}
	r.checks.add()
}

// judge looks at the findings and enters what is new of them as evidence into the walk.
func (r *running) judge(ctx context.Context) {
	r.judged = r.now
	r.noteDialect(ctx)
	r.found = r.checks.findings(r.now)
	if r.walk == nil {
		return
	}
	if step, ok := r.walk.evidence(r.found, r.heard()); ok {
		if r.record(ctx, StepBody{Step: step}) == nil {
			r.walk.enter(step)
		}
		r.pin(ctx)
	}
	r.watchOffered(ctx)
	if !r.foundAt && r.mended.at.IsZero() && (r.ended || r.live.runs(r.now) >= asFoundAfter) {
		r.recordFindings(ctx, AsFound)
	}
}

// heard is how long the checks have watched the installation untouched; a log that has ended, or a port that does not open, has told
// all it can.
func (r *running) heard() time.Duration {
	if r.ended || r.live.state == Refused {
		return math.MaxInt64
	}
	return r.now.Sub(r.thawed)
}

// watchOffered answers an offered watch probe by itself once the feed has run for the probe's window
// since the last time something was done to the installation.
func (r *running) watchOffered(ctx context.Context) {
	w := r.walk
	p := w.offer.Probe
	if w.offered == "" || p == nil || p.Kind != "watch" || w.frozen || r.now.Sub(r.thawed) < p.Window {
		return
	}
	word := w.walk.Grades(r.found)[p.ID]
	switch {
	case word == "":
	case w.offer.Proof && word != w.offer.Want && r.heard() < Patience*p.Window:
		// The end of the trouble may still be in the window; a cure is not called failed in haste.
	case w.offer.Proof:
		_ = r.step(ctx, faulttree.Step{Act: faulttree.ProofRun, Probe: p.ID, Cause: w.offer.Cured, Answer: word, Why: w.offer.Why})
	default: // it was entered as evidence
		w.dropOffer()
		r.pin(ctx)
	}
}

// recordFindings keeps what the checks and the gauge say now, citing the bytes that they rest on.
func (r *running) recordFindings(ctx context.Context, when string) {
	body := FindingsBody{When: when, Findings: RecordFindings(r.found), Desk: RecordFindings(r.desk),
		Level: RecordLevel(r.level), Capture: r.cite()}
	if r.record(ctx, body) == nil && when == AsFound {
		r.foundAt = true
	}
}

// cite forces the raw capture to disk and names it up to here; nil without one.
func (r *running) cite() *feed.Citation {
	c, err := r.cfg.Feed.Sync()
	if err != nil {
		r.live.trouble = err.Error()
	}
	if c.Path == "" {
		return nil
	}
	return &c
}

// noteDialect records the dialect once it is settled, and again when it changes: an old visit must
// be read as it was.
func (r *running) noteDialect(ctx context.Context) {
	if !r.live.settled || r.cfg.Store == nil {
		return
	}
	d := r.live.dialect
	if text := dialect.Format(d); text != r.dialect {
		if r.record(ctx, DialectBody{Name: d.Name, Dialect: text, Confidence: r.live.stats.DialectConfidence}) == nil {
			r.dialect = text
		}
	}
}

// feedEnded is the end of a log, or of a port that will not come back.
func (r *running) feedEnded(ctx context.Context, why error) {
	r.ended = true
	r.live.over(why)
	r.judge(ctx)
	if errors.Is(why, port.ErrClosed) || errors.Is(why, context.Canceled) {
		return // we closed it ourselves: end says so
	}
	r.toldEnd = true
	words := "the feed came to its end"
	if !errors.Is(why, io.EOF) {
		words = why.Error()
	}
	_ = r.record(ctx, EndedBody{Why: words, Capture: r.cite()})
}

// end is our own leaving: the visit stays open and can be taken up again.
func (r *running) end(ctx context.Context) {
	if r.toldEnd {
		return
	}
	_ = r.record(ctx, EndedBody{Why: "closed by the technician", Capture: r.cite()})
}

// snapshot is all that a screen may show now.
func (r *running) snapshot() Snapshot {
	if r.cfg.Window == 0 || r.found == nil {
		r.found = r.checks.findings(r.now)
	}
	s := Snapshot{Between: r.cfg.Between,
		Now: r.now, Sheet: r.cfg.Sheet, Level: r.level, Largest: r.gauge.Budget().Largest, Trend: r.trend.Trend(), RunFlow: math.NaN(),
		Findings: r.checks.shown(r.now, r.found), Desk: r.desk, Seen: faulttree.Seen(r.cfg.Base, r.found), Notes: r.noteTexts(), Ended: r.ended,
	}
	r.live.fill(&s)
	if r.walk != nil {
		s.Walk = r.walk.view(r.now)
		s.Walk.Words = r.fold.Complaint.Words
	}
	s.Visit = r.fold.Summary()
	if t, ok := r.cfg.Store.(trouble); ok {
		s.Store = t.Trouble()
	}
	if s.Store == "" {
		s.Store = r.live.trouble
	}
	return s
}

func (r *running) noteTexts() []string {
	var out []string
	for _, n := range r.fold.Notes {
		if !n.Undone {
			out = append(out, n.Text)
		}
	}
	return out
}
