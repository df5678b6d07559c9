package diagnostics

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/livelevel"
)

// trialCase is a trial with the words of its probe, what was found before it, the feed while it runs,
// and the answer that is right.
type trialCase struct {
	name, kind string
	words      []string
	before     []Finding
	feed       func(s float64) moment
	want       string
}

func playTrials(t *testing.T, cases []trialCase) {
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			st := feedTrial(t, c.kind, c.words, c.before, trialSheet(), 65*time.Minute, c.feed)
			assert.Equal(t, c.want, st.Answer, "%+v", st)
			assert.True(t, st.Done)
			assert.NotEmpty(t, st.Why)
		})
	}
}

// still is a feed that stays at one distance, unseen one without an echo.
func still(ullage float64) func(float64) moment {
	return func(float64) moment { return moment{ullage: ullage} }
}

func unseen(float64) moment { return moment{lost: true} }

// pumpIf is the pump's flag: called while it holds.
func pumpIf(called bool) int {
	if called {
		return 1
	}
	return 0
}

// TestSensorTrials is about the sensor, its face and its cable.
func TestSensorTrials(t *testing.T) {
	boardWords := []string{"steady and right", "steady but wrong", "jumps", "no echo"}
	knownWords := []string{"same trouble", "good reading"}
	moveWords := []string{"still", "moves"}
	rockWords := []string{"no change", "better"}
	playTrials(t, []trialCase{
		{"board right", "board 0.5", boardWords, nil, func(s float64) moment {
			if s < 15 {
				return moment{ullage: 1.5}
			}
			return moment{ullage: .503}
		}, "steady and right"},
		{"board 3 cm off", "board 0.5", boardWords, nil, still(.53), "steady but wrong"},
		{"board unseen", "board 0.5", boardWords, nil, unseen, "no echo"},
		{"board jumps", "board 0.5", boardWords, nil, func(s float64) moment {
			if every(3, s) {
				return moment{ullage: .9}
			}
			return moment{ullage: .5}
		}, "jumps"},
		{"known good sensor", "known 1", knownWords, nil, still(1.005), "good reading"},
		{"known sensor, same trouble", "known 1", knownWords, nil, unseen, "same trouble"},
		{"cable moves it", "moves", moveWords, lossesBefore(.02), func(s float64) moment { return moment{ullage: 1, lost: s > 20 && every(2, s)} }, "moves"},
		{"cable does not", "moves", moveWords, lossesBefore(.02), still(1), "still"},
		{"rock helps", "rock", rockWords, nil, func(s float64) moment { return moment{ullage: 1, lost: s < 30} }, "better"},
		{"rock in vain", "rock", rockWords, nil, func(s float64) moment { return moment{ullage: 1, lost: every(2, s)} }, "no change"},
	})
}

// TestBeforeAndAfterTrials is about what was wrong before, against what is seen after a hand was laid on.
func TestBeforeAndAfterTrials(t *testing.T) {
	gone := []string{"no change", "clears"}
	restarts := []Finding{before("restarts", time.Hour, nil, Figure{Name: "restarts", Value: 120})}
	playTrials(t, []trialCase{
		{"wiped clean", "compare losses jumps 60s", gone, lossesBefore(.4), still(1), "clears"},
		{"wiped in vain", "compare losses jumps 60s", gone, lossesBefore(.4), func(s float64) moment { return moment{ullage: 1, lost: every(2, s)} }, "no change"},
		{"wiped, nothing was wrong", "compare losses 60s", gone, lossesBefore(0), still(1), ""},
		{"restarts gone", "compare restarts 3m", gone, restarts, still(1), "clears"},
		{"restarts too rare to tell", "compare restarts 3m", gone, []Finding{before("restarts", time.Hour, nil, Figure{Name: "restarts", Value: 3})}, still(1), ""},
		{"restarts go on", "compare restarts 3m", gone, restarts, func(s float64) moment {
			if every(50, s) {
				return moment{kind: livelevel.Restart}
			}
			return moment{ullage: 1}
		}, "no change"},
		{"feed appears", "appears 40s", gone, nil, still(1), "clears"},
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
			return moment{ullage: 1, pump: pumpIf(s > 5 && s < 8)}
		}, "clicks"},
		{"no call at start-up is no silence", "reboot", []string{"quiet", "clicks"}, nil, func(s float64) moment {
			if s == 5 {
				return moment{kind: livelevel.Restart}
			}
			return moment{ullage: 1}
		}, ""},
		{"button answers", "button", []string{"answers", "dead"}, nil, func(s float64) moment { return moment{button: s > 5 && s < 6} }, "answers"},
	})
}

