package drill

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"time"

	"example.org/tankhand/faulttree/visit"
)

// Body is the debrief as the record keeps it.
func (d *Debrief) Body(exam string) visit.DrillBody {
	b := visit.DrillBody{Lesson: d.Lesson.ID, Difficulty: d.Lesson.Difficulty, Trainee: d.Trainee, Exam: exam, Right: d.Right, Verdict: d.Verdict,
		Minutes: d.Minutes + d.Waited, Par: d.Par, Hints: len(d.Hints), Lapses: len(d.Lapses)}
	for _, c := range d.Truth {
		b.Causes = append(b.Causes, c.ID)
	}
	for _, c := range d.Wasted {
		b.Wasted = append(b.Wasted, c.ID)
	}
	return b
}

// clean tells a drill that shows mastery: right without a hint, a part wasted or a caution passed over.
func clean(b visit.DrillBody) bool {
	return b.Right && b.Hints == 0 && len(b.Wasted) == 0 && b.Lapses == 0
}

// Boxes of a card file (S. Leitner, So lernt man lernen, 1972; from memory): what went well moves on a
// box and rests longer, what was missed goes back to the first. The rests are engineering judgement.
var rests = [...]time.Duration{0, 24 * time.Hour, 3 * 24 * time.Hour, 7 * 24 * time.Hour, 21 * 24 * time.Hour}

// mastered is the box from which on a lesson counts as mastered.
const mastered = 3

// Card is how a trainee stands with one lesson.
type Card struct {
	Lesson *Lesson
	Tries  int
	Right  int
	Box    int // 0: never tried
	Last   time.Time
	Due    time.Time // zero: never tried
}

// Mastered tells whether the lesson went well often enough.
func (c *Card) Mastered() bool { return c.Box >= mastered }

// Progress is how a trainee stands.
type Progress struct {
	Trainee string
	Cards   []Card // of every lesson, in the order of the lessons
	Drills  int
	Minutes float64
}

// ProgressOf sorts the debriefs of a trainee into boxes.
func ProgressOf(trainee string, lessons []*Lesson, debriefs []visit.DrillAt) Progress {
	p := Progress{Trainee: trainee}
	at := map[string]int{}
	for i, l := range lessons {
		p.Cards = append(p.Cards, Card{Lesson: l})
		at[l.ID] = i
	}
	sorted := slices.Clone(debriefs)
	slices.SortStableFunc(sorted, func(a, b visit.DrillAt) int { return a.At.Compare(b.At) })
	for _, d := range sorted {
		if d.Trainee != trainee {
			continue
		}
		p.Drills++
		p.Minutes += d.Minutes
		if i, ok := at[d.Lesson]; ok {
			p.Cards[i].add(d)
		}
	}
	return p
}

func (c *Card) add(d visit.DrillAt) {
	c.Tries++
	c.Last = d.At
	if d.Right {
		c.Right++
	}
	switch {
	case clean(d.DrillBody):
		c.Box = min(c.Box+1, len(rests)-1)
		if c.Tries == 1 {
			c.Box = 2 // known already
		}
	case d.Right:
		c.Box = max(1, c.Box)
	default:
		c.Box = 1
	}
	rest := rests[c.Box]
	if c.Box == 1 && !d.Right {
		rest = 0 // missed: at once
	}
	c.Due = d.At.Add(rest)
}

// Next chooses the lesson that a trainee should do now: what was missed and is due, the longest overdue
// first; else one not tried yet, at the level asked for (0: the lowest level not mastered); else what
// comes due next. It is never the one just done, if there is another.
func (p *Progress) Next(level int, seed uint64, now time.Time) *Lesson {
	var due, fresh, rest []*Card
	last := p.last()
	for i := range p.Cards {
		c := &p.Cards[i]
		switch {
		case level != 0 && c.Lesson.Difficulty != level || c.Lesson == last:
		case c.Box == 0:
			fresh = append(fresh, c)
		case !c.Due.After(now):
			due = append(due, c)
		default:
			rest = append(rest, c)
		}
	}
	byDue := func(a, b *Card) int { return cmp.Or(a.Due.Compare(b.Due), cmp.Compare(a.Lesson.ID, b.Lesson.ID)) }
	slices.SortFunc(due, byDue)
	slices.SortFunc(rest, byDue)
	if len(due) > 0 {
		return due[0].Lesson
	}
	if len(fresh) > 0 {
		return pick(fresh, level, seed, p.Drills)
	}
	if len(rest) > 0 {
		return rest[0].Lesson
	}
	return last
}

// pick draws a lesson not tried yet, of the lowest level that has one.
func pick(fresh []*Card, level int, seed uint64, n int) *Lesson {
	if level == 0 {
		level = slices.MinFunc(fresh, func(a, b *Card) int { return a.Lesson.Difficulty - b.Lesson.Difficulty }).Lesson.Difficulty
	}
	fresh = slices.DeleteFunc(fresh, func(c *Card) bool { return c.Lesson.Difficulty != level })
	r := rand.New(rand.NewPCG(seed, uint64(n)))
	return fresh[r.IntN(len(fresh))].Lesson
}

// last is the lesson done last.
func (p *Progress) last() *Lesson {
	var last *Card
	for i := range p.Cards {
		if c := &p.Cards[i]; c.Tries > 0 && (last == nil || c.Last.After(last.Last)) {
			last = c
		}
	}
	if last == nil {
		return nil
	}
	return last.Lesson
}

// Questions is how many lessons an exam has.
const Questions = 10

// Draw draws the lessons of an exam: the same seed draws the same ones. Each level has its share: four of
// the first, three of the others; and each complaint comes before one comes twice.
func Draw(lessons []*Lesson, seed uint64) []*Lesson {
	r := rand.New(rand.NewPCG(seed, 0x65786d))
	order := slices.Clone(lessons)
	slices.SortFunc(order, func(a, b *Lesson) int { return cmp.Compare(a.ID, b.ID) })
	r.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
	share := [Hardest + 1]int{0, 4, 3, 3}
	used := map[string]int{}
	var out []*Lesson
	for level := 1; level <= Hardest; level++ {
		for range share[level] {
			best := -1
			for i, l := range order {
				if l != nil && l.Difficulty == level && (best < 0 || used[l.Complaint] < used[order[best].Complaint]) {
					best = i
				}
			}
			if best < 0 {
				continue
			}
			used[order[best].Complaint]++
			out = append(out, order[best])
			order[best] = nil
		}
	}
	return out
}
