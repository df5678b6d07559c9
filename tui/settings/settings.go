// Package settings is what a technician says once and not at every visit: units, licence, drawing,
// the form of the report. It is kept as YAML in the config folder; flags win over it.
package settings

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"example.org/tankhand/livelevel/sheet"
)

// Schema names the shape of the file.
const Schema = "tankhand/settings/1"

// Settings are the words that were chosen; "" is what the program takes when nothing was chosen, the
// first of a choice's words.
type Settings struct {
	Units      string // metric, us
	Where      string // everywhere, at-the-tank, at-the-board, remote
	Mains      string // yes, no: may this technician open mains enclosures?
	Technician string // who does the work, for the record
	SlowLink   string // auto (in an SSH session), yes, no
	Colour     string // auto (by the terminal), off, sixteen, full
	Drawing    string // auto (by the locale), utf-8, ascii
	Report     string // html, pdf, markdown: the report written at the hand-over
	Customer   string // yes, no: the customer's sheet as a file of its own
	Paper      string // a4, letter
	Learning   string // yes, no: let this firm's closed visits move the priors
}

// Choice is one of the settings: its key in the file, its words, and what it is for.
type Choice struct {
	Key   string
	Label string
	Words []string // nil: free text
	Help  string
	of    func(*Settings) *string
}

// Choices lists all settings in the order in which they are shown and written.
func Choices() []Choice { return choices }

var choices = []Choice{
	{"technician", "Technician", nil, "your name as it stands in the record and the report", func(s *Settings) *string { return &s.Technician }},
	{"units", "Units", []string{"metric", "us"}, "metres and cubic metres, or inches and US gallons", func(s *Settings) *string { return &s.Units }},
	{"mains", "May open mains enclosures", []string{"yes", "no"}, "no: steps behind the lids of mains enclosures are left to an electrician", func(s *Settings) *string { return &s.Mains }},
	{"where", "Where you work", []string{"everywhere", "at-the-tank", "at-the-board", "remote"}, "only steps that can be done from there are offered", func(s *Settings) *string { return &s.Where }},
	{"slow_link", "Slow link", []string{"auto", "yes", "no"}, "repaint sparingly; auto is on in an SSH session", func(s *Settings) *string { return &s.SlowLink }},
	{"colour", "Colour", []string{"auto", "off", "sixteen", "full"}, "auto follows the terminal; NO_COLOR in the environment wins", func(s *Settings) *string { return &s.Colour }},
	{"drawing", "Drawing", []string{"auto", "utf-8", "ascii"}, "ascii for a terminal that shows boxes as question marks", func(s *Settings) *string { return &s.Drawing }},
	{"report", "Report", []string{"html", "pdf", "markdown"}, "the form in which the report is written at the hand-over", func(s *Settings) *string { return &s.Report }},
	{"customer_sheet", "Customer's sheet by itself", []string{"yes", "no"}, "yes: page one, in plain words, is written to a file of its own, too", func(s *Settings) *string { return &s.Customer }},
	{"paper", "Paper", []string{"a4", "letter"}, "of the PDF report", func(s *Settings) *string { return &s.Paper }},
	{"learning", "Learn from own visits", []string{"yes", "no"}, "closed visits of this firm move the chances that the fault finding begins with", func(s *Settings) *string { return &s.Learning }},
}

// Get is the word in force: what was chosen, or else the first.
func (c Choice) Get(s Settings) string {
	if word := *c.of(&s); word != "" || len(c.Words) == 0 {
		return word
	}
	return c.Words[0]
}

// Set is the settings with another word for a choice.
func (c Choice) Set(s Settings, word string) Settings {
	if len(c.Words) > 0 && word == c.Words[0] {
		word = ""
	}
	*c.of(&s) = word
	return s
}

