package visit

import (
	"example.org/tankhand/diagnostics"
	"example.org/tankhand/livelevel"
)

const (
	laneBatch = 256 // levels handed over at once: small enough to stay in the processor's cache
	laneDepth = 4   // batches under way
)

// lane runs the checks of a survey beside the gauge, so that a week-long log keeps two processors busy.
// The levels arrive in their order; after wait nobody but the caller touches the monitor.
type lane struct {
	monitor *diagnostics.Monitor
	full    chan []livelevel.Level
	free    chan []livelevel.Level
	batch   []livelevel.Level
}

func newLane(m *diagnostics.Monitor) *lane {
	l := &lane{monitor: m, full: make(chan []livelevel.Level, laneDepth), free: make(chan []livelevel.Level, laneDepth)}
	for range laneDepth {
		l.free <- make([]livelevel.Level, 0, laneBatch)
	}
	go l.run()
	return l
}

func (l *lane) run() {
	for batch := range l.full {
		for i := range batch {
			l.monitor.Add(&batch[i])
		}
		l.free <- batch[:0]
	}
}

// next is room for the next level; it is good until the next call of next, hand or wait.
func (l *lane) next() *livelevel.Level {
	if len(l.batch) == cap(l.batch) {
		l.hand()
		l.batch = <-l.free
	}
	l.batch = l.batch[:len(l.batch)+1]
	return &l.batch[len(l.batch)-1]
}

// hand gives the lane what was collected.
func (l *lane) hand() {
	if l.batch != nil {
		l.full <- l.batch
		l.batch = nil
	}
}

// wait returns when every level has reached the checks.
func (l *lane) wait() {
	l.hand()
	var all [laneDepth][]livelevel.Level
	for i := range all {
		all[i] = <-l.free
	}
	for _, b := range all {
		l.free <- b
	}
}

// close ends the lane.
func (l *lane) close() {
	l.wait()
	close(l.full)
}
