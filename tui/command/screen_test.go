//go:build unix

package command

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/tui/screentest"
)

// technician works the real screen of the program, at 80x24, on a board that is mended as the screen
// says. What is offered is read from the record: it must be on disk before the screen shows it.
type technician struct {
	t      *testing.T
	screen *screentest.Screen
	board  *board
	store  visit.Store
	base   *knowledge.Base
	cause  string // the remedy that was done
}

// shown is the newest step on record, and how many steps have been taken.
func (w *technician) shown() (offer visit.ShownBody, taken int) {
	ctx := context.Background()
	all, err := w.store.Visits(ctx)
	require.NoError(w.t, err)
	require.Len(w.t, all, 1)
	events, err := w.store.Events(ctx, all[0].ID)
	require.NoError(w.t, err)
	for _, e := range events {
		body, err := visit.Decode(e)
		require.NoError(w.t, err)
		switch b := body.(type) {
		case visit.ShownBody:
			offer = b
		case visit.StepBody:
			if b.Act != faulttree.Evidence {
				taken++
			}
		}
	}
	return offer, taken
}

// work deals with steps until nothing more is offered. A key that came while the screen was busy is
// dropped there, so that a person would press it again; so does this one.
func (w *technician) work() {
	for range 400 {
		offer, taken := w.shown()
		if offer.HandOn || offer.Probe == "" && offer.Remedy == "" {
			return
		}
		w.step(offer)
		within(2*time.Second, func() bool {
			o, n := w.shown()
			return n > taken || o.HandOn
		})
	}
	require.Fail(w.t, "the walk does not end", w.screen.Screen())
}

// within waits for something to happen, but not for long.
func within(d time.Duration, happened func() bool) {
	for end := time.Now().Add(d); time.Now().Before(end) && !happened(); {
		time.Sleep(20 * time.Millisecond)
	}
}

func (w *technician) step(offer visit.ShownBody) {
	words := strings.Fields(offer.Title)
	w.screen.WaitUntil("the step: "+offer.Title, func(s string) bool {
		return strings.Contains(strings.Join(strings.Fields(s), " "), strings.Join(words[:min(4, len(words))], " ")) ||
			strings.Contains(s, "CAUTION")
	})
	w.cautions()
	if offer.Remedy != "" {
		if w.cause != offer.Remedy {
			require.NoError(w.t, w.board.Do(offer.Remedy))
		}
		w.cause = offer.Remedy
		w.screen.Type("<enter>")
		return
	}
	p := w.base.Probes[offer.Probe]
	if p.Kind == "watch" {
		return // the feed answers
	}
	word, value, ok := w.board.Answer(p.ID, p.Answers)
	require.True(w.t, ok, "the board answers %s", p.ID)
	if p.Unit != "" && len(p.Bands) > 0 {
		w.screen.WaitFor("type the reading")
		w.screen.Type("<enter>", fmt.Sprintf("%.4g %s", value, p.Unit), "<enter>")
		return
	}
	for i, a := range p.Answers {
		if a == word {
			w.screen.Type(fmt.Sprint(i + 1))
		}
	}
}

