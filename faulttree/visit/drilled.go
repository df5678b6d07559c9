package visit

import (
	"fmt"
	"time"
)

// DrillEnded is the kind of a debrief: the visit was a drill on the practice rig.
const DrillEnded Kind = "drill-ended"

// DrillBody is how a drill came out. Minutes are simulated ones.
type DrillBody struct {
	Lesson     string   `json:"lesson"`
	Difficulty int      `json:"difficulty"`
	Trainee    string   `json:"trainee"`
	Exam       string   `json:"exam,omitempty"` // the exam that it was part of
	Right      bool     `json:"right"`
	Verdict    string   `json:"verdict"`
	Causes     []string `json:"causes,omitempty"` // what was wrong
	Minutes    float64  `json:"minutes"`
	Par        float64  `json:"par_minutes"`
	Wasted     []string `json:"wasted,omitempty"` // mended though nothing was wrong with it
	Hints      int      `json:"hints,omitempty"`
	Lapses     int      `json:"lapses,omitempty"` // cautions passed over
}

func (DrillBody) kind() Kind { return DrillEnded }

// DrillAt is a debrief at a time.
type DrillAt struct {
	At time.Time
	DrillBody
}

func (b DrillBody) line() string {
	return fmt.Sprintf("%s, level %d, by %s: %s", b.Lesson, b.Difficulty, b.Trainee, b.Verdict)
}
