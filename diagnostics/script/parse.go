package script

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"example.org/tankhand/livelevel/sheet"
)

// Bounds that keep a hostile script from running for ever.
const (
	mostLines    = 10000
	mostReadings = 20_000_000
	mostRepeats  = 100_000
)

// Parse reads a script and reports all mistakes at once, each with file, line and column.
func Parse(name, text string) (*Script, error) {
	s := &Script{name: name}
	var errs []error
	lines := strings.Split(text, "\n")
	if len(lines) > mostLines {
		return nil, fmt.Errorf("reading script %s: %d lines, at most %d: split it", name, len(lines), mostLines)
	}
	stack := [][]statement{nil}
	var heads []statement
	for i, line := range lines {
		ws, err := split(name, i+1, line)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		if len(ws) == 0 {
			continue
		}
		switch ws[0].text {
		case "repeat":
			st := statement{words: ws}
			if st.times, err = repeats(ws); err != nil {
				errs = append(errs, err)
			}
			heads, stack = append(heads, st), append(stack, nil)
		case "end":
			if len(heads) == 0 {
				errs = append(errs, wrong(ws[0], "end without repeat"))
				continue
			}
			st := heads[len(heads)-1]
			st.body = stack[len(stack)-1]
			heads, stack = heads[:len(heads)-1], stack[:len(stack)-1]
			stack[len(stack)-1] = append(stack[len(stack)-1], st)
		default:
			run, err := compile(ws)
			if err != nil {
				errs = append(errs, err)
			}
			stack[len(stack)-1] = append(stack[len(stack)-1], statement{words: ws, run: run})
		}
	}
	for _, h := range heads {
		errs = append(errs, wrong(h.words[0], "repeat without end"))
	}
	s.lines = stack[0]
	return s, errors.Join(errs...)
}

func repeats(ws []word) (int, error) {
	if len(ws) != 2 {
		return 0, wrong(ws[0], "want: repeat NUMBER")
	}
	n, err := strconv.Atoi(ws[1].text)
	if err != nil || n < 1 || n > mostRepeats {
		return 0, wrong(ws[1], fmt.Sprintf("%q is no number from 1 to %d", ws[1].text, mostRepeats))
	}
	return n, nil
}

func wrong(w word, text string) error { return &Error{w.at, text} }

// split cuts a line into words; a word may stand in double quotes.
func split(name string, line int, text string) (ws []word, err error) {
	for i := 0; i < len(text); {
		c := text[i]
		at := sheet.Place{File: name, Line: line, Column: i + 1}
		switch {
		case c == ' ' || c == '\t' || c == '\r':
			i++
		case c == '#':
			return ws, nil
		case c == '"':
			end := strings.IndexByte(text[i+1:], '"')
			if end < 0 {
				return nil, &Error{at, "the quote is not closed"}
			}
			ws = append(ws, word{text[i+1 : i+1+end], at})
			i += end + 2
		default:
			end := i
			for end < len(text) && !strings.ContainsRune(" \t\r\"", rune(text[end])) {
				end++
			}
			ws = append(ws, word{text[i:end], at})
			i = end
		}
	}
	return ws, nil
}

// units of the language, in SI.
var units = map[string]float64{"": 1, "m": 1, "cm": 0.01, "mm": 0.001, "%": 0.01, "s": 1, "ms": 0.001, "min": 60, "h": 3600,
	"m/s": 1, "mm/s": 0.001, "cm/s": 0.01, "mm/min": 0.001 / 60, "mm/h": 0.001 / 3600, "m3/h": 1.0 / 3600, "m3/s": 1, "V": 1, "A": 1,
	"degC": 1, "Hz": 1, "W": 1, "kW": 1000, "ohm": 1}

// args reads the words after the first as values.
type args struct {
	ws  []word
	i   int
	err error
}

func (a *args) fail(text string) {
	if a.err == nil {
		w := a.ws[len(a.ws)-1]
		if a.i < len(a.ws) {
			w = a.ws[a.i]
		}
		a.err = wrong(w, text)
	}
}

func (a *args) more() bool { return a.i < len(a.ws) && a.err == nil }

// word takes the next word.
func (a *args) word(what string) string {
	if a.i >= len(a.ws) {
		a.fail("want " + what)
		return ""
	}
	a.i++
	return a.ws[a.i-1].text
}

// oneOf takes a word out of a list.
func (a *args) oneOf(list ...string) string {
	w := a.word("one of " + strings.Join(list, ", "))
	for _, l := range list {
		if w == l {
			return w
		}
	}
	a.i--
	a.fail(fmt.Sprintf("%q: want one of %s", w, strings.Join(list, ", ")))
	return ""
}

// number takes a number and the unit after it, if one stands there.
func (a *args) number(what string) float64 {
	w := a.word(what)
	v, err := strconv.ParseFloat(w, 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > 1e9 {
		a.i--
		a.fail(fmt.Sprintf("%q is not %s", w, what))
		return 0
	}
	if a.more() {
		if f, ok := units[a.ws[a.i].text]; ok {
			a.i++
			return v * f
		}
	}
	return v
}

// lasting takes a time like 100ms, 90s, 14h.
func (a *args) lasting() time.Duration {
	w := a.word("a time, as in 90s")
	d, err := time.ParseDuration(w)
	if err != nil || d <= 0 || d > 1000*time.Hour {
		a.i--
		a.fail(fmt.Sprintf("%q is no time, as in 90s, 100ms or 14h", w))
	}
	return d
}

// done reports words that are left over.
func (a *args) done() error {
	if a.err == nil && a.i < len(a.ws) {
		a.fail(fmt.Sprintf("%q is too much here", a.ws[a.i].text))
	}
	return a.err
}
