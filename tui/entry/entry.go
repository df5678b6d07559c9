// Package entry is one line being typed: while it is open every printable key types, Enter takes it and
// Esc leaves it, on every screen alike.
package entry

import (
	"strings"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/theme"
)

// Longest is how many characters a line takes: enough for a note, too few to hurt a store.
const Longest = 500

// Line is what has been typed so far. It is a value: Type returns the next one.
type Line struct {
	Label, Unit string
	Wrong       string // why it was not taken
	text        []rune
}

// Of is a line with a text already in it.
func Of(label, text string) Line { return Line{Label: label, text: []rune(text)} }

// Value is the text without blanks around it.
func (l Line) Value() string { return strings.TrimSpace(string(l.text)) }

// Text is all that was typed, blanks too.
func (l Line) Text() string { return string(l.text) }

// End is what a key did to the line.
type End uint8

// The ends. Taken and Left close the line.
const (
	Typing End = iota
	Taken
	Left
)

// Type takes a key.
func (l Line) Type(msg tea.KeyMsg) (Line, End) {
	l.Wrong = ""
	switch msg.Type {
	case tea.KeyEsc, tea.KeyCtrlC:
		return l, Left
	case tea.KeyEnter:
		return l, Taken
	case tea.KeyBackspace:
		l.text = l.text[:max(0, len(l.text)-1)]
	case tea.KeyCtrlU:
		l.text = nil
	case tea.KeySpace:
		return l.add(' '), Typing
	case tea.KeyRunes:
		return l.add(msg.Runes...), Typing
	}
	return l, Typing
}

// add writes to a copy: an older value may still be looked at.
func (l Line) add(runes ...rune) Line {
	text := append([]rune{}, l.text...)
	for _, r := range runes {
		if unicode.IsPrint(r) && len(text) < Longest {
			text = append(text, r)
		}
	}
	l.text = text
	return l
}

// Draw is the line on the screen; of a long text the end shows.
func (l Line) Draw(w int) draw.Line {
	head := draw.Line{draw.Say(theme.Strong, " "+l.Label+": "), draw.Say(theme.Key, "[ ")}
	tail := draw.Line{draw.Say(theme.Key, "_ ]"), draw.Say(theme.Plain, " "+l.Unit)}
	if l.Wrong != "" {
		tail = append(tail, draw.Say(theme.Bad, "  ! "+l.Wrong))
	}
	text := l.text[max(0, len(l.text)-max(1, w)):] // no character is narrower than a column
	for len(text) > 0 && draw.Plain(string(text)).Width() > max(1, w-head.Width()-len(l.Unit)-6) {
		text = text[1:]
	}
	head = append(head, draw.Say(theme.Plain, string(text)))
	return append(head, tail...).Cut(w)
}

// Keys is the row of keys while a line is open.
func Keys(w int) draw.Line {
	return draw.Line{draw.Say(theme.Key, " Enter"), draw.Say(theme.Plain, " take it  "), draw.Say(theme.Key, " Esc"), draw.Say(theme.Plain, " leave the field")}.Cut(w)
}
