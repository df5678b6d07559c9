package visit

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/feed"
)

func TestFoldTellsTheWholeVisit(t *testing.T) {
	v, err := Fold(scripted(t, "v1"))
	require.NoError(t, err)
	assert.Equal(t, "Quarry Lane glasshouse", v.Site)
	assert.Equal(t, "HT-2", v.Asset)
	assert.Equal(t, "It clatters all night", v.Complaint.Words)
	assert.InDelta(t, 0.888, *v.Found.Level.Height, 0)
	assert.InDelta(t, 1.2, *v.Left.Level.Height, 0)
	assert.Len(t, v.Standing(), 3)
	require.Len(t, v.Remedies(), 1)
	assert.Equal(t, "cable-thin", v.Remedies()[0].Cause)
	assert.Equal(t, []string{"cable"}, v.Parts())
	assert.Len(t, v.Proofs(), 1)
	assert.InDelta(t, 21, v.Minutes(), 0)
	assert.True(t, v.Invented())
	assert.True(t, v.Closed)
	assert.Equal(t, MendedProven, v.Outcome.Outcome)
	assert.Equal(t, []feed.Citation{{Path: "c.jsonl", Length: 950, SHA256: "dd"}}, v.Captures(), "the longest prefix of the one file")
	assert.Empty(t, v.Unread)
	assert.EqualValues(t, 13, v.LastSeq)
	assert.Equal(t, Summary{ID: "v1", Begun: v.Begun, Last: v.Last, Site: "Quarry Lane glasshouse", Asset: "HT-2",
		Complaint: "relay-chatter", Outcome: MendedProven, Cause: "cable-thin", Events: 13}, v.Summary())
}

func TestFoldLaterEventsCorrectEarlierOnes(t *testing.T) {
	es := scripted(t, "v1")
	n := int64(len(es))
	add := func(b Body) { n++; es = append(es, event(t, "v1", n, b)) }
	add(ReopenedBody{Why: "came back"})
	add(UndoBody{Event: es[8].ID}) // the proof
	add(UndoBody{Event: es[9].ID}) // the note
	add(CorrectionBody{Field: "asset", Value: "HT-3", Reason: "wrong plate"})
	add(CorrectionBody{Field: "colour", Value: "blue"})
	add(StepBody{Step: faulttree.Step{Act: faulttree.PutBack, Cause: "cable-thin"}})
	add(FindingsBody{When: AsFound, Level: &LevelRecord{Height: p(9)}})
	v, err := Fold(es)
	require.NoError(t, err)
	assert.False(t, v.Closed)
	assert.Equal(t, 1, v.Reopened)
	assert.Empty(t, v.Proofs())
	assert.Empty(t, v.Remedies(), "put back")
	assert.Empty(t, v.Parts())
	assert.True(t, v.Notes[0].Undone)
	assert.Equal(t, "HT-3", v.Asset)
	require.Len(t, v.Corrections, 1)
	assert.Equal(t, "HT-2", v.Corrections[0].Was, "nothing is rewritten, the old value stays readable")
	assert.Len(t, v.Unread, 1)
	assert.InDelta(t, 0.888, *v.Found.Level.Height, 0, "as found stays what was found first")
	assert.Empty(t, v.Summary().Outcome)
}

func TestFoldKeepsWhatANewerProgramWrote(t *testing.T) {
	es := scripted(t, "v1")
	es = append(es, Event{ID: "x", Visit: "v1", Seq: 14, At: begun, Kind: "hologram", V: 1, Body: json.RawMessage(`{}`)},
		Event{ID: "y", Visit: "v1", Seq: 15, At: begun, Kind: NoteMade, V: 99, Body: json.RawMessage(`{}`)},
		Event{ID: "z", Visit: "v1", Seq: 16, At: begun, Kind: NoteMade, V: 1, Body: json.RawMessage(`[1]`)})
	v, err := Fold(es)
	require.NoError(t, err)
	assert.Len(t, v.Unread, 3)
	assert.Equal(t, MendedProven, v.Outcome.Outcome)
}

func TestFoldRefusesMixedVisits(t *testing.T) {
	_, err := Fold(append(scripted(t, "v1"), scripted(t, "v2")...))
	assert.ErrorContains(t, err, "belongs to visit v2")
	_, err = Fold(nil)
	assert.Error(t, err)
}

