package faulttree

import (
	"strings"
	"testing"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"time"
)

func fact(v float64) site.Fact {
	return site.Fact{Quantity: quantity.Quantity{V: v}, Origin: site.Given}
}

func sheet() *site.Sheet {
	s := &site.Sheet{}
	s.Sensor.SupplyVoltage, s.Supply.Voltage = fact(5), fact(5)
	s.Relay.CoilVoltage, s.Relay.CoilResistance = fact(5), fact(70)
	return s
}

func withSheet(t *testing.T, complaint string, opt Options) Walk {
	w, err := Start(testBase, complaint, opt)
	require.NoError(t, err)
	return w
}

// The limits are the knowledge's formulas over the sheet: 0.92 of 5 V is 4.6 V.
func TestClassify(t *testing.T) {
	w := withSheet(t, "no-echo", Options{Sheet: sheet()})
	for v, want := range map[float64]string{0.1: "none", 0.5: "low", 4.59: "low", 4.6: "in limits", 5.1: "in limits"} {
		got, ok := w.Classify("sensor-volts", v)
		assert.True(t, ok)
		assert.Equal(t, want, got, "%g V: a reading on the limit belongs to the upper answer", v)
	}
	_, ok := w.Classify("echo-continuity", 3)
	assert.False(t, ok, "no limits: picked by hand")
	_, ok = w.Classify("echo-height", 3)
	assert.False(t, ok, "the logic voltage is not in the sheet")
	bare := withSheet(t, "no-echo", Options{})
	_, ok = bare.Classify("sensor-volts", 5)
	assert.False(t, ok, "without the supply voltage nobody knows what is low")
	got, ok := bare.Classify("sensor-volts", 0)
	assert.True(t, ok, "but no volts are none")
	assert.Equal(t, "none", got)
	limits, good, _ := w.limits(testBase.Probes["sensor-volts"])
	assert.InDeltaSlice(t, []float64{.5, 4.6}, limits, 1e-12)
	assert.Equal(t, "above 4.6 V (92 % of 5 V)", good)
	_, good, _ = w.limits(testBase.Probes["base-current"])
	assert.Equal(t, "above 2.36 mA (by the site sheet)", good)
	_, _, missing := w.limits(testBase.Probes["echo-height"])
	assert.Contains(t, missing, "controller.logic_voltage")
}

// Two faults, one after the other: the first one's own proof passes, the complaint stays. It is taken
// out, the answers that spoke of it are stale, and the walk goes on.
func TestTwoFaultsOneAfterTheOther(t *testing.T) {
	w := begin(t, "no-echo")
	w = step(t, w, Step{Act: Evidence, Grades: map[string]string{"lost-echoes": "some", "lost-echoes-when": "any-time"}})
	w = step(t, w, Step{Act: Answered, Probe: "sensor-face", Answer: "wet or dirty"})
	w = step(t, w, Step{Act: Answered, Probe: "terminals-look", Answer: "as drawn"})
	w = step(t, w, Step{Act: Remedied, Cause: "face-wet"})
	o := w.Next()
	require.True(t, o.Proof)
	assert.Equal(t, "dry and clean", o.Want)
	w = step(t, w, Step{Act: ProofRun, Probe: "sensor-face", Answer: "dry and clean"})
	o = w.Next()
	require.True(t, o.Proof)
	assert.Equal(t, "lost-echoes", o.Probe.ID, "then the complaint's own proof")
	w = step(t, w, Step{Act: ProofRun, Probe: "lost-echoes", Answer: "some"})
	o = w.Next()
	assert.False(t, o.Done || o.Proof)
	for _, s := range w.Suspects() {
		if s.Cause == "face-wet" {
			assert.True(t, s.Cured)
			assert.Zero(t, s.Probability)
			assert.Empty(t, s.Moved[1:], "only the answers that do not speak of it still count")
		}
	}
	stale := map[string]bool{}
	for _, l := range w.Path() {
		stale[l.Step.Probe] = stale[l.Step.Probe] || l.Stale
	}
	assert.True(t, stale["sensor-face"])
	assert.False(t, stale["terminals-look"])
	w = step(t, w, Step{Act: Evidence, Grades: map[string]string{"lost-echoes": "nearly-all"}})
	assert.Greater(t, belief(w)["trigger-open"], 0.1, "fresh evidence counts again")
}

