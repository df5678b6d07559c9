// Package screentest drives a full-screen program on a terminal emulator: keys go in, and a test
// waits for a text on the screen, woken by each change, never sleeping.
package screentest

import (
	"fmt"
	"io"
	"strings"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/vt"
)

// Patience is how long WaitFor waits for a text before the test fails.
const Patience = 30 * time.Second

// Screen is an emulated terminal with a program on it.
type Screen struct {
	t       testing.TB
	mu      sync.Mutex
	emu     *vt.Emulator
	changed chan struct{}
	raw     []byte // the first of what was sent, for tests that look for control sequences
	bytes   int64
	in      io.Writer
	resize  func(w, h int)
	done    chan struct{}
	err     error
	began   time.Time
	first   time.Duration // until the first visible character
}

const keptRaw = 1 << 20

func newScreen(t testing.TB, w, h int) *Screen {
	s := &Screen{t: t, emu: vt.NewEmulator(w, h), changed: make(chan struct{}, 1), done: make(chan struct{}), began: time.Now()}
	go func() { _, _ = io.Copy(io.Discard, s.emu) }() // its replies; it blocks when nobody reads them
	return s
}

// Write is the terminal's side of the program's output.
func (s *Screen) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.bytes += int64(len(p))
	if room := keptRaw - len(s.raw); room > 0 {
		s.raw = append(s.raw, p[:min(room, len(p))]...)
	}
	n, err := s.emu.Write(p)
	if s.first == 0 && strings.TrimSpace(s.emu.String()) != "" {
		s.first = time.Since(s.began)
	}
	select {
	case s.changed <- struct{}{}:
	default:
	}
	return n, err
}

// Start runs a model on a terminal of w columns and h rows; the program is ended with the test.
func Start(t testing.TB, model tea.Model, w, h int) *Screen {
	t.Helper()
	s := newScreen(t, w, h)
	r, in := io.Pipe()
	s.in = in
	p := tea.NewProgram(model, tea.WithInput(r), tea.WithOutput(s), tea.WithFPS(120), tea.WithoutSignals(), tea.WithAltScreen())
	s.resize = func(w, h int) { p.Send(tea.WindowSizeMsg{Width: w, Height: h}) }
	go func() {
		defer close(s.done)
		_, s.err = p.Run()
	}()
	s.resize(w, h)
	t.Cleanup(func() {
		p.Kill()
		<-s.done
		_ = in.Close()
	})
	return s
}

// named are the keys that are no characters.
var named = map[string]string{"<enter>": "\r", "<esc>": "\x1b", "<tab>": "\t", "<up>": "\x1b[A", "<down>": "\x1b[B", "<backspace>": "\x7f",
	"<ctrl-c>": "\x03", "<ctrl-z>": "\x1a", "<space>": " "}

// Type presses keys: characters as they are, others by name: <enter> <esc> <tab> <up> <down>
// <backspace> <space> <ctrl-c>. After <esc> wait for its effect before typing on, as a terminal
// cannot tell escape and a letter from Alt and the letter.
func (s *Screen) Type(keys ...string) {
	s.t.Helper()
	for _, k := range keys {
		if seq, ok := named[k]; ok {
			k = seq
		}
		if _, err := io.WriteString(s.in, k); err != nil {
			s.t.Fatalf("typing %q: %v", k, err)
		}
	}
}

// Screen is the text on the screen, blanks at the ends of rows left out.
func (s *Screen) Screen() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	rows := strings.Split(s.emu.String(), "\n")
	for i, r := range rows {
		rows[i] = strings.TrimRight(r, " \r")
	}
	return strings.Join(rows, "\n")
}

// WaitFor waits until a text stands on the screen, and fails the test when it never does.
func (s *Screen) WaitFor(text string) {
	s.t.Helper()
	s.WaitUntil(fmt.Sprintf("%q", text), func(screen string) bool { return strings.Contains(screen, text) })
}

// WaitGone waits until a text stands there no longer.
func (s *Screen) WaitGone(text string) {
	s.t.Helper()
	s.WaitUntil("no "+text, func(screen string) bool { return !strings.Contains(screen, text) })
}

// WaitUntil waits until the screen is as wanted; what names that in the failure.
func (s *Screen) WaitUntil(what string, want func(screen string) bool) {
	s.t.Helper()
	late := time.NewTimer(Patience)
	defer late.Stop()
	for !want(s.Screen()) {
		select {
		case <-s.changed:
		case <-s.done:
			if !want(s.Screen()) {
				s.t.Fatalf("the program ended (%v) before the screen showed %s:\n%s", s.err, what, s.Screen())
			}
			return
		case <-late.C:
			s.t.Fatalf("waited %v for %s; the screen shows:\n%s", Patience, what, s.Screen())
		}
	}
}

// Resize makes the terminal larger or smaller.
func (s *Screen) Resize(w, h int) {
	s.mu.Lock()
	s.emu.Resize(w, h)
	s.mu.Unlock()
	s.resize(w, h)
}

// Wait waits for the program to end and returns its error.
func (s *Screen) Wait() error {
	s.t.Helper()
	select {
	case <-s.done:
		return s.err
	case <-time.After(Patience):
		s.t.Fatalf("the program did not end within %v; the screen shows:\n%s", Patience, s.Screen())
		return nil
	}
}

// Ended tells whether the program has ended.
func (s *Screen) Ended() bool {
	select {
	case <-s.done:
		return true
	default:
		return false
	}
}

// Raw is the beginning of what was sent to the terminal, control sequences and all.
func (s *Screen) Raw() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return string(s.raw)
}

// Bytes is how many bytes were sent to the terminal so far.
func (s *Screen) Bytes() int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.bytes
}

// FirstPaint is the time from the start to the first visible character, 0 when there is none yet.
func (s *Screen) FirstPaint() time.Duration {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.first
}
