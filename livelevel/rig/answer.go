package rig

import "math"

// inFull is a copy in which what comes and goes is there: a technician who looks at a loose joint sees it while
// it happens to make contact, too.
func (i *Installation) inFull() *Installation {
	i.mu.Lock()
	c := i.copied()
	i.mu.Unlock()
	for k := range c.faults {
		c.faults[k].Every = 0
	}
	c.refresh()
	return c
}

// Answer answers a probe truthfully: what a technician would see or measure there now. Value is a meter reading in
// SI (NaN where the probe is no measurement), word one of the answers given; ok is false for a probe that the
// installation cannot answer, such as one watched in the feed.
func (i *Installation) Answer(probe string, answers []string) (word string, value float64, ok bool) {
	value = math.NaN()
	i = i.inFull() // the copy is nobody else's: the feed goes on meanwhile
	if f, known := looks[probe]; known {
		word = f(i)
	} else if f, known := meters[probe]; known {
		word, value = f(i)
	} else if f, known := prompts[probe]; known {
		word = f(i)
	} else {
		return "", value, false
	}
	for _, a := range answers {
		if a == word {
			return word, value, true
		}
	}
	return "", value, false
}
