package script

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"example.org/tankhand/diagnostics"
)

// at plays on until a time since the start, then does the rest of the line.
func at(a *args) func(*player) error {
	d := a.lasting()
	a.oneOf("expect")
	look := expect(a)
	return func(p *player) error {
		if left := start.Add(d).Sub(p.now); left > 0 {
			if err := p.play(left); err != nil {
				return err
			}
		}
		return look(p)
	}
}

// expect compiles one expectation; its first word is a check or CHECK.ASPECT.
func expect(a *args) func(*player) error {
	from := a.ws[0]
	subject := a.word("a check, or CHECK.ASPECT")
	check, aspect, graded := strings.Cut(subject, ".")
	if !isCheck(check) {
		a.i--
		a.fail(fmt.Sprintf("%q is no check", check))
		return nil
	}
	var test func(f *diagnostics.Finding) string
	if graded {
		test = expectGrade(a, check, aspect)
	} else {
		test = expectFinding(a)
	}
	return func(p *player) error {
		f := p.finding(check)
		if text := test(&f); text != "" {
			p.missed = append(p.missed, wrong(from, fmt.Sprintf("%s: %s (%s; %s%s)", subject, text, f.Verdict, f.Why, f.Missing)))
		}
		return nil
	}
}

func isCheck(id string) bool {
	for _, c := range diagnostics.Checks() {
		if c.ID() == id {
			return true
		}
	}
	return false
}

func (p *player) finding(check string) diagnostics.Finding {
	for _, f := range p.checks().Findings(p.now) {
		if f.Check == check {
			return f
		}
	}
	return diagnostics.Finding{}
}

func expectGrade(a *args, check, aspect string) func(*diagnostics.Finding) string {
	words := aspectWords(check, aspect)
	if words == nil {
		a.i--
		a.fail(fmt.Sprintf("%s has no aspect %q", check, aspect))
		return nil
	}
	want := a.oneOf(append(words, "-", "held")...)
	var least time.Duration
	lasting := want == "held" && a.more() // inputs has a word "held" of its own
	if lasting {
		least = a.lasting()
	}
	return func(f *diagnostics.Finding) string {
		got := f.Grade(aspect)
		switch {
		case lasting:
			for _, g := range f.Grades {
				if g.Aspect == aspect && g.Held >= least {
					return ""
				}
			}
			return fmt.Sprintf("not held for %s: %+v", least, f.Grades)
		case want == "-" && got == "" || got == want:
			return ""
		}
		return fmt.Sprintf("got %q, want %q", got, want)
	}
}

func aspectWords(check, aspect string) []string {
	for _, c := range diagnostics.Checks() {
		for _, as := range c.Aspects() {
			if c.ID() == check && as.Name == aspect {
				return append([]string(nil), as.Words...)
			}
		}
	}
	return nil
}

func expectFinding(a *args) func(*diagnostics.Finding) string {
	w := a.word("pass, fail, cannot-tell, missing WORDS, episodes N, or a figure")
	switch w {
	case "pass", "fail", "cannot-tell":
		return func(f *diagnostics.Finding) string {
			if f.Verdict.String() != w {
				return fmt.Sprintf("want %s", w)
			}
			return ""
		}
	case "missing":
		return expectMissing(a.word("words in quotes"))
	case "episodes":
		n := int(a.number("a number"))
		return func(f *diagnostics.Finding) string {
			if len(f.Episodes) != n {
				return fmt.Sprintf("%d episodes, want %d", len(f.Episodes), n)
			}
			return ""
		}
	}
	return expectFigure(a, w)
}

// expectMissing wants a check that cannot tell and names what would.
func expectMissing(words string) func(*diagnostics.Finding) string {
	return func(f *diagnostics.Finding) string {
		if f.Verdict != diagnostics.CannotTell || !strings.Contains(f.Missing, words) {
			return fmt.Sprintf("want it to miss %q", words)
		}
		return ""
	}
}

func expectFigure(a *args, name string) func(*diagnostics.Finding) string {
	text := a.word("a value, LOW..HIGH, or -")
	lo, hi, ok := interval(text)
	if !ok {
		a.i--
		a.fail(fmt.Sprintf("%q is no value, LOW..HIGH or -", text))
	}
	return func(f *diagnostics.Finding) string {
		v, ok := f.Figure(name)
		switch {
		case !ok:
			return fmt.Sprintf("has no figure %s", name)
		case text == "-" && math.IsNaN(v), v >= lo && v <= hi:
			return ""
		}
		return fmt.Sprintf("%s is %.6g, want %s", name, v, text)
	}
}

// interval reads LOW..HIGH or a single value, which must be met to a millionth.
func interval(text string) (lo, hi float64, ok bool) {
	if text == "-" {
		return 1, 0, true
	}
	a, b, two := strings.Cut(text, "..")
	lo, err := strconv.ParseFloat(a, 64)
	if err != nil {
		return 0, 0, false
	}
	if !two {
		d := 1e-6 * math.Max(1, math.Abs(lo))
		return lo - d, lo + d, true
	}
	hi, err = strconv.ParseFloat(b, 64)
	return lo, hi, err == nil
}