// What the feed tells is never offered as a step after a cure: it comes again by itself, or it does not, and some of
// it needs a day.
func TestACureOffersNoWatching(t *testing.T) {
	w := begin(t, "no-echo")
	w = step(t, w, Step{Act: Evidence, Grades: map[string]string{"lost-echoes": "some", "lost-echoes-when": "any-time"}})
	w = step(t, w, Step{Act: Remedied, Cause: "joint-wet"})
	w = step(t, w, Step{Act: ProofRun, Probe: "joint-look", Answer: "dry and bright"})
	w = step(t, w, Step{Act: ProofRun, Probe: "lost-echoes", Answer: "some"})
	require.True(t, w.Suspects()[len(w.Suspects())-1].Cured)
	assert.Empty(t, w.Fed(), "what the feed told of the wet joint is stale")
	for range 40 {
		o := w.Next()
		if o.Probe == nil {
			break
		}
		require.NotEqual(t, "watch", o.Probe.Kind)
		w = step(t, w, Step{Act: Skipped, Probe: o.Probe.ID})
	}
}

func TestRemedyThatFailsItsProof(t *testing.T) {
	w := begin(t, "erratic-reading")
	before := belief(w)["tilt"]
	w = step(t, w, Step{Act: Remedied, Cause: "tilt"})
	w = step(t, w, Step{Act: ProofRun, Probe: "sensor-seat", Answer: "leans"})
	assert.Less(t, belief(w)["tilt"], before/5)
	assert.Positive(t, belief(w)["tilt"], "it stays in the list")
	for range 60 {
		o := w.Next()
		if o.Probe == nil {
			require.True(t, o.Remedy == nil || o.Remedy.ID != "tilt", "not offered again")
			break
		}
		w = step(t, w, Step{Act: Skipped, Probe: o.Probe.ID})
	}
	back := step(t, w, Step{Act: PutBack, Cause: "tilt"})
	assert.InDelta(t, before, belief(back)["tilt"], 1e-9)
}

func TestProofPassedOverIsMendedNotProven(t *testing.T) {
	w := begin(t, "no-echo")
	w = step(t, w, Step{Act: Remedied, Cause: "tilt"})
	w = step(t, w, Step{Act: ProofRun, Probe: "sensor-seat", Answer: "square and clear"})
	w = step(t, w, Step{Act: CannotTell, Probe: "lost-echoes"})
	o := w.Next()
	assert.True(t, o.Done)
	assert.False(t, o.Proven)
	assert.Contains(t, o.Title, "not proven")
}

func TestSkipBringBackAndNotSafe(t *testing.T) {
	w := begin(t, "no-echo")
	first := w.Next().Probe.ID
	skipped := step(t, w, Step{Act: NotSafe, Probe: first, Reason: "storm"})
	assert.NotEqual(t, first, skipped.Next().Probe.ID)
	assert.Contains(t, skipped.Path()[0].Title, "not safe today (storm)")
	assert.Equal(t, first, step(t, skipped, Step{Act: BringBack, Probe: first}).Next().Probe.ID)
}

// Feed evidence that cannot be told is no evidence, and a changed grade replaces the old one.
func TestEvidenceFromFindings(t *testing.T) {
	w := begin(t, "no-echo")
	f := []diagnostics.Finding{
		{Check: "echo-dropouts", Grades: []diagnostics.Grade{{Aspect: "amount", Word: "some"}}, Why: "12 % of the pings lost (limit 5 %)"},
		{Check: "drift", Grades: []diagnostics.Grade{{Aspect: "drift", Word: "no such word"}}},
	}
	e := w.EvidenceOf(f)
	assert.Equal(t, map[string]string{"lost-echoes": "some"}, e.Grades)
	w = step(t, w, e)
	assert.Equal(t, "12 % of the pings lost (limit 5 %)", w.Path()[0].Title)
	again := step(t, w, Step{Act: Evidence, Grades: map[string]string{"lost-echoes": "some"}})
	assert.Equal(t, belief(w), belief(again), "the same evidence twice is the same evidence")
	assert.Len(t, again.Path(), 1)
	_, ok := again.Undo()
	assert.False(t, ok, "evidence of the feed is not the technician's to undo")
}

// After a cautious order: a pump is not run before the breaker was looked at, and not at all after it
// was found tripped.
func TestPumpIsNotRunBeforeALook(t *testing.T) {
	w := begin(t, "pump-wont-start")
	m := w.env.m
	s := w.situate()
	assert.False(t, m.isOpen(&s.state, m.index["start-button"]))
	w = step(t, w, Step{Act: Answered, Probe: "trip-look", Answer: "all on"})
	s = w.situate()
	assert.True(t, m.isOpen(&s.state, m.index["start-button"]))
	w = step(t, w, Step{Act: Answered, Probe: "trip-look", Answer: "overload tripped"})
	s = w.situate()
	assert.False(t, m.isOpen(&s.state, m.index["start-button"]), "a change of mind counts")
}

