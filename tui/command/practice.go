package command

import (
	"sync"
	"time"

	"example.org/tankhand/livelevel/rig"
)

// practice is a rig that the feed moves on while somebody else looks at it and mends it.
type practice struct {
	mu  sync.Mutex
	rig *rig.Installation
}

func (p *practice) Connect() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.rig.Connect()
}

func (p *practice) Advance(d time.Duration) []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.rig.Advance(d)
}

func (p *practice) Answer(probe string, answers []string) (word string, value float64, ok bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.rig.Answer(probe, answers)
}

func (p *practice) Do(action string) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.rig.Do(action)
}
