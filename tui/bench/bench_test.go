package bench

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/tui/keys"
	"example.org/tankhand/tui/screentest"
	"example.org/tankhand/tui/theme"
)

func TestCommands(t *testing.T) {
	volts := 4.5
	tests := []struct {
		name string
		snap visit.Snapshot
		keys []string
		want []visit.Command
	}{
		{"the seen complaint is marked first", picking(), []string{"enter"},
			[]visit.Command{visit.SetComplaint{ID: "relay-chatter", Words: "The relay clicks on and off far more often than the water calls for."}}},
		{"a digit chooses a complaint", picking(), []string{"2"},
			[]visit.Command{visit.SetComplaint{ID: "no-echo", Words: "The display says no echo, or nothing at all."}}},
		{"a reading is typed in volts", measuring(), []string{"4", ".", "5", "enter"},
			[]visit.Command{visit.AnswerProbe{Probe: "supply-sag-volts", Value: &volts}}},
		{"a reading is typed in millivolts", measuring(), []string{"enter", "4500 mV", "enter"},
			[]visit.Command{visit.AnswerProbe{Probe: "supply-sag-volts", Value: &volts}}},
		{"nonsense is no reading", measuring(), []string{"enter", "x", "enter"}, nil},
		{"letters type while a field is open", measuring(), []string{"4", "s", "u", "q", "esc"}, nil},
		{"no answer before the caution is read", cautious(), []string{"1", "enter", "2"}, nil},
		{"the caution is acknowledged", cautious(), []string{"a"}, []visit.Command{visit.Acknowledge{}}},
		{"Enter accepts what the feed says", watched("steady and right"), []string{"enter"},
			[]visit.Command{visit.AnswerProbe{Probe: "board-test", Answer: "steady and right"}}},
		{"a digit overrules the feed", watched("steady and right"), []string{"3"},
			[]visit.Command{visit.AnswerProbe{Probe: "board-test", Answer: "jumps"}}},
		{"the arrows overrule the feed", watched("steady and right"), []string{"down", "down", "enter"},
			[]visit.Command{visit.AnswerProbe{Probe: "board-test", Answer: "steady but wrong"}}},
		{"Enter says nothing while the feed cannot tell", watched(""), []string{"enter"}, nil},
		{"Esc stops watching", watched(""), []string{"esc"}, []visit.Command{visit.EndTrial{}}},
		{"skip for safety", measuring(), []string{"s", "3"},
			[]visit.Command{visit.SkipStep{How: faulttree.NotSafe, Reason: "not safe to do here"}}},
		{"skip, marked with an arrow", measuring(), []string{"s", "down", "enter"},
			[]visit.Command{visit.SkipStep{How: faulttree.CannotTell, Reason: "tried it, cannot tell"}}},
		{"Esc does not skip", measuring(), []string{"s", "esc"}, nil},
		{"undo", measuring(), []string{"u"}, []visit.Command{visit.UndoLast{}}},
		{"the offered remedy was done", mendingScene(), []string{"enter"}, []visit.Command{visit.TryRemedy{Cause: "brownout"}}},
		{"another remedy was done", measuring(), []string{"r", "2", "enter"}, []visit.Command{visit.TryRemedy{Cause: "thin-cable"}}},
		{"a note", measuring(), []string{"n", "wet lid", "enter"}, []visit.Command{visit.AddNote{Text: "wet lid"}}},
		{"an empty note is none", measuring(), []string{"n", "enter"}, nil},
		{"a skipped probe is opened again", measuring(), []string{"o", "enter"}, []visit.Command{visit.BringBackProbe{Probe: "cable-look"}}},
		{"proven", cured(), []string{"enter", "enter"}, []visit.Command{visit.CloseVisit{Outcome: "mended and proven", CuredBy: "brownout"}}},
		{"not proven cannot be claimed", mendingScene(), []string{"h", "1", "enter"}, nil},
		{"with a follow-up", cured(), []string{"enter", "d", "in a week", "enter", "3", "enter"},
			[]visit.Command{visit.CloseVisit{Outcome: "handed on", FollowUp: "in a week"}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, f := at(80, 24, tt.snap, Options{}, tt.keys...)
			assert.Equal(t, tt.want, f.done)
		})
	}
}

