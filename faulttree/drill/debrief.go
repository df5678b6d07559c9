package drill

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
)

// Debrief is what is told after a drill. Minutes are simulated ones.
type Debrief struct {
	Lesson  *Lesson
	Trainee string
	Exam    bool
	Visit   string // id of the record
	At      time.Time

	Right   bool
	Verdict string // one sentence: right or wrong, and why
	Outcome string // in which the visit was closed; "" while it is open
	Minutes float64
	Waited  float64
	Par     float64 // minutes of the lesson's good way
	Truth   []Cause // what was wrong
	Late    []Cause // of these, what an instructor switched in
	Missed  []Cause // of these, what was not mended
	Wasted  []Cause // mended though nothing was wrong with it
	Misread []Misread
	Hints   []Hint
	Lapses  []Lapse
	Steps   []Step
	Read    []Cause // what to read up
}

// Cause is one cause as the debrief speaks of it.
type Cause struct {
	ID, Title, About string
	Parts            []string
	Minutes          float64
}

// Misread is an answer that was not what the installation showed.
type Misread struct{ Probe, Ask, Said, Was string }

// Ended makes the debrief of a drill from the events of its visit.
func Ended(events []visit.Event, log Log, opt Options) (Debrief, error) {
	v, err := visit.Fold(events)
	if err != nil {
		return Debrief{}, fmt.Errorf("making the debrief: %w", err)
	}
	d := Debrief{Lesson: opt.Lesson, Trainee: opt.Trainee, Exam: opt.Exam, Visit: v.ID, At: v.Last, Minutes: log.Minutes, Waited: log.Waited,
		Hints: log.Hints, Lapses: append(slices.Clone(log.Lapses), unread(events)...)}
	if v.Closed {
		d.Outcome = v.Outcome.Outcome
	}
	must := append(opt.Lesson.Must(), log.Late...)
	d.Late = causes(opt.Base, log.Late)
	d.judge(opt.Base, must, log.Mended)
	d.Par = par(opt.Base, opt.Lesson)
	if d.Steps, err = replay(events, log, opt.Base); err != nil {
		return d, err
	}
	for _, s := range d.Steps {
		if s.Truth != "" {
			d.Misread = append(d.Misread, Misread{s.Probe, s.Did, s.Answer, s.Truth})
		}
	}
	return d, nil
}

// judge compares what was mended with what was wrong.
func (d *Debrief) judge(base *knowledge.Base, must, mended []string) {
	d.Truth = causes(base, must)
	d.Missed = causes(base, missing(must, mended))
	var wrong []string
	for _, m := range mended {
		if !slices.Contains(d.Lesson.Causes, m) && !slices.Contains(must, m) {
			wrong = append(wrong, m)
		}
	}
	d.Wasted = causes(base, wrong)
	read := append(slices.Clone(must), wrong...)
	slices.Sort(read)
	d.Read = causes(base, slices.Compact(read))
	d.Right, d.Verdict = d.verdict(len(must) == 0)
}

func (d *Debrief) verdict(healthy bool) (right bool, why string) {
	switch {
	case healthy && len(d.Wasted) > 0:
		return false, fmt.Sprintf("Wrong: nothing was wrong, and %s was mended.", titles(d.Wasted))
	case healthy && d.Outcome == visit.NoFaultFound:
		return true, "Right: nothing was wrong, and you said so."
	case healthy:
		return false, "Not right: nothing was wrong; the visit ends with " + visit.NoFaultFound + "."
	case len(d.Missed) > 0 && len(d.Missed) < len(d.Truth):
		return false, fmt.Sprintf("Half right: %s was not mended.", titles(d.Missed))
	case len(d.Missed) > 0:
		return false, fmt.Sprintf("Wrong: it was %s.", titles(d.Missed))
	case d.Outcome != visit.MendedProven && d.Outcome != visit.MendedOnly:
		return false, fmt.Sprintf("Not finished: %s was mended, and the visit was not closed as mended.", titles(d.Truth))
	case d.Outcome == visit.MendedOnly:
		return true, fmt.Sprintf("Right: %s. The cure was not proven.", titles(d.Truth))
	}
	return true, fmt.Sprintf("Right: %s, mended and proven.", titles(d.Truth))
}

func titles(list []Cause) string {
	var out []string
	for _, c := range list {
		out = append(out, c.Title)
	}
	return strings.Join(out, " and ")
}

func causes(base *knowledge.Base, ids []string) (out []Cause) {
	for _, id := range ids {
		c := Cause{ID: id, Title: id}
		if k := base.Causes[id]; k != nil {
			c.Title, c.About, c.Parts, c.Minutes = k.Title, k.About, k.Parts, k.Minutes
		}
		out = append(out, c)
	}
	return out
}

// par is how long the lesson's good way takes: its probes, its remedies with their proofs. Set-ups are
// left out, as they depend on what is done in one go.
func par(base *knowledge.Base, l *Lesson) float64 {
	total := 0.0
	for _, id := range l.Path {
		if p := base.Probes[id]; p != nil {
			total += p.Minutes
		}
		if c := base.Causes[id]; c != nil && slices.Contains(l.Causes, id) {
			total += c.Minutes
			if p := base.Probes[c.Proof.Probe]; p != nil && p.Kind != "watch" {
				total += p.Minutes
			}
		}
	}
	return total
}

// Parts are those used on things that were not wrong.
func (d *Debrief) Parts() (out []string) {
	for _, c := range d.Wasted {
		out = append(out, c.Parts...)
	}
	return out
}

// Title names what was wrong: the lesson's own words, or what an instructor made of it.
func (d *Debrief) Title() string {
	if len(d.Late) > 0 {
		return titles(d.Truth)
	}
	return d.Lesson.Title
}
