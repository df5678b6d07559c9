package diagnostics

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var trialStart = time.Date(2026, 5, 4, 7, 0, 0, 0, time.UTC)

// box is a tank of one square metre, two metres high, for tests.
type box struct{}

func (box) Height() float64          { return 2 }
func (box) Volume(h float64) float64 { return h }
func (box) Area(float64) float64     { return 1 }
func (box) Level(v float64) float64  { return v }
func known(v float64) site.Fact {
	return site.Fact{Quantity: quantity.Quantity{V: v}, Origin: site.Given}
}
func length(v float64) site.Fact  { f := known(v); f.Dim = quantity.Length; return f }
func shareOf(v float64) site.Fact { f := known(v); f.Dim = quantity.Ratio; return f }

// trialSheet is an invented installation: face 2.2 m up, full at 0.4 m, empty at 2.0 m, 3.6 m3/h.
func trialSheet() *site.Sheet {
	s := &site.Sheet{}
	s.Tank.Shape = box{}
	s.Sensor.FaceHeight = length(2.2)
	s.Marks = site.Marks{Full: length(.4), Empty: length(2.0), LowSet: site.Mark{Fact: shareOf(.4)}, FullSet: site.Mark{Fact: shareOf(.95)}}
	s.Pump.HealthyFlow = known(3.6 / 3600)
	s.Pump.RunningCurrent = known(2.8)
	s.Controller.OnLostEcho = "holds"
	s.Controller.MinOff = known(5)
	return s
}

// moment is what a test's feed shows at a second; the zero value is an empty report.
type moment struct {
	ullage  float64
	lost    bool
	pump    int // 0 off, 1 on, -1 not sent
	current float64
	kind    livelevel.Kind
	silent  bool
	button  bool
}

// feedTrial plays f into a trial, twice a second for so long, with 3 mm of noise, and returns the
// first state that is done, or the last.
func feedTrial(t *testing.T, kind string, answers []string, before []Finding, sheet *site.Sheet, d time.Duration, f func(s float64) moment) TrialState {
	tr, ok := NewTrial(kind, answers, before, sheet, trialStart)
	require.True(t, ok, kind)
	r := rand.New(rand.NewPCG(3, 4))
	st := TrialState{}
	for at := time.Duration(0); at <= d; at += 500 * time.Millisecond {
		now := trialStart.Add(at)
		if m := f(at.Seconds()); !m.silent {
			l := levelOf(m, now, r)
			tr.Add(&l)
		}
		if st = tr.State(now); st.Done {
			return st
		}
	}
	return st
}

func levelOf(m moment, now time.Time, r *rand.Rand) livelevel.Level {
	rd := livelevel.Reading{Time: now, Kind: m.kind}
	l := livelevel.Level{Ullage: math.NaN(), RawUllage: math.NaN(), Height: math.NaN(), Percent: math.NaN()}
	if m.pump >= 0 {
		rd.Set(livelevel.Pump, float64(m.pump))
	}
	if m.current > 0 {
		rd.Set(livelevel.MotorCurrent, m.current)
	}
	if m.button {
		rd.Set(livelevel.Button, 1)
	} else {
		rd.Set(livelevel.Button, 0)
	}
	if m.lost {
		rd.EchoLost = true
	} else if m.kind == livelevel.Report {
		u := m.ullage + .003*r.NormFloat64()
		rd.Set(livelevel.Ullage, u)
		l.Ullage, l.RawUllage, l.Height, l.Percent = u, u, 2.2-u, 100*(2-u)/1.6
	}
	l.Reading = rd
	return l
}

func before(check string, evidence time.Duration, grades []Grade, figures ...Figure) Finding {
	return Finding{Check: check, Grades: grades, Figures: figures, Evidence: Span{trialStart.Add(-evidence), trialStart}}
}

func lossesBefore(share float64) []Finding {
	return []Finding{before("echo-dropouts", 10*time.Minute, []Grade{{Aspect: "amount", Word: "some"}}, Figure{Name: "dropout_fraction", Value: share})}
}

func every(n int, s float64) bool { return int(2*s)%n == 0 }

