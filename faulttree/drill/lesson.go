// Package drill trains a technician without a tank: lessons with a hidden fault, a running visit on a
// simulated installation whose minutes pass at once, the debrief, and the progress of each trainee.
//
// It knows the installation only as an interface, so that the truth about the fault reaches the
// debrief and never the fault finding.
package drill

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"strings"
	"time"

	"example.org/tankhand/livelevel/sheet"
)

// Schema names the lessons' format and its version.
const Schema = "tankhand/lesson/1"

// Hardest is the highest difficulty: 1 is a single clear fault, 2 a mild one or one that comes and goes,
// 3 two at once, none at all, or one that hides.
const Hardest = 3

// Lesson is one exercise: a hidden fault with its story, and what there is to find.
type Lesson struct {
	ID, Title  string // the title names the fault: for the debrief only
	Difficulty int
	Complaint  string
	Story      string   // what the customer says
	Faults     []string // as `--fault` takes them; none is a healthy installation
	Seed       uint64   // of the installation
	Dialect    string   // of the installation
	Listen     time.Duration
	Refused    string // no-port, busy or no-right, where the port does not open
	Causes     []string
	// Bytes are figures worked out from the feed by plain statistics, each with its range.
	Bytes   map[string][2]float64
	Grades  map[string]string // CHECK.ASPECT: word
	Answers map[string]string // probe: answer
	Path    []string          // a good way: probes that tell, then the causes to mend
	Debrief string
}

//go:embed lessons/*.yaml
var shipped embed.FS

// Lessons are the shipped lessons in the order of their ids.
func Lessons() ([]*Lesson, error) {
	files, err := fs.Sub(shipped, "lessons")
	if err != nil {
		return nil, fmt.Errorf("reading the lessons: %w", err)
	}
	return Read(files, "lessons")
}

// Read reads all lessons of a file system; the error holds every mistake of every file with its place.
func Read(files fs.FS, folder string) ([]*Lesson, error) {
	names, err := fs.Glob(files, "*.yaml")
	if err != nil {
		return nil, fmt.Errorf("reading lessons in %s: %w", folder, err)
	}
	var out []*Lesson
	var wrong sheet.Problems
	for _, name := range names {
		data, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, fmt.Errorf("reading a lesson: %w", err)
		}
		l, err := Parse(path.Join(folder, name), data)
		if ps, ok := err.(sheet.Problems); ok {
			wrong = append(wrong, ps...)
			continue
		}
		if err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	if len(wrong) > 0 {
		return nil, wrong
	}
	return out, nil
}

// Parse reads one lesson strictly: every mistake is reported, each with its place.
func Parse(name string, data []byte) (*Lesson, error) {
	l, _, err := parse(name, data)
	return l, err
}

// parse also gives the map, for the linter to point at.
func parse(name string, data []byte) (*Lesson, *sheet.Map, error) {
	doc, err := sheet.Parse(name, data)
	if err != nil {
		return nil, nil, err
	}
	m := doc.Map()
	m.Need("lesson", "id", "title", "difficulty", "complaint", "story", "seed", "dialect", "listen", "bytes", "debrief")
	if v := m.Text("lesson"); v != "" && v != Schema {
		m.Problem("lesson", "%q is no lesson that this program reads: it must be %s", v, Schema)
	}
	l := &Lesson{ID: m.Text("id"), Title: m.Text("title"), Difficulty: m.Int("difficulty", 0), Complaint: m.Text("complaint"),
		Story: m.Text("story"), Faults: list(m, "faults"), Seed: uint64(max(0, m.Int("seed", 0))), Dialect: m.Text("dialect"),
		Listen: m.Duration("listen"), Refused: m.Word("refused", "no-port", "busy", "no-right"), Causes: list(m, "causes"),
		Bytes: ranges(m), Grades: pairs(m, "grades"), Answers: pairs(m, "answers"), Path: list(m, "path"), Debrief: m.Text("debrief")}
	l.check(m, strings.TrimSuffix(path.Base(name), ".yaml"))
	m.Done()
	if err := doc.Err(); err != nil {
		return nil, m, err
	}
	return l, m, nil
}

// list is a list that must be there, though it may be empty: a healthy lesson says so.
func list(m *sheet.Map, key string) []string {
	if !m.Has(key) {
		m.Problem(key, "%q is missing here: write [] when there is nothing", key)
	}
	return m.Texts(key)
}

func pairs(m *sheet.Map, key string) map[string]string {
	out := map[string]string{}
	for _, e := range m.Map(key).Entries() {
		out[e.Key] = e.Value.Text()
	}
	return out
}

func ranges(m *sheet.Map) map[string][2]float64 {
	out := map[string][2]float64{}
	for _, e := range m.Map("bytes").Entries() {
		v := e.Value.Floats()
		if len(v) != 2 || v[0] > v[1] {
			e.Value.Problem("a figure has its least and its greatest value, as in [0, 0.01]")
			continue
		}
		out[e.Key] = [2]float64{v[0], v[1]}
	}
	return out
}

// longestListen bounds how much feed a lesson may need: a trainee waits for it to be played.
const longestListen = time.Hour

// check reports what one lesson says wrong of itself.
func (l *Lesson) check(m *sheet.Map, file string) {
	if l.ID != "" && l.ID != file {
		m.Problem("id", "the file is named %s.yaml; the id must be %q too", file, file)
	}
	if m.Has("difficulty") && (l.Difficulty < 1 || l.Difficulty > Hardest) {
		m.Problem("difficulty", "%d is no difficulty: 1 to %d", l.Difficulty, Hardest)
	}
	if m.Has("seed") && m.Int("seed", 0) < 0 {
		m.Problem("seed", "a seed is 0 or above")
	}
	if m.Has("listen") && (l.Listen <= 0 || l.Listen > longestListen) {
		m.Problem("listen", "how long the feed has run must be above 0 and up to %v", longestListen)
	}
	if (len(l.Faults) == 0) != (len(l.Causes) == 0) {
		m.Problem("causes", "faults and causes go together: with no fault there is no cause to name, and the other way round")
	}
}

// Must are the causes that have to be mended: those switched in. Others among Causes come of them, and
// mending them is no mistake.
func (l *Lesson) Must() (out []string) {
	for _, f := range l.Faults {
		out = append(out, causeOf(f))
	}
	return out
}

// causeOf is the cause in a fault as `--fault` takes it: ID[@START][:SEVERITY][/EVERY,FOR].
func causeOf(fault string) string {
	if i := strings.IndexAny(fault, "@:/"); i >= 0 {
		fault = fault[:i]
	}
	return strings.TrimSpace(fault)
}

// Healthy tells whether nothing is wrong.
func (l *Lesson) Healthy() bool { return len(l.Causes) == 0 }

// Find is the lesson of that id; nil when there is none.
func Find(all []*Lesson, id string) *Lesson {
	for _, l := range all {
		if l.ID == id {
			return l
		}
	}
	return nil
}