func TestCautionsOfTheLid(t *testing.T) {
	w := withSheet(t, "no-echo", Options{Sheet: sheet()})
	has := func(o Offer, hazard string) bool {
		for _, c := range o.Cautions {
			if c.Hazard == hazard && c.Text != "" {
				return true
			}
		}
		return false
	}
	assert.True(t, has(w.asked(testBase.Probes["sensor-volts"]), "mains-dead"), "unknown counts as yes")
	dry := sheet()
	dry.Controller.MainsInBox = "no"
	w = withSheet(t, "no-echo", Options{Sheet: dry})
	assert.False(t, has(w.asked(testBase.Probes["sensor-volts"]), "mains-dead"))
	assert.True(t, has(w.asked(testBase.Probes["mains-volts"]), "mains-live"), "a mains measurement stays one")
	assert.True(t, has(w.RemedyOf("contact-welded"), "mains-dead"))
}

// A technician who may not open mains enclosures is never asked to, and the walk says so in the end.
func TestNoMains(t *testing.T) {
	for _, c := range testBase.Complaints {
		w := withSheet(t, c.ID, Options{Sheet: sheet(), NoMains: true})
		for range 80 {
			o := w.Next()
			if o.Probe != nil {
				for _, h := range hazardsOf(o.Probe, sheet()) {
					require.NotContains(t, h, "mains", o.Probe.ID)
				}
				w = step(t, w, Step{Act: CannotTell, Probe: o.Probe.ID})
				continue
			}
			if o.Remedy == nil {
				break
			}
			w = step(t, w, Step{Act: Skipped, Cause: o.Remedy.ID})
		}
		assert.True(t, w.Next().HandOn, c.ID)
	}
	o := withSheet(t, "pump-wont-stop", Options{NoMains: true}).RemedyOf("contact-welded")
	assert.True(t, strings.HasPrefix(o.Title, "For a licensed electrician"))
}

func TestRemoteAsksOnlyWhatCanBeTold(t *testing.T) {
	w := withSheet(t, "pump-wont-start", Options{Where: Remote})
	for range 60 {
		o := w.Next()
		if o.Probe == nil {
			break
		}
		require.NotEqual(t, "measured", o.Probe.Kind)
		require.Empty(t, hands(o.Probe), o.Probe.ID)
		w = step(t, w, Step{Act: CannotTell, Probe: o.Probe.ID})
	}
}

func TestApplyRefuses(t *testing.T) {
	w := begin(t, "no-echo")
	for _, s := range []Step{{Act: Answered, Probe: "nothing", Answer: "x"}, {Act: Answered, Probe: "sensor-face", Answer: "shiny"},
		{Act: Remedied, Cause: "nothing"}, {Act: "dance"}, {Act: Skipped, Probe: "nothing"}} {
		_, err := w.Apply(s)
		assert.Error(t, err, "%+v", s)
	}
	_, err := Walk{}.Apply(Step{Act: Finished})
	assert.Error(t, err)
	_, err = Start(testBase, "no-water", Options{})
	assert.ErrorContains(t, err, "no-echo")
	assert.NotPanics(t, func() { Walk{}.Next(); Walk{}.Suspects(); Walk{}.Path(); Walk{}.Tree(3); Walk{}.Undo() })
}

func sighting(all []Sighting, id string) Sighting {
	for _, s := range all {
		if s.Complaint == id {
			return s
		}
	}
	return Sighting{}
}

func TestSeen(t *testing.T) {
	grade := func(check, aspect, word string, held, heard time.Duration) []diagnostics.Finding {
		return []diagnostics.Finding{{Check: check, Grades: []diagnostics.Grade{{Aspect: aspect, Word: word, Held: held}},
			Evidence: diagnostics.Span{From: testTime, To: testTime.Add(heard)}}}
	}
	for _, c := range []struct {
		name      string
		findings  []diagnostics.Finding
		complaint string
		seen      bool
		short     bool
	}{
		{"lost for a minute", grade("echo-dropouts", "amount", "nearly-all", time.Minute, time.Hour), "no-echo", true, false},
		{"some lost for a minute", grade("echo-dropouts", "amount", "some", time.Minute, time.Minute), "no-echo", false, true},
		{"few lost for an hour", grade("echo-dropouts", "amount", "few", time.Hour, time.Hour), "no-echo", false, false},
		{"rises past full with the pump off", grade("draw-rate", "trend", "rises-past-full", time.Minute, time.Minute), "pump-wont-stop", true, false},
		{"drift needs a day", nil, "wrong-reading", false, true},
		{"our own restart is none", grade("restarts", "when", "as-we-opened", time.Hour, time.Hour), "controller-silent", false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			all := Seen(testBase, c.findings)
			require.Len(t, all, 8)
			s := sighting(all, c.complaint)
			assert.Equal(t, c.seen, s.Seen)
			assert.Equal(t, c.short, s.TooShort)
			assert.Equal(t, c.seen, len(s.Because) == 1)
		})
	}
}

