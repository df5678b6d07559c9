package bench

import (
	"fmt"
	"path/filepath"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/entry"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/theme"
)

// outcomes are the ways in which a visit ends, in the record's words.
var outcomes = visit.Outcomes()

// handOver is what will close the visit.
type handOver struct {
	curedBy, title, followUp string
}

// proposed is the hand-over that the walk suggests, and the place of its outcome.
func (m Model) proposed() (h handOver, outcome int) {
	outcome = 3
	for _, t := range m.walk().Path {
		if t.Step.Act == faulttree.Remedied && !t.Stale {
			h.curedBy, h.title, outcome = t.Step.Cause, t.Title, 1
		}
	}
	if c := m.walk().Offer.Cured; c != "" {
		h.curedBy, h.title, outcome = c, m.causeTitle(c), 1
	}
	for _, s := range m.walk().Suspects {
		if s.Cured {
			h.curedBy, h.title = s.Cause, s.Title
		}
	}
	switch {
	case m.fits(outcomes[0]):
		outcome = 0
	case m.walk().Offer.HandOn, outcome == 3 && m.somethingFound():
		outcome = 2
	}
	return h, outcome
}

// somethingFound: a check was or is out of order, so that "no fault found" must be chosen, not proposed.
func (m Model) somethingFound() bool {
	all := m.snap.Findings
	if m.found != nil {
		all = append(append([]finding{}, all...), m.found.findings...)
	}
	for _, f := range all {
		if f.Verdict == diagnostics.Fail {
			return true
		}
	}
	return false
}

func (m Model) causeTitle(id string) string {
	for _, s := range m.walk().Suspects {
		if s.Cause == id {
			return s.Title
		}
	}
	return words(id)
}

// fits tells whether an outcome may be claimed: proven needs a proof.
func (m Model) fits(outcome string) bool {
	return outcome != outcomes[0] || m.walk().Offer.Done && m.walk().Offer.Proven
}

func (m Model) handOverActions() []action {
	free := m.free()
	return []action{
		on(keys.When(free, pick(len(outcomes), "outcome")), func(m Model, msg tea.KeyMsg) (Model, tea.Cmd) {
			m.mark = keys.Index(msg)
			return m, nil
		}),
		on(keys.Up, move(-1)), on(keys.Down, move(1)),
		on(keys.When(free && m.fits(outcomes[min(m.mark, len(outcomes)-1)]), keys.As(keys.Enter, "close the visit")), closeVisit),
		on(keys.As(keys.FollowUp, "follow-up"), func(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
			m.field = &field{kind: followUpField, Line: entry.Of("Follow-up", m.hand.followUp)}
			return m, nil
		}),
		on(keys.Units, otherUnits),
	}
}

func closeVisit(m Model, _ tea.KeyMsg) (Model, tea.Cmd) {
	c := visit.CloseVisit{Outcome: outcomes[m.mark], FollowUp: m.hand.followUp}
	if m.mark <= 1 {
		c.CuredBy = m.hand.curedBy
	}
	m.mode, m.handing = working, m.opt.Report != nil
	return m.do(c, "the visit is closed: "+c.Outcome)
}

func (m Model) closingBody(w, h int) draw.Block {
	out := draw.Block{draw.Of(theme.Strong, " Hand-over: how does the visit end?")}
	for i, o := range outcomes {
		l := append(draw.Numbered(i, i == m.mark), draw.Say(theme.Plain, o))
		if !m.fits(o) {
			l = append(l, draw.Say(theme.Dim, "   not yet: the proof has not been passed"))
		}
		out = append(out, l.Cut(w))
	}
	out = append(out, m.cureLines(w)...)
	if m.hand.followUp != "" {
		out = append(out, draw.Line{draw.Say(theme.Dim, "   Follow-up: "), draw.Say(theme.Plain, m.hand.followUp)}.Cut(w))
	}
	return append(out, m.leftBehind(w, h-len(out))...)
}

