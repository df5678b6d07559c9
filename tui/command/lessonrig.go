package command

import (
	"fmt"
	"sync"
	"time"

	"example.org/tankhand/faulttree/drill"
	"example.org/tankhand/livelevel/rig"
)

// lessonRig is the practice rig of a drill: some of its time passes at once.
type lessonRig struct {
	practice
	time  sync.Mutex
	ahead time.Duration
}

// newLessonRig switches a lesson's faults in.
func newLessonRig(l *drill.Lesson) (*lessonRig, error) {
	o := rig.Options{Seed: l.Seed, Dialect: l.Dialect}
	for _, text := range l.Faults {
		f, err := rig.ParseFault(text)
		if err != nil {
			return nil, fmt.Errorf("lesson %s: %w", l.ID, err)
		}
		o.Faults = append(o.Faults, f)
	}
	installation, err := rig.New(o)
	if err != nil {
		return nil, fmt.Errorf("lesson %s: %w", l.ID, err)
	}
	return &lessonRig{practice: practice{rig: installation}}, nil
}

// Pass lets time go by at once.
func (r *lessonRig) Pass(d time.Duration) {
	r.time.Lock()
	defer r.time.Unlock()
	r.ahead += d
}

// Left is how much of it has not gone by yet.
func (r *lessonRig) Left() time.Duration {
	r.time.Lock()
	defer r.time.Unlock()
	return r.ahead
}

// Hurry takes some of the time that is to pass at once.
func (r *lessonRig) Hurry(d time.Duration) bool {
	r.time.Lock()
	defer r.time.Unlock()
	if r.ahead < d {
		return false
	}
	r.ahead -= d
	return true
}

// switchIn adds a fault while the drill runs, and returns its cause.
func (r *lessonRig) switchIn(text string) (cause string, err error) {
	f, err := rig.ParseFault(text)
	if err != nil {
		return "", err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	return f.ID, r.rig.SwitchIn(f)
}