func TestBlameNamesTheOddAnswer(t *testing.T) {
	w := begin(t, "no-echo")
	for p, a := range map[string]string{"sensor-face": "dry and clean", "echo-continuity": "open or on the wrong terminal",
		"terminals-look": "loose or corroded", "face-gap": "inside it"} {
		w = step(t, w, Step{Act: Answered, Probe: p, Answer: a})
	}
	odd, ok := w.Blame()
	require.True(t, ok)
	assert.Equal(t, "face-gap", odd.Probe)
	_, ok = begin(t, "no-echo").Blame()
	assert.False(t, ok)
}

func TestPairs(t *testing.T) {
	w := begin(t, "no-echo")
	_, prior := w.Pairs(3)
	assert.InDelta(t, pairPrior, prior, 1e-9)
	for p, a := range map[string]string{"echo-continuity": "open or on the wrong terminal", "terminals-look": "differs", "sensor-face": "wet or dirty",
		"face-wipe": "clears", "sensor-seat": "square and clear", "when-bad": "at night or dawn", "board-test": "no echo"} {
		w = step(t, w, Step{Act: Answered, Probe: p, Answer: a})
	}
	pairs, both := w.Pairs(3)
	assert.Greater(t, both, .5)
	assert.Equal(t, []string{"trigger-open", "face-wet"}, []string{pairs[0].A, pairs[0].B})
}

func TestFirstThingsFirst(t *testing.T) {
	w := begin(t, "pump-wont-stop")
	assert.Equal(t, "first", w.Next().Cautions[0].Hazard)
	o := w.Next()
	w = step(t, w, Step{Act: Answered, Probe: o.Probe.ID, Answer: o.Probe.Answers[0]})
	for _, c := range w.Next().Cautions {
		assert.NotEqual(t, "first", c.Hazard)
	}
}

func TestGradeOfAProof(t *testing.T) {
	w := begin(t, "no-echo")
	f := []diagnostics.Finding{{Check: "restarts", Grades: []diagnostics.Grade{{Aspect: "when", Word: "none"}}}}
	word, ok := w.GradeOf("restart-times", f)
	assert.True(t, ok)
	assert.Equal(t, "none", word)
	_, ok = w.GradeOf("lost-echoes", f)
	assert.False(t, ok)
}

func TestExplain(t *testing.T) {
	w := begin(t, "no-echo")
	w = step(t, w, Step{Act: Answered, Probe: "sensor-face", Answer: "wet or dirty"})
	w = step(t, w, Step{Act: Answered, Probe: "echo-continuity", Answer: "open or on the wrong terminal"})
	e, ok := w.Explain("face-wet")
	require.True(t, ok)
	require.Len(t, e.For, 1)
	require.Len(t, e.Against, 1)
	assert.Contains(t, e.For[0], "wet or dirty")
	assert.Contains(t, e.For[0], "times likelier")
	assert.Contains(t, e.Against[0], "wrong terminal")
	assert.NotEmpty(t, e.About)
	_, ok = w.Explain("nothing")
	assert.False(t, ok)
}

// The reason of a step is one plain sentence with its numbers.
func TestWhyIsOneSentenceWithNumbers(t *testing.T) {
	for _, c := range testBase.Complaints {
		o := begin(t, c.ID).Next()
		assert.Regexp(t, `^parts [a-z0-9 ]+ from [a-z0-9 ]+; \d+ min expected with it, \d+ if you start swapping$`, o.Why, c.ID)
		total := 0.0
		for _, b := range o.Branches {
			total += b.Probability
			assert.NotEmpty(t, b.Leads)
		}
		assert.InDelta(t, 1, total, 1e-9)
	}
}

// A welded contact is damage: after the proven cure the walk asks what welded it.
func TestFollowUpAsksWhatKilledThePart(t *testing.T) {
	w := begin(t, "pump-wont-stop")
	_, ok := w.FollowUp()
	assert.False(t, ok)
	w = step(t, w, Step{Act: Answered, Probe: "pump-look", Answer: "runs"})
	w = step(t, w, Step{Act: Remedied, Cause: "contact-welded"})
	w = step(t, w, Step{Act: ProofRun, Probe: "contact-ohms", Answer: "opens and closes"})
	w = step(t, w, Step{Act: ProofRun, Probe: "full-stop", Answer: "stops at full and stays"})
	require.True(t, w.Next().Done)
	next, ok := w.FollowUp()
	require.True(t, ok)
	assert.Equal(t, []string{"contact-small", "hyst-small", "motor-jam"}, next.Complaint.Causes)
	assert.InDelta(t, wornOut, belief(next)[Unlisted], .2)
	o := next.Next()
	require.NotNil(t, o.Probe)
	next = step(t, next, Step{Act: Answered, Probe: "contact-label", Answer: "too small"})
	assert.Equal(t, "contact-small", next.Suspects()[0].Cause)
}