// cureLines say what was mended, whether that is proven, and the parts that went into it.
func (m Model) cureLines(w int) (out draw.Block) {
	if m.hand.title == "" {
		return nil
	}
	out = append(out, draw.Line{draw.Say(theme.Dim, "   Cured by: "), draw.Say(theme.Plain, m.hand.title)}.Cut(w))
	o := m.walk().Offer
	mark, proof := theme.MarkUnknown, "no proof was made"
	switch {
	case o.Done && o.Proven:
		mark, proof = theme.MarkGood, "its own proof and that of the complaint have passed"
	case o.Done:
		proof = "not yet, let it run on: " + o.Why
	case o.Proof:
		proof = "still to be done: " + draw.OfferTitle(o)
	}
	out = append(out, draw.Line{draw.Say(theme.Dim, "   Proven:   "), draw.Mark(mark), draw.Say(theme.Plain, " "+proof)}.Cut(w))
	if b := m.opt.Base; b != nil && b.Causes[m.hand.curedBy] != nil && len(b.Causes[m.hand.curedBy].Parts) > 0 {
		out = append(out, draw.Line{draw.Say(theme.Dim, "   Parts:    "), draw.Say(theme.Plain, strings.Join(b.Causes[m.hand.curedBy].Parts, ", "))}.Cut(w))
	}
	return out
}

// leftBehind puts as found beside as left, the checks that changed or are still not in order.
func (m Model) leftBehind(w, h int) draw.Block {
	if m.found == nil || h < 3 {
		return nil
	}
	half := (w - 24) / 2
	head := append(draw.Of(theme.Strong, "").Fit(22), draw.Of(theme.Strong, "as found").Fit(half)...)
	out := draw.Block{nil, append(head, draw.Say(theme.Strong, "as left")).Cut(w)}
	vf, vl := draw.VesselOf(m.snap.Sheet, m.found.level), draw.VesselOf(m.snap.Sheet, m.snap.Level)
	row := append(draw.Of(theme.Plain, "   level").Fit(22), draw.Reading(vf, m.opt.Units).Fit(half)...)
	out = append(out, append(row, draw.Reading(vl, m.opt.Units)...).Cut(w))
	for _, f := range draw.Worst(m.found.findings) {
		now := same(m.snap.Findings, f.Check)
		if f.Verdict == now.Verdict && f.Verdict != diagnostics.Fail {
			continue
		}
		row := append(draw.Of(theme.Plain, "   "+words(f.Check)).Fit(22), judged(f).Fit(half)...)
		out = append(out, append(row, judged(now)...).Cut(w))
	}
	if len(out) > h {
		out = append(out[:h-1], draw.Of(theme.Dim, fmt.Sprintf("   … %d more", len(out)-h+1)))
	}
	return out
}

func same(list []finding, check string) finding {
	for _, f := range list {
		if f.Check == check {
			return f
		}
	}
	return finding{Check: check}
}

func judged(f finding) draw.Line {
	word := [...]string{"cannot tell", "in order", "not in order"}[min(int(f.Verdict), 2)]
	return draw.Line{draw.Mark(draw.VerdictMark(f.Verdict)), draw.Say(theme.Plain, " "+word)}
}

// writtenReport is the end of writing the report.
type writtenReport struct {
	id    int
	paths []string
	err   error
}

// report writes the report beside the screen.
func (m Model) report() tea.Cmd {
	ctx, write, id, visit, trend := m.ctx, m.opt.Report, m.opt.ID, m.snap.Visit.ID, m.snap.Trend
	return func() tea.Msg {
		paths, err := write(ctx, visit, trend)
		return writtenReport{id, paths, err}
	}
}

func (m Model) reported(r writtenReport) Model {
	if r.err != nil {
		m.status, m.bad = "the visit is closed and on disk, its report could not be written: "+r.err.Error(), true
		return m
	}
	m.reports = r.paths
	m.status, m.bad = "the report is written", false
	return m
}

// reportLines say where the report is; what else was written lies beside it.
func (m Model) reportLines(w int) (out draw.Block) {
	for i, path := range m.reports {
		head := " Report:           "
		if i > 0 {
			head, path = " Customer's sheet: ", "beside it, "+filepath.Base(path)
		}
		out = append(out, draw.Line{draw.Say(theme.Dim, head), draw.Say(theme.Plain, path)}.Cut(w))
	}
	return out
}
