package command

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/port"
)

// listen takes snapshots until the feed has ended, with a progress line where somebody watches. Whoever breaks
// it off gets what was found until then.
func (p *Program) listen(ctx context.Context, s *sitting, length time.Duration) (visit.Snapshot, error) {
	var last visit.Snapshot
	shown := p.watching(s.opener, length)
	defer shown.wipe()
	for last = range s.Snapshots() {
		shown.show(&last)
		if last.Ended && ctx.Err() == nil || last.State == visit.Refused {
			return last, nil
		}
	}
	switch {
	case ctx.Err() == nil:
		return last, errors.New("the session ended early")
	case last.Feed.Lines == 0:
		return last, errors.New("survey: stopped before a line had come")
	}
	shown.wipe()
	fmt.Fprintf(p.Err, "tankhand: stopped before the end; what follows is of the first %s\n", lines(last.Feed.Lines))
	return last, nil
}

// progress is a line that is written over and over while a feed is listened to; a zero one writes nothing.
type progress struct {
	p      *Program
	source port.Measured // nil for what has no length
	length time.Duration // of the feed to be listened to; 0: to its end
	began  time.Time
	wide   int // of the line that stands there
}

func (p *Program) watching(o port.Opener, length time.Duration) *progress {
	if !isTerminal(p.Err) {
		return &progress{}
	}
	m, _ := o.(port.Measured)
	return &progress{p: p, source: m, length: length, began: time.Now()}
}

func (g *progress) show(s *visit.Snapshot) {
	if g.p == nil {
		return
	}
	done, all := s.Listened.Seconds(), g.length.Seconds()
	if g.length == 0 && g.source != nil {
		d, a := g.source.Read()
		done, all = float64(d), float64(a)
	}
	text := progressLine(done, all, s.Feed.Lines, time.Since(g.began))
	fmt.Fprintf(g.p.Err, "\r%-*s", g.wide, text)
	g.wide = len(text)
}

// wipe takes the line away.
func (g *progress) wipe() {
	if g.wide > 0 {
		fmt.Fprintf(g.p.Err, "\r%*s\r", g.wide, "")
		g.wide = 0
	}
}

const (
	barCells   = 20
	tellLeftAt = 2 * time.Second // before that the pace says little
)

// progressLine shows how much of all is done; of what has no known end only how many lines have come. It is plain
// ASCII and short, for any terminal.
func progressLine(done, all float64, n int64, took time.Duration) string {
	if all <= 0 {
		return "listening: " + lines(n)
	}
	part := max(0, min(1, done/all))
	full := int(part * barCells)
	text := fmt.Sprintf("[%s%s] %3.0f %%  %s", strings.Repeat("#", full), strings.Repeat(".", barCells-full), 100*part, lines(n))
	if took >= tellLeftAt && part > 0 && part < 1 {
		left := time.Duration(float64(took) * (1 - part) / part)
		text += fmt.Sprintf(", %.0f a second, about %s left", float64(n)/took.Seconds(), (left + time.Second/2).Truncate(time.Second))
	}
	return text
}

func lines(n int64) string {
	if n == 1 {
		return "1 line"
	}
	return fmt.Sprintf("%d lines", n)
}