// Next is the word after the one in force, round and round.
func (c Choice) Next(s Settings) string {
	for i, w := range c.Words {
		if w == c.Get(s) {
			return c.Words[(i+1)%len(c.Words)]
		}
	}
	return c.Get(s)
}

// Parse reads a file of settings. What is right in a file with mistakes is taken nevertheless; the
// error says all mistakes with their places.
func Parse(name string, text []byte) (s Settings, err error) {
	doc, err := sheet.Parse(name, text)
	if err != nil {
		return s, err
	}
	m := doc.Map()
	if m.Has("settings") && m.Text("settings") != Schema {
		m.Problem("settings", "these are settings of another kind or of a newer program; this one reads %s", Schema)
	}
	for _, c := range choices {
		if len(c.Words) == 0 {
			s = c.Set(s, strings.TrimSpace(m.Text(c.Key)))
			continue
		}
		s = c.Set(s, m.Word(c.Key, c.Words...))
	}
	m.Done()
	return s, doc.Err()
}

// Load reads the file; one that is not there holds no settings. The settings are usable whatever the
// error says.
func Load(path string) (Settings, error) {
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return Settings{}, nil
	}
	if err != nil {
		return Settings{}, fmt.Errorf("reading the settings: %w (the program goes on without them)", err)
	}
	s, err := Parse(path, text)
	if err != nil {
		return s, fmt.Errorf("reading the settings (what is right in them is taken; mend the file, or choose anew on the settings screen):\n%w", err)
	}
	return s, nil
}

// Format writes settings as Parse reads them, each with a comment that says what may stand there.
func Format(s Settings) string {
	var b strings.Builder
	fmt.Fprintf(&b, "settings: %s\n", Schema)
	for _, c := range choices {
		what := c.Help
		if len(c.Words) > 0 {
			what = strings.Join(c.Words, " | ") + ": " + what
		}
		fmt.Fprintf(&b, "\n# %s\n", what)
		if word := c.Get(s); word != "" {
			fmt.Fprintf(&b, "%s: %s\n", c.Key, quoted(c, word))
		} else {
			fmt.Fprintf(&b, "# %s:\n", c.Key)
		}
	}
	return b.String()
}

func quoted(c Choice, word string) string {
	if len(c.Words) > 0 {
		return word
	}
	return sheet.Quote(word)
}

// Save keeps settings at path. A file that a person wrote keeps its comments; one with mistakes is put
// aside, and aside says where.
func Save(path string, s Settings) (aside string, err error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return "", fmt.Errorf("keeping the settings: %w", err)
	}
	text := Format(s)
	old, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return "", fmt.Errorf("keeping the settings: %w", err)
	default:
		if mended, ok := amended(path, old, s); ok {
			text = mended
		} else {
			aside = path + ".old"
			if err := os.WriteFile(aside, old, 0o600); err != nil {
				return "", fmt.Errorf("keeping the old settings aside: %w", err)
			}
		}
	}
	return aside, write(path, text)
}

// write puts the new file in the place of the old one in one move, so that a cut leaves one of them whole.
func write(path, text string) error {
	next := path + ".new"
	if err := os.WriteFile(next, []byte(text), 0o600); err != nil {
		return fmt.Errorf("keeping the settings: %w", err)
	}
	if err := os.Rename(next, path); err != nil {
		return fmt.Errorf("keeping the settings: %w", err)
	}
	return nil
}

// amended changes only what differs, and only in a file that can be read.
func amended(path string, text []byte, s Settings) (string, bool) {
	was, err := Parse(path, text)
	if err != nil {
		return "", false
	}
	for _, c := range choices {
		if c.Get(was) == c.Get(s) {
			continue
		}
		doc, err := sheet.Parse(path, text)
		if err != nil {
			return "", false
		}
		next, err := doc.Amend("", c.Key, c.Get(s))
		if err != nil {
			return "", false
		}
		text = []byte(next)
	}
	now, err := Parse(path, text)
	return string(text), err == nil && now == s
}
