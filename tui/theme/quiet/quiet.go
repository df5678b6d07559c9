// Package quiet keeps the terminal library from questioning the terminal at start-up: its package
// initialisation asks for the background colour (OSC 11) and waits five seconds where no answer
// comes. Telling the answer beforehand avoids both. Go initialises packages that are ready in the
// order of their import paths, so this package's path must sort before
// github.com/charmbracelet/bubbletea; the test of package tui holds that no question is sent.
package quiet

import "github.com/charmbracelet/lipgloss"

// No palette of ours depends on the answer: all inks are readable on dark and on light.
func init() { lipgloss.SetHasDarkBackground(true) }
