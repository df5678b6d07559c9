package diagnostics

import (
	"fmt"
	"math"
	"time"

	"example.org/tankhand/livelevel"
)

// The board trial's figures; common practice, no source. A tape held by hand and a display in whole
// centimetres allow no finer tolerance.
const (
	boardTolerance = 0.012 // m
	boardSteady    = 0.010 // m, scatter of a reading that stands
	boardHold      = 8 * time.Second
	boardReadings  = 5
	boardLost      = 0.5
)

// boardTrial watches for a flat board held at a known distance. Answers: steady and right, steady but
// wrong, jumps, no echo.
type boardTrial struct {
	trialSetup
	tape
	at    float64
	right time.Time // since when the reading has stood at the board
}

func newBoardTrial(s trialSetup) Trial { return &boardTrial{trialSetup: s, at: s.metres(0.5)} }

func (b *boardTrial) Add(l *livelevel.Level) { b.tape.add(l, b.from) }

func (b *boardTrial) State(now time.Time) TrialState {
	k, why := b.judge(b.recent(now, boardHold, boardReadings))
	st := TrialState{Why: why, Figure: b.figureNow(now)}
	if k >= 0 {
		st.Answer = b.answers[k]
	}
	full := now.Sub(b.from) >= boardHold && len(b.samples) >= boardReadings
	return b.stand(now, b.length(60*time.Second), st, k == 0 && full)
}

// judge says which answer a stretch of readings gives; -1 when there is too little.
func (b *boardTrial) judge(samples []sample) (answer int, why string) {
	if len(samples) < boardReadings {
		return -1, fmt.Sprintf("%d readings in %s; %d are needed", len(samples), boardHold, boardReadings)
	}
	if lost := lostShare(samples); lost > boardLost {
		return 3, fmt.Sprintf("%.0f %% of the pings lost (limit %.0f %%)", 100*lost, 100*boardLost)
	}
	x := ullages(samples)
	if len(x) < boardReadings {
		return -1, "the feed carries no distance"
	}
	m, s := middle(x), scatter(x)
	if s > boardSteady || jumpShare(x) > .1 {
		return 2, fmt.Sprintf("scatters by %.1f cm (limit %.1f cm)", 100*s, 100*boardSteady)
	}
	off := m - b.at
	if math.Abs(off) <= boardTolerance {
		return 0, fmt.Sprintf("reads %.3f m for %.3f m (tolerance %.0f mm)", m, b.at, 1000*boardTolerance)
	}
	return 1, fmt.Sprintf("reads %.3f m for %.3f m: off by %+.1f cm", m, b.at, 100*off)
}

func (b *boardTrial) figureNow(now time.Time) string {
	x := ullages(b.recent(now, 3*time.Second, 1))
	if len(x) == 0 {
		return "no echo"
	}
	return fmt.Sprintf("%.3f m, wanted %.3f m", middle(x), b.at)
}

// knownTrial is a known-good sensor pointed at a wall at a known distance. Answers: same trouble,
// good reading.
type knownTrial struct{ boardTrial }

func newKnownTrial(s trialSetup) Trial {
	return &knownTrial{boardTrial{trialSetup: s, at: s.metres(1)}}
}

func (k *knownTrial) State(now time.Time) TrialState {
	judged, why := k.judge(k.recent(now, boardHold, boardReadings))
	st := TrialState{Why: why, Figure: k.figureNow(now)}
	switch judged {
	case 0:
		st.Answer = k.answers[1]
	case 2, 3:
		st.Answer = k.answers[0]
	case 1:
		if m := middle(ullages(k.recent(now, boardHold, boardReadings))); math.Abs(m-k.at) < .1 {
			st.Answer, st.Why = k.answers[1], why+"; the wall was aimed at by hand"
		}
	}
	return k.stand(now, k.length(90*time.Second), st, judged == 0 && now.Sub(k.from) >= boardHold)
}
