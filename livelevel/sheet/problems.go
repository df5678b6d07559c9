package sheet

import (
	"errors"
	"fmt"
	"sort"
	"strings"
	"unicode"

	"github.com/goccy/go-yaml/token"
)

// maxProblems bounds what is kept of a file with a mistake in every word.
const maxProblems = 200

// Problem is one mistake in a file: where, what, and what would be right.
type Problem struct {
	Place   Place
	What    string
	Excerpt string // the line, cut to the width of a terminal, and a caret below; may be empty
}

// String is the problem with its place, and the line it stands in.
func (p Problem) String() string {
	s := p.Place.String() + ": " + p.What
	if p.Excerpt != "" {
		s += "\n" + p.Excerpt
	}
	return s
}

// Problems are all mistakes of a file, in its order. It is the error of Parse and Doc.Err.
type Problems []Problem

// Error is all the problems, one below the other.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.String()
	}
	return strings.Join(lines, "\n")
}

// Add collects a mistake. Say what is wrong and what would be right.
func (d *Doc) Add(p Place, format string, args ...any) {
	if len(d.problems) >= maxProblems {
		d.dropped++
		return
	}
	d.problems = append(d.problems, Problem{Place: p, What: Visible(fmt.Sprintf(format, args...)), Excerpt: d.excerpt(p)})
}

// Err returns all mistakes found so far, as Problems, or nil.
func (d *Doc) Err() error {
	if len(d.problems) == 0 {
		return nil
	}
	ps := append(Problems(nil), d.problems...)
	sort.SliceStable(ps, func(i, j int) bool {
		a, b := ps[i].Place, ps[j].Place
		return a.Line < b.Line || a.Line == b.Line && a.Column < b.Column
	})
	if d.dropped > 0 {
		last := ps[len(ps)-1].Place
		ps = append(ps, Problem{Place: last, What: fmt.Sprintf("%d more mistakes are not shown", d.dropped)})
	}
	return ps
}

// addSyntax turns the parser's error, which knows its token, into a problem of ours.
func (d *Doc) addSyntax(err error) {
	var at interface {
		GetToken() *token.Token
		GetMessage() string
	}
	if errors.As(err, &at) && at.GetToken() != nil && at.GetToken().Position != nil {
		p := at.GetToken().Position
		d.Add(d.at(p.Line, p.Column), "this is no YAML: %s", at.GetMessage())
		return
	}
	first, _, _ := strings.Cut(err.Error(), "\n")
	d.Add(d.at(1, 1), "this is no YAML: %s", first)
}

const excerptWidth = 72

// excerpt shows the line round a place; long lines are cut so that the place stays in sight.
func (d *Doc) excerpt(p Place) string {
	if p.Line < 1 || p.Line > len(d.lines) {
		return ""
	}
	line := []rune(Visible(strings.ReplaceAll(d.lines[p.Line-1], "\t", " ")))
	col := min(max(p.Column-1, 0), len(line))
	from := 0
	if len(line) > excerptWidth {
		from = min(max(col-excerptWidth/2, 0), len(line)-excerptWidth)
		line = line[from : from+excerptWidth]
	}
	return "    " + string(line) + "\n    " + strings.Repeat(" ", col-from) + "^"
}

// Visible replaces control and other unprintable characters, so that text of a file can be shown on
// a terminal without steering it.
func Visible(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || unicode.IsPrint(r) {
			return r
		}
		return '\ufffd'
	}, s)
}