// cautions reads them to their end and acknowledges them.
func (w *technician) cautions() {
	for range 20 {
		s := w.screen.Screen()
		switch {
		case strings.Contains(s, "> a I have"):
			w.screen.Type("a")
			within(time.Second, func() bool { return !strings.Contains(w.screen.Screen(), "> a I have") })
		case strings.Contains(s, "> down"):
			w.screen.Type("<down>")
		case !strings.Contains(s, "CAUTION"):
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
}

// TestTheScreenFromBytesToRecord plays a board into one end of a pseudo-terminal and works the screen
// at the other: the level is shown, the trigger conductor breaks, the walk names it, it is mended and
// proven, the visit is closed and its report written.
func TestTheScreenFromBytesToRecord(t *testing.T) {
	data := t.TempDir()
	b := newBoard(t, "trigger-open@100s")
	base, err := loadKnowledge()
	require.NoError(t, err)
	screen := screentest.StartFunc(t, 80, 24, func(tty *os.File) error {
		p := &Program{In: tty, Out: tty, Err: tty, Version: "test"}
		if status := p.Run([]string{"bench", "--port", b.dev, "--clock-rate", fmt.Sprint(boardPace), "--site", b.sheet, "--data", data}); status != 0 {
			return fmt.Errorf("exit status %d", status)
		}
		return nil
	})
	screen.WaitFor("m deep")
	screen.WaitFor("What does the customer say?")
	screen.WaitUntil("the lost echoes seen", func(s string) bool { return strings.Contains(s, "! No echo") })
	screen.Type("1")
	screen.WaitFor("min so far")

	store, err := visit.Open(filepath.Join(data, "visits.db"))
	require.NoError(t, err)
	defer store.Close()
	w := &technician{t: t, screen: screen, board: b, store: store, base: base}
	w.work()
	require.Equal(t, "trigger-open", w.cause)

	screen.WaitFor("Mended and proven: ")
	screen.Type("h")
	screen.WaitFor("Hand-over")
	screen.Type("<enter>")
	screen.WaitFor("let it run on") // a cure of a minute is not proven
	closed := func() bool { return strings.Contains(screen.Screen(), "The visit is closed") }
	for range 30 { // ten minutes of the board's time; one Enter at a time, as one too many would leave
		if closed() {
			break
		}
		screen.Type("<enter>")
		within(2*time.Second, closed)
	}
	screen.WaitFor("The visit is closed")
	screen.Type("q")
	screen.WaitFor("Leave?")
	screen.Type("<enter>")
	require.NoError(t, screen.Wait())

	out, errs, status := run(t, "visits", "report", "1", "--data", data)
	require.Zero(t, status, errs)
	for _, want := range []string{"Quarry Lane", "The controller shows no reading", "Trigger or echo conductor", "both sound (proven)", "As found and as left"} {
		require.True(t, strings.Contains(out, want), "the report says %q", want)
	}
}

// TestTheTechnicianCorrectsTheDialect: a board prints two bare numbers, so nothing can be sure what they
// are; on the teach-in the technician says it, the level shows at once, and the dialect is kept.
func TestTheTechnicianCorrectsTheDialect(t *testing.T) {
	config := t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", config)
	pair, err := port.Terminal()
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	spoken := make(chan struct{})
	go func() {
		defer close(spoken)
		for n := 0; until(ctx, time.Now().Add(20*time.Millisecond)); n++ {
			_, _ = fmt.Fprintf(pair, "%d;%d\r\n", 1150+n%3, 7)
		}
	}()
	defer func() { stop(); <-spoken; pair.Close() }()
	sheet := filepath.Join(t.TempDir(), "site.yaml")
	require.NoError(t, os.WriteFile(sheet, []byte("sheet: tankhand/site/1\nsite: Quarry Lane glasshouse\nasset: HT-2\n"+
		"tank: {shape: vertical cylinder, diameter: 1.10 m, height: 1.60 m}\nsensor: {face_height: 1.75 m}\n"), 0o600))
	screen := screentest.StartFunc(t, 100, 30, func(tty *os.File) error {
		p := &Program{In: tty, Out: tty, Err: tty, Version: "test"}
		if status := p.Run([]string{"bench", "--port", pair.Name(), "--site", sheet, "--data", t.TempDir()}); status != 0 {
			return fmt.Errorf("exit status %d", status)
		}
		return nil
	})
	screen.WaitFor("What does the customer say?")
	screen.Type("l")
	screen.WaitFor("What each column is taken for")
	screen.WaitFor("> #1")
	screen.Type("<enter>")
	screen.WaitFor("What is #1?")
	for range 60 { // up to the first role, however far down the proposed one stands
		screen.Type("<up>")
	}
	screen.WaitFor("> ullage")
	screen.Type("<enter>")
	screen.WaitFor("ullage        cm")
	for range 20 {
		if strings.Contains(screen.Screen(), "ullage        mm") {
			break
		}
		screen.Type("m")
		within(2*time.Second, func() bool { return strings.Contains(screen.Screen(), "ullage        mm") })
	}
	screen.WaitFor("Level: 0.59")
	screen.Type("v")
	screen.WaitFor("the dialect is in")
	text, err := os.ReadFile(filepath.Join(config, "tankhand", "dialects", "ht-2.yaml"))
	require.NoError(t, err)
	require.Contains(t, string(text), "role: ullage")
	screen.Type("q")
	screen.WaitFor("Leave?")
	screen.Type("<enter>")
	require.NoError(t, screen.Wait())
}