func TestTrials(t *testing.T) {
	boardWords := []string{"steady and right", "steady but wrong", "jumps", "no echo"}
	gone := []string{"no change", "clears"}
	starts := []string{"relay clicks and pump runs", "relay clicks and pump hums", "relay clicks and pump silent", "no click"}
	auto := []string{"starts by itself and the level rises", "starts but no rise", "called but no start", "not called"}
	full := []string{"stops at full and stays", "stops too early", "runs past full", "stops but the level rises on"}
	cycle := []string{"right", "never pulls in", "never drops out", "wrong way round", "wrong on a lost echo"}
	unplug := []string{"holds", "calls the pump", "stops the pump"}
	stands := []string{"stands still now", "falls on", "was not falling"}
	falls := []Finding{before("draw-rate", time.Hour, []Grade{{Aspect: "trend", Word: "falls"}}, Figure{Name: "draw_m3_per_h", Value: .6})}
	restarts := []Finding{before("restarts", time.Hour, nil, Figure{Name: "restarts", Value: 120})}
	at := func(u float64) func(float64) moment { return func(float64) moment { return moment{ullage: u} } }
	rise := func(called, perMinute float64) func(float64) moment {
		return func(s float64) moment {
			if s < called {
				return moment{ullage: 1.5}
			}
			return moment{ullage: 1.5 - perMinute/60*(s-called), pump: 1}
		}
	}
	for _, c := range []struct {
		name, kind string
		words      []string
		before     []Finding
		feed       func(float64) moment
		want       string
	}{
		{"board right", "board 0.5", boardWords, nil, func(s float64) moment {
			if s < 15 {
				return moment{ullage: 1.5}
			}
			return moment{ullage: .503}
		}, "steady and right"},
		{"board 3 cm off", "board 0.5", boardWords, nil, at(.53), "steady but wrong"},
		{"board unseen", "board 0.5", boardWords, nil, func(float64) moment { return moment{lost: true} }, "no echo"},
		{"board jumps", "board 0.5", boardWords, nil, func(s float64) moment {
			if every(3, s) {
				return moment{ullage: .9}
			}
			return moment{ullage: .5}
		}, "jumps"},
		{"known good sensor", "known 1", []string{"same trouble", "good reading"}, nil, at(1.005), "good reading"},
		{"known sensor, same trouble", "known 1", []string{"same trouble", "good reading"}, nil, func(float64) moment { return moment{lost: true} }, "same trouble"},
		{"wiped clean", "compare losses jumps 60s", gone, lossesBefore(.4), at(1), "clears"},
		{"wiped in vain", "compare losses jumps 60s", gone, lossesBefore(.4), func(s float64) moment { return moment{ullage: 1, lost: every(2, s)} }, "no change"},
		{"wiped, nothing was wrong", "compare losses 60s", gone, lossesBefore(0), at(1), ""},
		{"restarts gone", "compare restarts 3m", gone, restarts, at(1), "clears"},
		{"restarts too rare to tell", "compare restarts 3m", gone, []Finding{before("restarts", time.Hour, nil, Figure{Name: "restarts", Value: 3})}, at(1), ""},
		{"restarts go on", "compare restarts 3m", gone, restarts, func(s float64) moment {
			if every(50, s) {
				return moment{kind: livelevel.Restart}
			}
			return moment{ullage: 1}
		}, "no change"},
		{"cable moves it", "moves", []string{"still", "moves"}, lossesBefore(.02), func(s float64) moment { return moment{ullage: 1, lost: s > 20 && every(2, s)} }, "moves"},
		{"cable does not", "moves", []string{"still", "moves"}, lossesBefore(.02), at(1), "still"},
		{"rock helps", "rock", []string{"no change", "better"}, nil, func(s float64) moment { return moment{ullage: 1, lost: s < 30} }, "better"},
		{"rock in vain", "rock", []string{"no change", "better"}, nil, func(s float64) moment { return moment{ullage: 1, lost: every(2, s)} }, "no change"},
		{"feed appears", "appears 40s", gone, nil, at(1), "clears"},
		{"feed restarts on", "appears 40s", gone, nil, func(s float64) moment {
			if every(10, s) {
				return moment{kind: livelevel.Restart}
			}
			return moment{ullage: 1}
		}, "no change"},
		{"no feed", "appears 40s", gone, nil, func(float64) moment { return moment{silent: true} }, "no change"},
		{"relay called at start-up", "reboot", []string{"quiet", "clicks"}, nil, func(s float64) moment {
			if s == 5 {
				return moment{kind: livelevel.Restart}
			}
			return moment{ullage: 1, pump: map[bool]int{true: 1}[s > 5 && s < 8]}
		}, "clicks"},
		{"no call at start-up is no silence", "reboot", []string{"quiet", "clicks"}, nil, func(s float64) moment {
			if s == 5 {
				return moment{kind: livelevel.Restart}
			}
			return moment{ullage: 1}
		}, ""},
		{"button answers", "button", []string{"answers", "dead"}, nil, func(s float64) moment { return moment{button: s > 5 && s < 6} }, "answers"},
		{"pump starts", "start", starts, nil, rise(5, .06), "relay clicks and pump runs"},
		{"pump called in vain", "start", starts, nil, rise(5, 0), ""},
		{"pump silent by its current", "start", starts, nil, func(s float64) moment {
			return moment{ullage: 1.5, pump: map[bool]int{true: 1}[s > 5], current: .01}
		}, "relay clicks and pump silent"},
		{"pump hums by its current", "start", starts, nil, func(s float64) moment {
			return moment{ullage: 1.5, pump: map[bool]int{true: 1}[s > 5], current: 9}
		}, "relay clicks and pump hums"},
		{"pump not called", "start", starts, nil, at(1.5), "no click"},
		{"pump flag not sent", "start", starts, nil, func(float64) moment { return moment{ullage: 1.5, pump: -1} }, ""},
		{"starts by itself", "autostart 3m", auto, nil, rise(40, .06), "starts by itself and the level rises"},
		{"not called", "autostart 3m", auto, nil, at(1.5), "not called"},
		{"called, no current", "autostart 3m", auto, nil, func(s float64) moment {
			return moment{ullage: 1.5, pump: map[bool]int{true: 1}[s > 5], current: .01}
		}, "called but no start"},
		{"full stop", "fullstop 60m", full, nil, func(s float64) moment {
			u := max(.48, 1-.06/60*s)
			return moment{ullage: u, pump: map[bool]int{true: 1}[u > .48]}
		}, "stops at full and stays"},
		{"full stop too early", "fullstop 60m", full, nil, func(s float64) moment {
			u := max(.8, 1-.06/60*s)
			return moment{ullage: u, pump: map[bool]int{true: 1}[u > .8]}
		}, "stops too early"},
		{"runs past full", "fullstop 60m", full, nil, func(s float64) moment { return moment{ullage: max(.1, 1-.06/60*s), pump: 1} }, "runs past full"},
		{"rises on", "fullstop 60m", full, nil, func(s float64) moment {
			u := 1 - .06/60*s
			return moment{ullage: u, pump: map[bool]int{true: 1}[u > .48]}
		}, "stops but the level rises on"},
		{"cycle right", "cycle 12m", cycle, nil, controlCycle(false), "right"},
		{"cycle never in", "cycle 12m", cycle, nil, func(float64) moment { return moment{ullage: 1.8} }, "never pulls in"},
		{"cycle wrong way round", "cycle 12m", cycle, nil, func(s float64) moment {
			if s < 60 {
				return moment{ullage: 1.7}
			}
			return moment{ullage: .45, pump: 1}
		}, "wrong way round"},
		{"cycle never out", "cycle 12m", cycle, nil, func(s float64) moment {
			if s < 60 {
				return moment{ullage: 1.7, pump: 1}
			}
			return moment{ullage: .45, pump: 1}
		}, "never drops out"},
		{"cycle calls on a lost echo", "cycle 12m", cycle, nil, controlCycle(true), "wrong on a lost echo"},
		{"unplug holds", "unplug 6m", unplug, nil, func(s float64) moment {
			return moment{ullage: 1, lost: s > 5 && s < 120 || s > 130, pump: map[bool]int{true: 1}[s > 122]}
		}, "holds"},
		{"unplug seen from one side only", "unplug 6m", unplug, nil, func(s float64) moment { return moment{ullage: 1, lost: s > 5} }, ""},
		{"unplug calls", "unplug 6m", unplug, nil, func(s float64) moment {
			return moment{ullage: 1, lost: s > 5, pump: map[bool]int{true: 1}[s > 20]}
		}, "calls the pump"},
		{"unplug stops", "unplug 6m", unplug, nil, func(s float64) moment {
			return moment{ullage: 1, lost: s > 5, pump: map[bool]int{true: 1}[s < 20]}
		}, "stops the pump"},
		{"level stands", "stands 5m", stands, falls, at(1), "stands still now"},
		{"level falls on", "stands 5m", stands, falls, func(s float64) moment { return moment{ullage: 1 + .6/3600*s} }, "falls on"},
		{"level did not fall", "stands 5m", stands, []Finding{before("draw-rate", time.Hour, []Grade{{Aspect: "trend", Word: "steady"}})}, at(1), "was not falling"},
		{"bucket without effect", "bucket 5m", []string{"as expected", "wrong amount", "wrong way", "no change"}, nil, at(1), "no change"},
		{"bucket seen", "bucket 5m", []string{"as expected", "wrong amount", "wrong way", "no change"}, nil, func(s float64) moment { return moment{ullage: 1 - .05*min(1, s/60)} }, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			st := feedTrial(t, c.kind, c.words, c.before, trialSheet(), 65*time.Minute, c.feed)
			assert.Equal(t, c.want, st.Answer, "%+v", st)
			assert.True(t, st.Done)
			assert.NotEmpty(t, st.Why)
		})
	}
}

