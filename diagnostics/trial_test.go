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
		return moment{ullage: 1.5 - max(0, s-5)*.001, pump: pumpIf(s >= 5)}
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
