package bench

import (
	"cmp"
	"math"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/keys"
)

type (
	// came is the next snapshot; ok is false when the session has ended.
	came struct {
		id   int
		snap visit.Snapshot
		ok   bool
	}
	// stored is the end of a command.
	stored struct {
		id   int
		err  error
		said string
		note string // that could not be stored
	}
	// saved is the end of a copy to a file.
	saved struct {
		id   int
		what string
		path string
		err  error
	}
	// again ends the pause between two paints.
	again struct{ id, wait int }
)

// wait is the one wait-for-next command of the snapshot channel; it takes the newest there is.
func (m Model) wait() tea.Cmd {
	id, ch := m.opt.ID, m.session.Snapshots()
	return func() tea.Msg {
		s, ok := <-ch
		for ok {
			select {
			case next, more := <-ch:
				if !more {
					return came{id, s, true}
				}
				s = next
			default:
				return came{id, s, true}
			}
		}
		return came{id: id}
	}
}

// pause is how long the screen waits before it takes the next snapshot.
func (m Model) pause() time.Duration {
	if m.opt.Slow {
		return 500 * time.Millisecond
	}
	return 200 * time.Millisecond
}

// Update takes a message and never blocks.
func (m Model) Update(msg tea.Msg) (Model, tea.Cmd) {
	next, cmd := m.update(msg)
	if _, pause := msg.(again); pause { // nothing to see
		return next, cmd
	}
	return next.touched(), cmd
}

func (m Model) update(msg tea.Msg) (Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = msg.Width, msg.Height
	case came:
		if msg.id == m.opt.ID {
			return m.take(msg)
		}
	case again:
		if msg.id == m.opt.ID && msg.wait == m.waits && m.pausing {
			m.pausing = false
			return m, m.wait()
		}
	case stored:
		if msg.id == m.opt.ID {
			return m.settle(msg)
		}
	case saved:
		if msg.id == m.opt.ID {
			m.status, m.bad = cmp.Or(msg.what, "the screen")+" is in "+msg.path, msg.err != nil
			if m.bad {
				m.status = msg.err.Error()
			}
		}
	case shown:
		if msg.id == m.opt.ID {
			return m.tell(msg), nil
		}
	case writtenReport:
		if msg.id == m.opt.ID {
			m = m.reported(msg)
		}
	case tea.KeyMsg:
		return m.pressAll(msg)
	}
	return m, nil
}

func (m Model) take(c came) (Model, tea.Cmd) {
	if !c.ok {
		m.ended = true
		return m, nil
	}
	if m.settled {
		m.busy, m.settled = false, false
	}
	old := m.snap.Level
	m.snap, m.have = c.snap, true
	if m.opt.Slow && calm(old, c.snap.Level) {
		m.snap.Level = old
	}
	if m.snap.Walk == nil {
		m.found = nil
	} else if m.found == nil {
		m.found = &asFound{c.snap.Findings, c.snap.Level}
	}
	if key := m.step(); key != m.asked { // another step: nothing is marked, an open field is of the old one
		m.asked, m.answer, m.scroll = key, -1, 0
		if m.mode == working {
			m.field = nil
		}
	}
	m.waits++
	m.pausing = true
	id, n := m.opt.ID, m.waits
	return m, tea.Tick(m.pause(), func(time.Time) tea.Msg { return again{id, n} })
}

// deadBand is how far the level must move on a slow link before it is drawn anew: less than the
// centimetre to which it is rounded there, more than the noise of a sound sensor.
const deadBand = 0.008

// calm tells whether a level may stay drawn as it was.
func calm(old, now livelevel.Level) bool {
	return old.How != livelevel.Unknown && (old.How == livelevel.Coasting) == (now.How == livelevel.Coasting) &&
		(old.SecondShare > 0) == (now.SecondShare > 0) && math.Abs(now.Height-old.Height) < deadBand
}

// step names the offered step.
func (m Model) step() string {
	o := m.walk().Offer
	s := draw.OfferTitle(o)
	if o.Probe != nil {
		s += "\x00" + o.Probe.ID
	}
	return s
}

// settle ends a command; what it changed is painted without waiting for the pause to end. No other
// command is taken before that: it would be meant for the step that is still shown.
func (m Model) settle(s stored) (Model, tea.Cmd) {
	m.status, m.bad, m.settled = s.said, false, true
	if s.err != nil {
		m.status, m.bad = s.err.Error(), true
		m.busy, m.settled, m.handing = false, false, false
		if s.note != "" {
			m.unfinished = s.note
		}
	}
	var next [2]tea.Cmd
	if m.handing {
		m.handing, next[0] = false, m.report()
	}
	if m.pausing {
		m.pausing = false
		next[1] = m.wait()
	}
	return m, tea.Batch(next[:]...)
}

func (m Model) press(msg tea.KeyMsg) (Model, tea.Cmd) {
	if m.field != nil {
		return m.typeKey(msg)
	}
	next, cmd, ok := keys.Dispatch(m, msg, m.actions())
	if ok && cmd == nil && next.status == m.status {
		next.status, next.bad = "", false
	}
	return next, cmd
}

// do sends a command; until it is stored no other step can be taken.
func (m Model) do(c visit.Command, said string) (Model, tea.Cmd) {
	m.busy = true
	m.status, m.bad = "", false
	ctx, s, id := m.ctx, m.session, m.opt.ID
	return m, func() tea.Msg { return stored{id: id, err: s.Do(ctx, c), said: said} }
}

// leave closes the session and says that it has left.
func (m Model) leave() (Model, tea.Cmd) {
	if m.gone {
		return m, nil
	}
	m.gone, m.status = true, "putting everything on disk"
	s := m.session
	return m, func() tea.Msg { return Left{s.Close()} }
}