func TestEveryKindSurvivesTheRoundTrip(t *testing.T) {
	more := append(scriptedBodies(), UndoBody{Event: "e", Reason: "slip"}, DipBody{When: AsFound, Points: []DipPoint{{Tape: 0.5, Gauge: 0.51}}}, DialectBody{Name: "board", Dialect: "name: board", Confidence: 0.9}, ReopenedBody{Why: "w"}, CorrectionBody{Field: "site", Value: "s"}, DrillBody{Lesson: "brownout", Difficulty: 1, Trainee: "ana", Right: true, Verdict: "Right.", Minutes: 31, Par: 20})
	seen := map[Kind]bool{}
	for _, b := range more {
		e := event(t, "v", 1, b)
		got, err := Decode(e)
		require.NoError(t, err)
		assert.Equal(t, b, got)
		seen[b.kind()] = true
	}
	assert.Len(t, seen, len(shapes), "every kind is tried")
}

func TestOldBodiesBecomeNewOnes(t *testing.T) {
	s := of[NoteBody](3,
		func(o map[string]any) { o["text"] = o["note"]; delete(o, "note") },
		func(o map[string]any) { o["text"] = o["text"].(string) + "!" })
	for v, body := range map[int]string{1: `{"note":"wet"}`, 2: `{"text":"wet"}`, 3: `{"text":"wet!"}`} {
		got, err := s.decode(Event{Kind: NoteMade, V: v, Body: json.RawMessage(body)})
		require.NoError(t, err)
		assert.Equal(t, NoteBody{Text: "wet!"}, got, "from version %d", v)
	}
	_, err := s.decode(Event{Kind: NoteMade, V: 1, Body: json.RawMessage(`null`)})
	assert.Error(t, err)
}

func TestEveryShapeCanUpgradeFromItsFirstVersion(t *testing.T) {
	for kind, s := range shapes {
		assert.Len(t, s.upgrade, s.version-1, "kind %s", kind)
	}
}

// hologram is a body of a kind that no shape stands for.
type hologram struct{}

func (hologram) kind() Kind { return "hologram" }

func TestNewRefusesWhatCannotBeReadBack(t *testing.T) {
	_, err := New(nil)
	assert.Error(t, err)
	_, err = New(hologram{})
	assert.ErrorContains(t, err, "no such kind")
	_, err = New(StepBody{Step: faulttree.Step{Minutes: math.NaN()}})
	assert.ErrorContains(t, err, "finite")
}

func TestFindingsBecomePlainNumbers(t *testing.T) {
	got := RecordFindings([]diagnostics.Finding{{Check: "marks", Verdict: diagnostics.Fail,
		Figures: []diagnostics.Figure{{Name: "a", Value: math.NaN()}, {Name: "b", Value: 2}, {Name: "c", Value: math.Inf(1)}},
		Grades:  []diagnostics.Grade{{Aspect: "state", Word: "swapped"}}}})
	require.Len(t, got, 1)
	assert.Equal(t, "fail", got[0].Verdict)
	assert.Nil(t, got[0].Figures[0].Value)
	assert.Nil(t, got[0].Figures[2].Value)
	_, ok := got[0].Figure("a")
	assert.False(t, ok)
	v, ok := got[0].Figure("b")
	assert.True(t, ok)
	assert.InDelta(t, 2, v, 0)
	assert.Nil(t, RecordLevel(livelevel.Level{}), "no level is no record")
	l := RecordLevel(livelevel.Level{How: livelevel.Measured, Ullage: 1, Height: math.NaN()})
	assert.Nil(t, l.Height)
	_, err := New(FindingsBody{Level: l, Findings: got})
	assert.NoError(t, err)
}

func FuzzFold(f *testing.F) {
	for _, b := range scriptedBodies() {
		e := event(f, "v", 1, b)
		f.Add(string(e.Kind), e.V, []byte(e.Body))
	}
	f.Add("step", 1, []byte(`null`))
	f.Fuzz(func(t *testing.T, kind string, version int, body []byte) {
		es := scripted(t, "v")
		es = append(es, Event{ID: "x", Visit: "v", Seq: 50, At: begun, Kind: Kind(kind), V: version, Body: body})
		v, err := Fold(es)
		require.NoError(t, err)
		v.Summary()
		v.Remedies()
		v.Captures()
		v.Minutes()
		require.EqualValues(t, len(es), v.Events, "an event that cannot be read still counts")
	})
}