// controlCycle is a board below low set, then at full, then the sensor unplugged with the relay in and
// again with it out; calls is a controller that calls the pump on a lost echo.
func controlCycle(calls bool) func(float64) moment {
	return func(s float64) moment {
		m := moment{ullage: 1.7, pump: map[bool]int{true: 1}[s > 8 && s < 200 && (s < 40 || s > 57)]}
		switch {
		case s > 40 && s <= 55 || s > 200 && s <= 220:
			m.ullage = .45
		case s > 60 && s <= 190:
			m.lost = true
		case s > 220:
			m.lost, m.pump = true, map[bool]int{true: 1}[calls]
		}
		return m
	}
}

// A feed of one report in five seconds is slow, not dead.
func TestTrialsOnASlowFeed(t *testing.T) {
	slow := func(f func(float64) moment) func(float64) moment {
		return func(s float64) moment {
			if s != 5*math.Trunc(s/5) {
				return moment{silent: true}
			}
			return f(s)
		}
	}
	board := slow(func(s float64) moment { return moment{ullage: map[bool]float64{true: 1.5, false: .5}[s < 15]} })
	st := feedTrial(t, "board 0.5 60s", []string{"right", "wrong", "jumps", "none"}, nil, trialSheet(), 2*time.Minute, board)
	assert.Equal(t, "right", st.Answer, "%+v", st)
	st = feedTrial(t, "appears 40s", []string{"nothing", "feed"}, nil, trialSheet(), 2*time.Minute, slow(func(float64) moment { return moment{ullage: 1} }))
	assert.Equal(t, "feed", st.Answer, "%+v", st)
	rising := slow(func(s float64) moment {
		return moment{ullage: 1.5 - max(0, s-5)*.001, pump: map[bool]int{true: 1}[s >= 5]}
	})
	st = feedTrial(t, "start", []string{"runs", "hums", "silent", "no click"}, nil, trialSheet(), 2*time.Minute, rising)
	assert.Equal(t, "runs", st.Answer, "%+v", st)
}

func TestTrialOfNoKind(t *testing.T) {
	_, ok := NewTrial("", nil, nil, nil, trialStart)
	assert.False(t, ok)
	_, ok = NewTrial("board 0.5", []string{"two", "words"}, nil, nil, trialStart)
	assert.False(t, ok, "the kind has four answers")
}

// Whatever the feed does, a trial answers with its probe's words or not at all, and never for want of
// time or sheet.
func TestTrialsWithoutASheet(t *testing.T) {
	for kind, k := range trialKinds {
		words := []string{"a", "b", "c", "d", "e"}[:k.answers]
		tr, ok := NewTrial(kind, words, nil, nil, trialStart)
		require.True(t, ok)
		for _, now := range []time.Time{trialStart.Add(-time.Hour), trialStart, trialStart.Add(24 * time.Hour)} {
			l := livelevel.Level{Ullage: math.NaN(), RawUllage: math.Inf(1), Height: math.NaN(), Percent: math.NaN()}
			l.Reading.Time = now
			tr.Add(&l)
			st := tr.State(now)
			if st.Answer != "" {
				assert.Contains(t, words, st.Answer, kind)
			}
		}
	}
}
