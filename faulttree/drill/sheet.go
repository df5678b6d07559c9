package drill

import (
	"fmt"
	"strings"
	"time"
)

// Mark is one lesson of an exam; its debrief is nil where the trainee did not work it.
type Mark struct {
	Lesson  *Lesson
	Debrief *Debrief
}

// Sheet is the result of an exam.
type Sheet struct {
	Trainee string
	Seed    uint64
	At      time.Time
	Lessons []Mark
}

// Passing is the share of lessons that must be right to pass; engineering judgement.
const Passing = 0.7

// Right counts the lessons that were right.
func (s *Sheet) Right() (n int) {
	for _, m := range s.Lessons {
		if m.Debrief != nil && m.Debrief.Right {
			n++
		}
	}
	return n
}

// Passed tells whether enough was right.
func (s *Sheet) Passed() bool {
	return len(s.Lessons) > 0 && float64(s.Right()) >= Passing*float64(len(s.Lessons))
}

// Text is the result sheet, 80 columns wide.
func (s *Sheet) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Result sheet of %s (invented installations)\n", visible(s.Trainee))
	fmt.Fprintf(&b, "Begun %s, seed %d, no hints\n\n", s.At.Local().Format("2006-01-02 15:04"), s.Seed)
	minutes, par, wasted, lapses := 0.0, 0.0, 0, 0
	for i, m := range s.Lessons {
		mark, verdict := "!", "Not worked."
		if d := m.Debrief; d != nil {
			if verdict = d.Verdict; d.Right {
				mark = "+"
			}
			minutes, par = minutes+d.Minutes+d.Waited, par+d.Par
			wasted, lapses = wasted+len(d.Wasted), lapses+len(d.Lapses)
			verdict += fmt.Sprintf(" %.0f min (good way %.0f).", d.Minutes+d.Waited, d.Par)
			for _, c := range d.Wasted {
				verdict += " In vain: " + c.Title + "."
			}
		}
		wrap(&b, fmt.Sprintf("%2d %s ", i+1, mark), fmt.Sprintf("level %d, %s. %s", m.Lesson.Difficulty, m.Lesson.Complaint, verdict))
	}
	fmt.Fprintf(&b, "\n%d of %d right; remedies in vain: %d; cautions passed over: %d.\n", s.Right(), len(s.Lessons), wasted, lapses)
	fmt.Fprintf(&b, "Simulated work %.0f min; the lessons' good ways take %.0f min.\n", minutes, par)
	verdict := "Not passed"
	if s.Passed() {
		verdict = "Passed"
	}
	fmt.Fprintf(&b, "%s: %.0f %% must be right.\n", verdict, 100*Passing)
	return b.String()
}

// Text is how a trainee stands, 80 columns wide.
func (p *Progress) Text(now time.Time) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Progress of %s: %d drills, %.0f min of simulated work\n", visible(p.Trainee), p.Drills, p.Minutes)
	var mastered, back []string
	fresh := [Hardest + 1]int{}
	for i := range p.Cards {
		c := &p.Cards[i]
		switch {
		case c.Tries == 0:
			fresh[c.Lesson.Difficulty]++
		case c.Mastered():
			mastered = append(mastered, c.Lesson.ID)
		case !c.Due.After(now):
			back = append(back, c.Lesson.ID+" (due)")
		default:
			back = append(back, c.Lesson.ID+" ("+c.Due.Local().Format("2006-01-02")+")")
		}
	}
	wrap(&b, "Mastered:      ", orNone(mastered))
	wrap(&b, "To come back:  ", orNone(back))
	fmt.Fprintf(&b, "Not tried yet: level 1: %d, level 2: %d, level 3: %d\n", fresh[1], fresh[2], fresh[3])
	return b.String()
}

func orNone(list []string) string {
	if len(list) == 0 {
		return "none yet"
	}
	return strings.Join(list, ", ")
}
