package drill

import (
	"maps"
	"slices"
)

// Log is what a drill knows beyond the record of its visit.
type Log struct {
	Minutes float64 // of work, hints included
	Waited  float64 // minutes in which the trainee waited for the feed
	Hints   []Hint
	Lapses  []Lapse
	// Truths are what the installation showed at each answer that was given, by probe, in order.
	Truths map[string][]Truth
	Mended []string // remedies carried out, in order
	Late   []string // causes switched in while the drill ran
}

// Truth is what the installation showed.
type Truth struct {
	Word  string
	Value *float64 // of a meter, SI
	None  bool     // it cannot show this
}

// Hint is one that was asked for.
type Hint struct {
	Text    string
	Minutes float64
}

// Lapse is a caution that was passed over.
type Lapse struct {
	Step    string
	Hazards []string
	How     string
}

// took keeps the truth beside an answer that was given.
func (l *Log) took(probe string, t *Truth) {
	if t == nil {
		t = &Truth{None: true}
	}
	l.Truths[probe] = append(l.Truths[probe], *t)
}

func (l *Log) clone() Log {
	c := *l
	c.Hints, c.Lapses, c.Mended, c.Late = slices.Clone(l.Hints), slices.Clone(l.Lapses), slices.Clone(l.Mended), slices.Clone(l.Late)
	c.Truths = maps.Clone(l.Truths)
	return c
}