// TestPumpTrials is about the pump that is called by hand and by itself.
func TestPumpTrials(t *testing.T) {
	starts := []string{"relay clicks and pump runs", "relay clicks and pump hums", "relay clicks and pump silent", "no click"}
	auto := []string{"starts by itself and the level rises", "starts but no rise", "called but no start", "not called"}
	rise := func(called, perMinute float64) func(float64) moment {
		return func(s float64) moment {
			if s < called {
				return moment{ullage: 1.5}
			}
			return moment{ullage: 1.5 - perMinute/60*(s-called), pump: 1}
		}
	}
	playTrials(t, []trialCase{
		{"pump starts", "start", starts, nil, rise(5, .06), "relay clicks and pump runs"},
		{"pump called in vain", "start", starts, nil, rise(5, 0), ""},
		{"pump silent by its current", "start", starts, nil, func(s float64) moment {
			return moment{ullage: 1.5, pump: pumpIf(s > 5), current: .01}
		}, "relay clicks and pump silent"},
		{"pump hums by its current", "start", starts, nil, func(s float64) moment {
			return moment{ullage: 1.5, pump: pumpIf(s > 5), current: 9}
		}, "relay clicks and pump hums"},
		{"pump not called", "start", starts, nil, still(1.5), "no click"},
		{"pump flag not sent", "start", starts, nil, func(float64) moment { return moment{ullage: 1.5, pump: -1} }, ""},
		{"starts by itself", "autostart 3m", auto, nil, rise(40, .06), "starts by itself and the level rises"},
		{"not called", "autostart 3m", auto, nil, still(1.5), "not called"},
		{"called, no current", "autostart 3m", auto, nil, func(s float64) moment {
			return moment{ullage: 1.5, pump: pumpIf(s > 5), current: .01}
		}, "called but no start"},
	})
}

// TestFullStopTrials is about the stop at full.
func TestFullStopTrials(t *testing.T) {
	full := []string{"stops at full and stays", "stops too early", "runs past full", "stops but the level rises on"}
	playTrials(t, []trialCase{
		{"full stop", "fullstop 60m", full, nil, func(s float64) moment {
			u := max(.48, 1-.06/60*s)
			return moment{ullage: u, pump: pumpIf(u > .48)}
		}, "stops at full and stays"},
		{"full stop too early", "fullstop 60m", full, nil, func(s float64) moment {
			u := max(.8, 1-.06/60*s)
			return moment{ullage: u, pump: pumpIf(u > .8)}
		}, "stops too early"},
		{"runs past full", "fullstop 60m", full, nil, func(s float64) moment { return moment{ullage: max(.1, 1-.06/60*s), pump: 1} }, "runs past full"},
		{"rises on", "fullstop 60m", full, nil, func(s float64) moment {
			u := 1 - .06/60*s
			return moment{ullage: u, pump: pumpIf(u > .48)}
		}, "stops but the level rises on"},
	})
}

// TestControlTrials is about the controller with a board and a pulled plug.
func TestControlTrials(t *testing.T) {
	cycle := []string{"right", "never pulls in", "never drops out", "wrong way round", "wrong on a lost echo"}
	unplug := []string{"holds", "calls the pump", "stops the pump"}
	playTrials(t, []trialCase{
		{"cycle right", "cycle 12m", cycle, nil, controlCycle(false), "right"},
		{"cycle never in", "cycle 12m", cycle, nil, still(1.8), "never pulls in"},
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
			return moment{ullage: 1, lost: s > 5 && s < 120 || s > 130, pump: pumpIf(s > 122)}
		}, "holds"},
		{"unplug seen from one side only", "unplug 6m", unplug, nil, func(s float64) moment { return moment{ullage: 1, lost: s > 5} }, ""},
		{"unplug calls", "unplug 6m", unplug, nil, func(s float64) moment {
			return moment{ullage: 1, lost: s > 5, pump: pumpIf(s > 20)}
		}, "calls the pump"},
		{"unplug stops", "unplug 6m", unplug, nil, func(s float64) moment {
			return moment{ullage: 1, lost: s > 5, pump: pumpIf(s < 20)}
		}, "stops the pump"},
	})
}

// TestLevelTrials is about the level that stands, falls, or has a bucket poured in.
func TestLevelTrials(t *testing.T) {
	stands := []string{"stands still now", "falls on", "was not falling"}
	falls := []Finding{before("draw-rate", time.Hour, []Grade{{Aspect: "trend", Word: "falls"}}, Figure{Name: "draw_m3_per_h", Value: .6})}
	bucket := []string{"as expected", "wrong amount", "wrong way", "no change"}
	playTrials(t, []trialCase{
		{"level stands", "stands 5m", stands, falls, still(1), "stands still now"},
		{"level falls on", "stands 5m", stands, falls, func(s float64) moment { return moment{ullage: 1 + .6/3600*s} }, "falls on"},
		{"level did not fall", "stands 5m", stands, []Finding{before("draw-rate", time.Hour, []Grade{{Aspect: "trend", Word: "steady"}})}, still(1), "was not falling"},
		{"bucket without effect", "bucket 5m", bucket, nil, still(1), "no change"},
		{"bucket seen", "bucket 5m", bucket, nil, func(s float64) moment { return moment{ullage: 1 - .05*min(1, s/60)} }, ""},
	})
}

// controlCycle is a board below low set, then at full, then the sensor unplugged with the relay in and
// again with it out; calls is a controller that calls the pump on a lost echo.
func controlCycle(calls bool) func(float64) moment {
	return func(s float64) moment {
		m := moment{ullage: 1.7, pump: pumpIf(s > 8 && s < 200 && (s < 40 || s > 57))}
		switch {
		case s > 40 && s <= 55 || s > 200 && s <= 220:
			m.ullage = .45
		case s > 60 && s <= 190:
			m.lost = true
		case s > 220:
			m.lost, m.pump = true, pumpIf(calls)
		}
		return m
	}
}
