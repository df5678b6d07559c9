package sheet

import (
	"fmt"
	"strings"
)

// Amend returns the text of the document with one key of a section (of the document itself where
// section is "") given a new value, and everything else, comments among it, as it was. The value is
// quoted as needed. Parse the result again to see that it says what was meant.
func (d *Doc) Amend(section, key, value string) (string, error) {
	if d.Root.Kind != Mapping {
		return "", fmt.Errorf("amending %s: it is no map of keys", d.Name)
	}
	lines := append([]string(nil), d.lines...)
	written := key + ": " + Quote(value)
	if section == "" {
		return d.amendMap(lines, d.Root, key, value)
	}
	for _, e := range d.Root.entries {
		if e.Key != section {
			continue
		}
		switch e.Value.Kind {
		case Mapping:
			return d.amendMap(lines, e.Value, key, value)
		case Empty:
			return insert(lines, e.Place.Line, "  "+written), nil
		}
		return "", fmt.Errorf("amending %s: %s is no map of keys", e.Place, section)
	}
	return atEnd(lines, section+":\n  "+written), nil
}

// amendMap replaces the value of a key that is there, or puts the key before the first one.
func (d *Doc) amendMap(lines []string, m *Node, key, value string) (string, error) {
	written := key + ": " + Quote(value)
	for _, e := range m.entries {
		if e.Key == key {
			return d.replace(lines, e, value)
		}
	}
	flow := []rune(lines[m.Place.Line-1])
	if at := m.Place.Column; at <= len(flow) && flow[at-1] == '{' {
		if len(m.entries) > 0 {
			written += ", "
		}
		lines[m.Place.Line-1] = string(flow[:at]) + written + string(flow[at:])
		return strings.Join(lines, "\n"), nil
	}
	if m == d.Root {
		return atEnd(lines, written), nil
	}
	first := m.entries[0].Place
	return insert(lines, first.Line-1, strings.Repeat(" ", first.Column-1)+written), nil
}

// replace changes a value that stands on one line.
func (d *Doc) replace(lines []string, e Entry, value string) (string, error) {
	p := e.Value.Place
	line := []rune(lines[p.Line-1])
	at := min(p.Column-1, len(line))
	before, rest := string(line[:at]), string(line[at:])
	var old string
	switch {
	case e.Value.Kind == Empty:
		old = rest[:strings.Index(rest, ":")+1]
		value = old + " " + Quote(value)
	case e.Value.Kind == Scalar && !e.Value.Quoted && strings.HasPrefix(rest, e.Value.text):
		old, value = e.Value.text, Quote(value)
	case e.Value.Kind == Scalar && e.Value.Quoted:
		old, value = quoted(rest), Quote(value)
	}
	if old == "" {
		return "", fmt.Errorf("amending %s: the value of %s does not stand on one line; change it with an editor", p, e.Key)
	}
	lines[p.Line-1] = before + value + rest[len(old):]
	return strings.Join(lines, "\n"), nil
}

// quoted is the text in quotes that begins here; "" when it does not end on the line.
func quoted(s string) string {
	if !strings.HasPrefix(s, `"`) && !strings.HasPrefix(s, "'") {
		return ""
	}
	mark := s[0]
	for i := 1; i < len(s); i++ {
		switch {
		case s[i] == '\\' && mark == '"':
			i++
		case s[i] == mark && mark == '\'' && strings.HasPrefix(s[i+1:], "'"):
			i++
		case s[i] == mark:
			return s[:i+1]
		}
	}
	return ""
}

func insert(lines []string, after int, line string) string {
	out := append([]string(nil), lines[:after]...)
	return strings.Join(append(append(out, line), lines[after:]...), "\n")
}

func atEnd(lines []string, line string) string {
	return strings.TrimRight(strings.Join(lines, "\n"), "\n") + "\n" + line + "\n"
}
