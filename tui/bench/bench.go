// Package bench is the main screen: the tank live beside the fault finding. It is a view on
// visit.Snapshot and sends visit.Command; nothing is computed here.
package bench

import (
	"context"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/theme"
)

// Session is the running visit behind the screen.
type Session interface {
	// Do carries out a command; it returns when the event is on disk, or why it was refused.
	Do(ctx context.Context, c visit.Command) error
	// Snapshots carries the newest snapshot and is closed when the session has ended.
	Snapshots() <-chan visit.Snapshot
	Close() error
}

// Options of the screen. The zero value is a UTF-8 terminal without colours and metric units.
type Options struct {
	Theme theme.Theme
	Units draw.Units
	// Slow repaints at 2 Hz instead of 5 and lays the tank down.
	Slow bool
	// Base names complaints and causes in words; without it their ids are shown.
	Base *knowledge.Base
	// Save writes the text of the screen to a file and returns its path; nil: there is no such key.
	Save func(text string) (path string, err error)
	// SaveDialect keeps a dialect for this site and returns where; nil: there is no such key.
	SaveDialect func(dialect.Dialect) (path string, err error)
	// Report writes the report of the visit and returns the paths of its files; nil: there is none.
	Report func(ctx context.Context, visit string, trend []visit.Point) (paths []string, err error)
	// Visits and Settings offer the keys to those screens.
	Visits, Settings bool
	// ID tells the messages of this screen from those of an earlier one.
	ID int
}

// Left says that the session has been closed and the screen is done.
type Left struct{ Err error }

// mode is what the work side of the screen shows.
type mode uint8

const (
	working mode = iota // complaint picker or walk
	skipping
	explaining
	listing  // findings
	reading  // one finding
	trending // big trend
	helping
	noting
	mending
	opening // another probe, or a skipped one again
	closing // hand-over
	leaving // asks
	teaching
	choosing // the role of a column
	modeCount
)

// pane is which side is shown.
type pane uint8

const (
	both pane = iota
	onlyTree
	onlyTank
	paneCount
)

// Model is the screen's state. It is a value: Update returns the next one.
type Model struct {
	opt     Options
	ctx     context.Context
	session Session
	snap    visit.Snapshot
	have    bool // a snapshot came
	ended   bool // the session has ended
	w, h    int
	mode    mode
	pane    pane
	span    int // of spans
	mark    int // marked row of the list shown
	column  int // of the teach-in, whose role is chosen
	answer  int // marked answer, -1 none
	scroll  int
	asked   string // the offered step that answer belongs to
	field   *field
	busy    bool // a command is being stored, or its effect has not been seen yet
	settled bool // the command is stored; the next snapshot shows its effect
	gone    bool // the session is being closed
	status  string
	bad     bool // the status is an error
	waits   int  // number of the newest wait; ticks of older ones are stale
	pausing bool
	found   *asFound
	hand    handOver
	// unfinished is the note being typed, drafts the number of its newest draft.
	unfinished string
	drafts     int
	memo       *memo
	shown      int      // state of the screen, for the memo
	handing    bool     // the visit is being closed; its report comes next
	reports    []string // where the report was written
}

// asFound is what was found when the complaint was set, for the hand-over.
type asFound struct {
	findings []diagnostics.Finding
	level    livelevel.Level
}

var spans = []time.Duration{10 * time.Minute, time.Hour, time.Minute}

// New is a bench on a session; ctx bounds the commands it sends.
func New(ctx context.Context, s Session, opt Options) Model {
	return Model{ctx: ctx, session: s, opt: opt.sparing(), answer: -1, unfinished: draftOf(s), memo: &memo{}}
}

// sparing are the options on a slow link.
func (o Options) sparing() Options {
	o.Units.Coarse = o.Units.Coarse || o.Slow
	if o.Slow && o.Theme.Profile == theme.True { // its sequences are three times as long
		o.Theme.Profile = theme.Sixteen
	}
	return o
}

// By is the bench drawn by other options.
func (m Model) By(opt Options) Model {
	m.opt = opt.sparing()
	return m.touched()
}

// Visit is the id of the visit on the bench.
func (m Model) Visit() string { return m.snap.Visit.ID }

// AskToLeave shows the question before the bench is left.
func (m Model) AskToLeave() Model {
	m, _ = show(leaving)(m, tea.KeyMsg{})
	return m.touched()
}

// Init waits for the first snapshot.
func (m Model) Init() tea.Cmd { return m.wait() }

// walk is the walk shown, or an empty one.
func (m Model) walk() visit.WalkView {
	if m.snap.Walk == nil {
		return visit.WalkView{}
	}
	return *m.snap.Walk
}

// trial is the running watch, or nil.
func (m Model) trial() *visit.TrialView { return m.walk().Trial }

// answers are those of the offered probe.
func (m Model) answers() []string {
	if p := m.walk().Offer.Probe; p != nil {
		return p.Answers
	}
	return nil
}

// typed tells whether the offered probe is answered by typing a meter reading.
func (m Model) typed() bool {
	o := m.walk().Offer
	return o.Probe != nil && o.Probe.Kind == "measured" && len(o.Limits) > 0
}

// cautioned tells whether cautions are still to be acknowledged.
func (m Model) cautioned() bool {
	w := m.walk()
	return len(w.Offer.Cautions) > 0 && !w.AckedCautions
}

// ready tells whether the offered step may be dealt with now.
func (m Model) ready() bool {
	return m.snap.Walk != nil && m.free() && !m.walk().Done && !m.cautioned()
}

// free tells whether a command may be sent: none is being stored, there is a session, and its visit
// has no outcome yet.
func (m Model) free() bool { return !m.busy && !m.ended && !m.gone && !m.closed() }

// closed tells whether the visit has its outcome.
func (m Model) closed() bool { return m.snap.Visit.Outcome != "" }