func TestBeginATrialOnceTheCautionIsRead(t *testing.T) {
	s := watched("")
	w := *s.Walk
	w.Trial = nil
	s.Walk = &w
	_, f := at(80, 24, s, Options{}, "enter")
	assert.Equal(t, []visit.Command{visit.BeginTrial{}}, f.done)
}

func TestTheBetterStepIsOnlyTakenWhenAsked(t *testing.T) {
	s := measuring()
	_, f := at(80, 24, s, Options{}, "b")
	assert.Empty(t, f.done)
	w := *s.Walk
	w.Better = "look for the diode"
	s.Walk = &w
	m, f := at(80, 24, s, Options{}, "b")
	assert.Contains(t, m.View(), "better now: look for the diode")
	assert.Equal(t, []visit.Command{visit.TakeBetter{}}, f.done)
}

// While a command is being stored a second key must not answer the step after it.
func TestASecondKeyWaitsUntilTheFirstIsStored(t *testing.T) {
	m, f := at(80, 24, watched("steady and right"), Options{})
	m, first := m.Update(screentest.Key("1"))
	require.NotNil(t, first)
	m, second := m.Update(screentest.Key("1"))
	assert.Nil(t, second)
	m, _ = m.Update(first())
	_, second = m.Update(screentest.Key("1"))
	assert.Nil(t, second, "stored, but the screen still shows the step before")
	assert.Len(t, f.done, 1)
	m, _ = m.Update(came{snap: cured(), ok: true})
	assert.True(t, m.free())
}

func TestARefusedCommandIsSaid(t *testing.T) {
	m, f := at(80, 24, measuring(), Options{})
	f.err = errors.New("storing the answer: disk full (free some space, then answer again)")
	m = press(m, "4", "enter")
	assert.Contains(t, m.View(), "! storing the answer: disk full")
}

func TestMessagesOfAnotherScreenAreDropped(t *testing.T) {
	m, _ := at(80, 24, measuring(), Options{ID: 0})
	before := m.View()
	m, cmd := m.Update(came{id: 7, snap: picking(), ok: true})
	assert.Nil(t, cmd)
	m, _ = m.Update(stored{id: 7, err: errors.New("not ours")})
	assert.Equal(t, before, m.View())
}

func TestOnlyTheNewestSnapshotIsTaken(t *testing.T) {
	f := &fake{ch: make(chan visit.Snapshot, 3)}
	for i := range 3 {
		f.ch <- visit.Snapshot{Visit: visit.Summary{Number: int64(i)}}
	}
	msg := New(context.Background(), f, Options{}).Init()()
	assert.Equal(t, int64(2), msg.(came).snap.Visit.Number)
}

func TestTheEndOfTheSessionIsSaid(t *testing.T) {
	m, f := at(80, 24, measuring(), Options{})
	close(f.ch)
	m, cmd := m.Update(m.wait()())
	assert.Nil(t, cmd)
	assert.Contains(t, m.View(), "! ended")
	press(m, "s", "1", "u", "n")
	assert.Empty(t, f.done)
}

func TestAStoreThatFailsIsAlwaysShown(t *testing.T) {
	s := measuring()
	s.Store = "disk full; events are kept in memory and tried again"
	for _, size := range [][2]int{{80, 24}, {40, 12}} {
		m, _ := at(size[0], size[1], s, Options{})
		assert.Contains(t, m.View(), "! not on disk: disk full")
	}
}

// Every binding that does something is in the list of keys, none is bound twice, whatever is shown.
func TestKeysOfEveryState(t *testing.T) {
	for _, sc := range scenes {
		for mode := working; mode < modeCount; mode++ {
			m, _ := at(80, 60, sc.snap(), sc.opt)
			m.mode = mode
			assert.Empty(t, keys.Clash(m.actions()), "%s, mode %d", sc.name, mode)
			for _, a := range m.actions() {
				assert.NotEmpty(t, a.Help().Key)
				assert.NotEmpty(t, a.Help().Desc)
			}
		}
	}
	m, _ := at(80, 60, measuring(), Options{}, "?")
	for _, a := range New(context.Background(), &fake{}, Options{}).with(measuring()).actions() {
		assert.Contains(t, m.View(), a.Help().Desc)
	}
}

