//go:build unix

package bench

import (
	"context"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui/screentest"
	"example.org/tankhand/tui/theme"
)

// BenchmarkKeyToPaint is the time from a key to its effect on the screen while a feed of 50 Hz comes in. The aim is a
// 99th percentile under 25 ms.
func BenchmarkKeyToPaint(b *testing.B) {
	f := &fake{ch: make(chan visit.Snapshot, 1)}
	s := screentest.Start(b, host{New(context.Background(), f, Options{Base: sceneBase(), Theme: theme.Theme{Profile: theme.True}})}, 120, 36)
	stop := feedAt(f, 20*time.Millisecond)
	defer stop()
	s.WaitFor("Relay chatter")
	var took []time.Duration
	for b.Loop() {
		began := time.Now()
		s.Type("i")
		s.WaitFor(" in deep")
		took = append(took, time.Since(began))
		began = time.Now()
		s.Type("i")
		s.WaitGone(" in deep")
		took = append(took, time.Since(began))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "ms-p50")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds())/1000, "ms-p99")
}

// feedAt publishes a snapshot at every period until stopped.
func feedAt(f *fake, period time.Duration) (stop func()) {
	tick, done, base := time.NewTicker(period), make(chan struct{}), measuring()
	go func() {
		for i := 0; ; i++ {
			select {
			case <-f.ch:
			default:
			}
			f.ch <- moving(base, i)
			select {
			case <-tick.C:
			case <-done:
				return
			}
		}
	}()
	return func() { tick.Stop(); close(done) }
}

// bare is the least program that repaints as often as the bench: the measure for its CPU time.
type bare struct {
	n    int
	rows []string
}

type beat struct{}

func (m bare) Init() tea.Cmd {
	return tea.Tick(200*time.Millisecond, func(time.Time) tea.Msg { return beat{} })
}
func (m bare) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if _, ok := msg.(beat); ok {
		m.n++
		return m, m.Init()
	}
	return m, nil
}

// View changes as many rows as the bench does.
func (m bare) View() string {
	rows := slices.Clone(m.rows)
	for i := 0; i < len(rows); i += 3 {
		rows[i] = rows[i][:100] + strings.Repeat(string(rune('a'+m.n%20)), 20)
	}
	return strings.Join(rows, "\n")
}

// BenchmarkCPU compares the CPU time of the bench on a feed of 10 Hz with that of a bare program, in the same run. The aim
// is a ratio of at most 1.5.
func BenchmarkCPU(b *testing.B) {
	for range b.N {
		least := cpuOf(b, bare{rows: slices.Repeat([]string{strings.Repeat("x", 120)}, 36)}, func() func() { return func() {} })
		f := &fake{ch: make(chan visit.Snapshot, 1)}
		ours := cpuOf(b, host{New(context.Background(), f, Options{Base: sceneBase(), Theme: theme.Theme{Profile: theme.True}})},
			func() func() { return feedAt(f, 100*time.Millisecond) })
		b.ReportMetric(least.Seconds()/5*100, "%-of-a-core-bare")
		b.ReportMetric(ours.Seconds()/5*100, "%-of-a-core-bench")
	}
}

func cpuOf(b *testing.B, m tea.Model, feed func() (stop func())) time.Duration {
	p := tea.NewProgram(m, tea.WithInput(nil), tea.WithOutput(nowhere{}), tea.WithFPS(60), tea.WithoutSignals())
	done := make(chan struct{})
	stop := feed()
	go func() { defer close(done); _, _ = p.Run() }()
	p.Send(tea.WindowSizeMsg{Width: 120, Height: 36})
	before := cpu(b)
	time.Sleep(5 * time.Second) // the measurement itself, not a wait for something
	used := cpu(b) - before
	p.Kill()
	<-done
	stop()
	return used
}

type nowhere struct{}

func (nowhere) Write(p []byte) (int, error) { return len(p), nil }

func cpu(b *testing.B) time.Duration {
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		b.Fatal(err)
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}
