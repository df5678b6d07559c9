package bench

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/screentest"
)

// walking is a session whose walk is the real one; its feed stands still.
type walking struct {
	fake
	mu    sync.Mutex
	base  *knowledge.Base
	walk  faulttree.Walk
	snap  visit.Snapshot
	acked bool
}

func (s *walking) Do(_ context.Context, c visit.Command) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	var err error
	o := s.walk.Next()
	step := faulttree.Step{Act: faulttree.Answered}
	switch c := c.(type) {
	case visit.SetComplaint:
		s.walk, err = faulttree.Start(s.base, c.ID, faulttree.Options{Sheet: sceneSheet()})
		s.publish()
		return err
	case visit.Acknowledge:
		s.acked = true
		s.publish()
		return nil
	case visit.CloseVisit:
		s.snap.Visit.Outcome = c.Outcome
		s.publish()
		return nil
	case visit.TryRemedy:
		step = faulttree.Step{Act: faulttree.Remedied, Cause: c.Cause}
	case visit.AnswerProbe:
		step.Probe, step.Answer = c.Probe, c.Answer
		if c.Value != nil {
			step.Value = c.Value
			step.Answer, _ = s.walk.Classify(c.Probe, *c.Value)
		}
		if o.Proof {
			step.Act = faulttree.ProofRun
		}
	default:
		return fmt.Errorf("the test does not know %T", c)
	}
	if s.walk, err = s.walk.Apply(step); err == nil {
		s.acked = false
		s.publish()
	}
	return err
}

func (s *walking) publish() {
	snap := s.snap
	o := s.walk.Next()
	snap.Walk = &visit.WalkView{Complaint: s.walk.Complaint.ID, Title: s.walk.Complaint.Title, Path: s.walk.Path(), Suspects: s.walk.Suspects(),
		Offer: o, AckedCautions: s.acked, Minutes: float64(len(s.walk.Steps()))}
	select {
	case <-s.ch:
	default:
	}
	s.ch <- snap
}

func (s *walking) offer() faulttree.Offer {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.walk.Next()
}

func (s *walking) steps() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.walk.Steps())
}

// All eight complaints from the picker to the closed visit by keys alone, on a terminal of 80x24: the
// technician does what is offered and finds what the walk expects most.
func TestEveryComplaintIsDrivenToItsEndByKeys(t *testing.T) {
	base, err := knowledge.Load("")
	require.NoError(t, err)
	for i, c := range base.Complaints {
		t.Run(c.ID, func(t *testing.T) {
			t.Parallel()
			s := &walking{base: base, snap: picking()}
			s.snap.Seen = nil
			for _, c := range base.Complaints {
				s.snap.Seen = append(s.snap.Seen, faulttree.Sighting{Complaint: c.ID})
			}
			s.ch = make(chan visit.Snapshot, 1)
			s.ch <- s.snap
			screen := screentest.Start(t, host{New(context.Background(), s, Options{Base: base})}, 80, 24)
			screen.WaitFor("What does the customer say?")
			screen.Type(fmt.Sprint(i + 1))
			drive(t, s, screen)
			t.Log(s.outcome(), s.steps(), "steps")
			assert.Contains(t, []string{"mended and proven", "handed on"}, s.outcome())
			assert.GreaterOrEqual(t, s.steps(), 2, "a question and its answer, or a remedy and its proof")
		})
	}
}

func drive(t *testing.T, s *walking, screen *screentest.Screen) {
	screen.WaitFor(" 0 min so far")
	for steps := 0; steps < 40; steps++ {
		o := s.offer()
		if len(o.Cautions) > 0 {
			screen.WaitUntil("the caution", func(v string) bool { return strings.Contains(v, "> a I have") || strings.Contains(v, "> down") })
			for strings.Contains(screen.Screen(), "> down") {
				screen.Type("<down>")
			}
			screen.Type("a")
			screen.WaitGone("CAUTION")
		}
		screen.WaitFor(fmt.Sprintf(" %d min so far", s.steps()))
		switch {
		case o.Done, o.HandOn:
			screen.Type("<enter>")
			screen.WaitFor("Hand-over: how does the visit end?")
			screen.Type("<enter>")
			screen.WaitFor("The visit is closed")
			return
		case o.Remedy != nil:
			screen.WaitFor("it is done; then the cure is proven")
			screen.Type("<enter>")
		case len(o.Limits) > 0:
			screen.WaitFor("type the reading")
			screen.Type("<enter>", fmt.Sprintf("%g %s", inside(o), o.Probe.Unit), "<enter>")
		default:
			want := likeliest(o)
			if o.Proof {
				want = o.Want
			}
			for i, a := range o.Probe.Answers {
				if a == want {
					screen.Type(fmt.Sprint(i + 1))
				}
			}
		}
		screen.WaitUntil("the next step", func(string) bool { return s.steps() > steps })
	}
	t.Fatal("the walk does not end")
}

// inside is a reading in the band of the answer that is expected most.
func inside(o faulttree.Offer) float64 {
	want := likeliest(o)
	if o.Proof {
		want = o.Want
	}
	for _, v := range append([]float64{0, o.Limits[0] / 2}, beyond(o.Limits)...) {
		if band(v, o.Limits, o.Probe.Answers) == want {
			return v
		}
	}
	return 0
}

func beyond(limits []float64) (out []float64) {
	for _, l := range limits {
		out = append(out, l*1.01)
	}
	return out
}

func (s *walking) outcome() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.snap.Visit.Outcome
}

// The report is written when the outcome is on disk, not before, and its path stays on the screen.
func TestTheReportFollowsTheOutcome(t *testing.T) {
	var asked string
	write := func(_ context.Context, id string, trend []visit.Point) ([]string, error) {
		asked = id
		require.NotEmpty(t, trend)
		return []string{"/data/visit-3.html", "/data/visit-3-customer.html"}, nil
	}
	s := cured()
	m, _ := at(80, 24, s, Options{Report: write}, "enter")
	m, cmd := m.Update(screentest.Key("enter"))
	require.Empty(t, asked)
	m, cmd = m.Update(cmd())
	m, _ = m.Update(firstOf(t, cmd))
	require.Equal(t, s.Visit.ID, asked)
	s.Visit.Outcome = visit.MendedProven
	m, _ = m.Update(came{snap: s, ok: true})
	assert.Contains(t, m.View(), "Report:           /data/visit-3.html")
	assert.Contains(t, m.View(), "Customer's sheet: beside it, visit-3-customer.html")

	failing := Options{Report: func(context.Context, string, []visit.Point) ([]string, error) { return nil, errors.New("disk full") }}
	m, _ = at(80, 24, cured(), failing, "enter")
	m, cmd = m.Update(screentest.Key("enter"))
	m, cmd = m.Update(cmd())
	m, _ = m.Update(firstOf(t, cmd))
	assert.Contains(t, m.View(), "! the visit is closed and on disk, its report could not be written: disk full")
}

// firstOf runs the first command of several.
func firstOf(t *testing.T, cmd tea.Cmd) tea.Msg {
	t.Helper()
	require.NotNil(t, cmd)
	batch, ok := cmd().(tea.BatchMsg)
	require.True(t, ok)
	return batch[0]()
}