func (m Model) with(s visit.Snapshot) Model {
	m.snap = s
	return m
}

// One word, one key: a key that skips on one screen does not do something else on the next.
func TestOneLanguageOfKeys(t *testing.T) {
	meaning := map[string]map[string]bool{"s": {"skip": true}, "u": {"undo": true}, "w": {"why": true}, "r": {"remedy": true},
		"n": {"note": true}, "f": {"findings": true}, "q": {"leave": true}, "?": {"keys": true}, "i": {"units": true}}
	for _, sc := range scenes {
		for mode := working; mode < modeCount; mode++ {
			m, _ := at(80, 24, sc.snap(), sc.opt)
			m.mode = mode
			for _, a := range m.actions() {
				if words := meaning[a.Help().Key]; words != nil {
					assert.True(t, words[a.Help().Desc], "%s means %q", a.Help().Key, a.Help().Desc)
				}
			}
		}
	}
}

// Nothing that a feed or a person wrote may reach the terminal as a control sequence.
func TestHostileTextIsMadeVisible(t *testing.T) {
	evil := "\x1b[2J\x1b]0;owned\x07\u202e\x9b31m"
	s := measuring()
	s.Sheet.Site, s.Sheet.Asset, s.Why, s.Store, s.Feed.Source = evil, evil, evil, evil, evil
	s.Notes = []string{evil}
	s.Level.Why = evil
	w := *s.Walk
	w.Title, w.Better = evil, evil
	w.Path = []faulttree.Taken{{Title: evil, From: evil, Mark: '\x1b'}}
	w.Suspects = []faulttree.Suspect{{Title: evil, Moved: []faulttree.Weight{{Probe: evil, Answer: evil}}}}
	p := *w.Offer.Probe
	p.Ask, p.Drawing, p.Unit, p.Answers = evil, evil, evil, []string{evil}
	w.Offer.Probe, w.Offer.Title, w.Offer.Why, w.Offer.Good, w.Offer.Have = &p, evil, evil, evil, []string{evil}
	w.Offer.Branches = []faulttree.Branch{{Answer: evil, Leads: []string{evil}}}
	s.Walk = &w
	for i := range s.Findings {
		f := &s.Findings[i]
		f.Check, f.Why, f.Limit, f.Source, f.Missing = evil, evil, evil, evil, evil
	}
	for _, ks := range [][]string{nil, {"w"}, {"f"}, {"f", "enter"}, {"r"}, {"n"}, {"h"}, {"?"}} {
		m, _ := at(120, 36, s, Options{}, ks...)
		assert.NotContains(t, m.View(), "\x1b", "%v", ks)
		assert.NotContains(t, m.View(), "\u202e", "%v", ks)
		assert.Contains(t, m.View(), "^[", "%v", ks)
	}
}

func TestSlowLinkKeepsALineThatHardlyChanged(t *testing.T) {
	m, _ := at(80, 24, measuring(), Options{Slow: true})
	before := m.View()
	near := measuring()
	near.Level.Height += 0.006
	m, _ = m.Update(came{snap: near, ok: true})
	assert.Equal(t, before, m.View())
	far := measuring()
	far.Level.Height += 0.05
	m, _ = m.Update(came{snap: far, ok: true})
	assert.NotEqual(t, before, m.View())
	lost := measuring()
	lost.Level.How = livelevel.Unknown
	m, _ = m.Update(came{snap: lost, ok: true})
	assert.Contains(t, m.View(), "no level yet")
}

// The pause is what keeps the drawing at 5 Hz, or 2 Hz on a slow link.
func TestPauseBetweenPaints(t *testing.T) {
	m, _ := at(80, 24, measuring(), Options{})
	assert.Equal(t, 200*time.Millisecond, m.pause())
	m, cmd := m.Update(again{wait: m.waits - 1})
	assert.Nil(t, cmd, "a tick of an earlier wait starts no second one")
	_, cmd = m.Update(again{wait: m.waits})
	assert.NotNil(t, cmd)
	slow, _ := at(80, 24, measuring(), Options{Slow: true})
	assert.Equal(t, 500*time.Millisecond, slow.pause())
}

