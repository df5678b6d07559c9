package drill

import (
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/sheet"
)

// Rules are what lessons are held to beyond their own form: the knowledge that they speak of, and what
// the installation can do.
type Rules struct {
	Base *knowledge.Base
	// Fault refuses what the installation cannot switch in; nil: not checked.
	Fault func(text string) error
	// Dialects are those that the installation speaks; nil: not checked.
	Dialects []string
}

// Lint checks the shipped lessons; the error holds every mistake with its place.
func Lint(r Rules) error {
	files, err := fs.Sub(shipped, "lessons")
	if err != nil {
		return err
	}
	return LintFiles(files, "lessons", r)
}

// LintFiles checks the lessons of a file system.
func LintFiles(files fs.FS, folder string, r Rules) error {
	names, err := fs.Glob(files, "*.yaml")
	if err != nil {
		return err
	}
	var wrong sheet.Problems
	for _, name := range names {
		data, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		l, m, err := parse(path.Join(folder, name), data)
		if err == nil {
			r.lint(l, m)
			err = m.Doc().Err()
		}
		if ps, ok := err.(sheet.Problems); ok {
			wrong = append(wrong, ps...)
		} else if err != nil {
			return err
		}
	}
	if len(wrong) > 0 {
		return wrong
	}
	return nil
}

// lint checks one lesson against the knowledge and the installation.
func (r Rules) lint(l *Lesson, m *sheet.Map) {
	if !slices.ContainsFunc(r.Base.Complaints, func(c *knowledge.Complaint) bool { return c.ID == l.Complaint }) {
		m.Problem("complaint", "there is no complaint %q", l.Complaint)
	}
	for _, id := range l.Causes {
		if r.Base.Causes[id] == nil {
			m.Problem("causes", "there is no cause %q%s", id, meant(id, r.Base.Causes))
		}
	}
	for _, id := range l.Must() {
		if !slices.Contains(l.Causes, id) {
			m.Problem("causes", "the fault %s is switched in and is none of the causes", id)
		}
		if !slices.Contains(l.Path, id) {
			m.Problem("path", "the path does not end with mending %s, which is switched in", id)
		}
	}
	r.lintPath(l, m)
	r.lintAnswers(m)
	lintGrades(m)
	for _, n := range m.Items("faults") {
		if r.Fault != nil {
			if err := r.Fault(n.Text()); err != nil {
				n.Problem("%v", err)
			}
		}
	}
	if r.Dialects != nil && !slices.Contains(r.Dialects, l.Dialect) {
		m.Problem("dialect", "the installation does not speak %q: it speaks %s", l.Dialect, strings.Join(r.Dialects, ", "))
	}
}

// lintPath: probes first, then causes; nothing else, nothing twice.
func (r Rules) lintPath(l *Lesson, m *sheet.Map) {
	seen, mending := map[string]bool{}, false
	for _, n := range m.Items("path") {
		id := n.Text()
		switch {
		case seen[id]:
			n.Problem("%s stands twice on the path", id)
		case slices.Contains(l.Causes, id):
			mending = true
		case r.Base.Probes[id] == nil:
			n.Problem("%s is neither a probe nor one of the lesson's causes%s", id, meant(id, r.Base.Probes))
		case mending:
			n.Problem("the probe %s stands after a cause: ask first, then mend", id)
		}
		seen[id] = true
	}
}

func (r Rules) lintAnswers(m *sheet.Map) {
	for _, e := range m.Map("answers").Entries() {
		p := r.Base.Probes[e.Key]
		if p == nil {
			m.Doc().Add(e.Place, "there is no probe %q%s", e.Key, meant(e.Key, r.Base.Probes))
		} else if !slices.Contains(p.Answers, e.Value.Text()) {
			e.Value.Problem("%q is no answer of %s: they are %s", e.Value.Text(), e.Key, strings.Join(p.Answers, ", "))
		}
	}
}

// lintGrades: a check, one of its aspects, one of its words.
func lintGrades(m *sheet.Map) {
	words := map[string][]string{}
	for _, c := range diagnostics.Checks() {
		for _, a := range c.Aspects() {
			words[c.ID()+"."+a.Name] = a.Words
		}
	}
	for _, e := range m.Map("grades").Entries() {
		known, ok := words[e.Key]
		if !ok {
			m.Doc().Add(e.Place, "%q is no aspect of a check%s", e.Key, meant(e.Key, words))
		} else if !slices.Contains(known, e.Value.Text()) {
			e.Value.Problem("%q is no word of %s: they are %s", e.Value.Text(), e.Key, strings.Join(known, ", "))
		}
	}
}

func meant[V any](word string, known map[string]V) string {
	if near := sheet.Nearest(word, slices.Sorted(maps.Keys(known))); near != "" {
		return " (did you mean " + near + "?)"
	}
	return ""
}
