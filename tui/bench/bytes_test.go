package bench

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/tui/screentest"
	"example.org/tankhand/tui/theme"
)

// host makes the bench a program of its own.
type host struct{ Model }

func (h host) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	m, cmd := h.Model.Update(msg)
	return host{m}, cmd
}

// moving is the scene at a later time: the tank fills, the reading is noisy, the trend moves on.
func moving(s visit.Snapshot, i int) visit.Snapshot {
	d := time.Duration(i) * 100 * time.Millisecond
	s.Now = s.Now.Add(d)
	s.PumpFor += d
	h := 0.888 + 0.002*float64(i)/10 + 0.006*math.Sin(float64(i)*1.7)
	s.Level = livelevel.Level{How: livelevel.Smoothed, Height: h, Ullage: 1.75 - h, U: 0.0055, Percent: 100 * (h - 0.05) / 1.35, Volume: h * 0.95, Second: math.NaN()}
	s.RateHz = 10 + 0.2*math.Sin(float64(i))
	s.RunFlow = (2.3 + 0.05*math.Sin(float64(i)/7)) / 3600
	return s
}

// BenchmarkBytes counts what a 10 Hz feed costs on the line to the terminal. One operation is one second of the clock of the
// world. The aims: under 600 B/s at 80x24 and 2,000 B/s at 120x36 on a slow link, under 6,000 B/s otherwise.
func BenchmarkBytes(b *testing.B) {
	for _, size := range [][2]int{{80, 24}, {120, 36}} {
		for _, slow := range []bool{false, true} {
			for _, colour := range []theme.Profile{theme.True, theme.None} {
				b.Run(fmt.Sprintf("%dx%d/slow=%v/colour=%d", size[0], size[1], slow, colour), func(b *testing.B) {
					countBytes(b, size[0], size[1], Options{Slow: slow, Theme: theme.Theme{Profile: colour}})
				})
			}
		}
	}
}

func countBytes(b *testing.B, w, h int, opt Options) {
	f := &fake{ch: make(chan visit.Snapshot, 1)}
	opt.Base = sceneBase()
	base := measuring()
	s := screentest.Start(b, host{New(context.Background(), f, opt)}, w, h)
	f.ch <- base
	s.WaitFor("Relay chatter")
	tick := time.NewTicker(100 * time.Millisecond)
	defer tick.Stop()
	before, i := s.Bytes(), 0
	for b.Loop() {
		for range 10 {
			<-tick.C
			i++
			select {
			case <-f.ch:
			default:
			}
			f.ch <- moving(base, i)
		}
	}
	b.ReportMetric(float64(s.Bytes()-before)/float64(b.N), "B/s-to-terminal")
}

// BenchmarkView is one paint of the whole screen.
func BenchmarkView(b *testing.B) {
	m, _ := at(120, 36, measuring(), Options{Theme: theme.Theme{Profile: theme.True}})
	b.ReportAllocs()
	for b.Loop() {
		_ = m.paint()
	}
}