func TestTheScreenIsCopiedToAFile(t *testing.T) {
	got := ""
	m, _ := at(80, 24, measuring(), Options{Theme: theme.Theme{Profile: theme.True}, Save: func(s string) (string, error) { got = s; return "/data/screen.txt", nil }})
	m, cmd := m.Update(screentest.Key("c"))
	m, _ = m.Update(cmd())
	assert.Contains(t, got, "Relay chatter")
	assert.NotContains(t, got, "\x1b")
	assert.Contains(t, m.View(), "the screen is in /data/screen.txt")
}

func TestLeavingClosesTheSession(t *testing.T) {
	m, f := at(80, 24, measuring(), Options{}, "q")
	assert.True(t, strings.Contains(m.View(), "the visit stays open"))
	_, cmd := m.Update(screentest.Key("q"))
	require.NotNil(t, cmd)
	assert.Equal(t, Left{}, cmd())
	assert.True(t, f.closed)
}

func TestReadings(t *testing.T) {
	tests := []struct {
		text, unit string
		want       float64
		wrong      bool
	}{
		{"4.21", "V", 4.21, false}, {"4,21", "V", 4.21, false}, {" 350 mV", "V", 0.35, false},
		{"1.2 k", "ohm", 1200, false}, {"1.2 kohm", "ohm", 1200, false}, {"12", "uF", 12e-6, false}, {"12 µF", "uF", 12e-6, false}, {"470 nF", "uF", 470e-9, false},
		{"14", "in", 14 * 0.0254, false}, {"35 cm", "in", 0.35, false}, {"0.35", "m", 0.35, false}, {"-0.1", "V", -0.1, false},
		{"4.2 A", "V", 0, true}, {"", "V", 0, true}, {"1..2", "V", 0, true}, {"1e400", "V", 0, true}, {"nan", "V", 0, true}, {"1,234", "ohm", 0, true}, {"five", "V", 0, true}, {"5 bananas", "V", 0, true},
	}
	for _, tt := range tests {
		got, err := parseReading(tt.text, tt.unit)
		if tt.wrong {
			assert.Error(t, err, tt.text)
			continue
		}
		require.NoError(t, err, tt.text)
		assert.InDelta(t, tt.want, got, 1e-12, tt.text)
	}
}

// A reading on a limit belongs to the upper band, as the knowledge has it.
func TestBands(t *testing.T) {
	limits, answers := []float64{4.3, 4.75}, []string{"deep dip", "dips", "holds up"}
	for v, want := range map[float64]string{0: "deep dip", 4.29: "deep dip", 4.3: "dips", 4.75: "holds up", 9: "holds up"} {
		assert.Equal(t, want, band(v, limits, answers), v)
	}
}

func FuzzReading(f *testing.F) {
	f.Add("4.21", "V")
	f.Add("1.2 k", "ohm")
	f.Add("µ", "uF")
	f.Fuzz(func(t *testing.T, text, unit string) { _, _ = parseReading(text, unit) })
}

// Keys in any order must neither panic nor outgrow the window.
func FuzzKeys(f *testing.F) {
	f.Add("s1u2wrnfhq?\x1b4.2\r", uint8(80), uint8(24))
	f.Fuzz(func(t *testing.T, typed string, w, h uint8) {
		for _, s := range []visit.Snapshot{picking(), measuring(), cautious(), watched("jumps"), cured(), {}} {
			m, _ := at(int(w)%140, int(h)%50, s, Options{})
			for _, r := range typed[:min(len(typed), 60)] {
				name := string(r)
				switch r {
				case '\r':
					name = "enter"
				case '\x1b':
					name = "esc"
				case '\t':
					name = "down"
				}
				m, _ = m.Update(screentest.Key(name))
				m.busy = false
				require.LessOrEqual(t, strings.Count(m.View(), "\n"), max(0, int(h)%50-1))
			}
		}
	})
}
