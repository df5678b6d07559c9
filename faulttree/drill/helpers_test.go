package drill_test

import (
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/drill"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/livelevel/rig"
	"example.org/tankhand/livelevel/site"
)

// replaced changes one piece of a text that must be there.
func replaced(t *testing.T, text, from, to string) string {
	t.Helper()
	if from == "" {
		return text
	}
	require.Contains(t, text, from)
	return strings.Replace(text, from, to, 1)
}

// bench is a rig whose time passes at once when the drill says so, and not by the clock.
type bench struct {
	*rig.Installation
	mu    sync.Mutex
	ahead time.Duration
}

func (b *bench) Pass(d time.Duration) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.ahead += d
}

func (b *bench) Left() time.Duration {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.ahead
}

func (b *bench) Hurry(d time.Duration) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.ahead < d {
		return false
	}
	b.ahead -= d
	return true
}

// begins is when every drill of the tests begins: a morning.
var begins = time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)

func (b *bench) Begins() time.Time { return begins }

// drilled is a drill under way.
type drilled struct {
	*drill.Session
	opt    drill.Options
	store  visit.Store
	inst   *bench
	closed bool
}

var knowledgeOnce = sync.OnceValues(func() (*knowledge.Base, error) { return knowledge.Load("") })

// slow keeps the clock of the record: every event a minute after the last, so that nobody reads hastily.
func slow() func() time.Time {
	var mu sync.Mutex
	at := begins
	return func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		at = at.Add(time.Minute)
		return at
	}
}

func open(t testing.TB, l *drill.Lesson) *drilled {
	t.Helper()
	o := rig.Options{Seed: l.Seed, Dialect: l.Dialect, Start: begins}
	for _, f := range l.Faults {
		fault, err := rig.ParseFault(f)
		require.NoError(t, err)
		o.Faults = append(o.Faults, fault)
	}
	inst, err := rig.New(o)
	require.NoError(t, err)
	sheet, err := site.Parse("practice rig", []byte(inst.SheetText()))
	require.NoError(t, err)
	base, err := knowledgeOnce()
	require.NoError(t, err)
	store, err := visit.OpenMemory()
	require.NoError(t, err)
	b := &bench{Installation: inst}
	opener := port.Simulated("practice rig", b, 1e-3, 0) // it stands almost still but for what is let pass
	f := feed.Start(t.Context(), opener, feed.Options{Sheet: sheet, Lossless: true})
	in, err := visit.Begin(t.Context(), visit.Config{Store: store, Sheet: sheet, SheetText: inst.SheetText(), Base: base, Feed: f,
		Info: opener.Info(), Window: 10 * time.Minute, Invented: true, Clock: slow(), Technician: "trainee",
		Hands: func(string) time.Time { return opener.(port.Clock).Now() }})
	require.NoError(t, err)
	d := &drilled{opt: drill.Options{Lesson: l, Base: base, Trainee: "trainee"}, store: store, inst: b}
	d.Session = drill.Begin(in, b, d.opt)
	t.Cleanup(func() { _ = d.Close() })
	return d
}

// Close ends the drill, once.
func (d *drilled) Close() error {
	if d.closed {
		return nil
	}
	d.closed = true
	return d.Session.Close()
}

// debrief ends the drill and tells about it.
func (d *drilled) debrief(t testing.TB) drill.Debrief {
	t.Helper()
	require.NoError(t, d.Close())
	all, err := d.store.Visits(t.Context())
	require.NoError(t, err)
	require.Len(t, all, 1)
	events, err := d.store.Events(t.Context(), all[0].ID)
	require.NoError(t, err)
	out, err := drill.Ended(events, d.Log(), d.opt)
	require.NoError(t, err)
	return out
}

func lesson(t testing.TB, id string) *drill.Lesson {
	t.Helper()
	all, err := drill.Lessons()
	require.NoError(t, err)
	l := drill.Find(all, id)
	require.NotNil(t, l, id)
	return l
}
