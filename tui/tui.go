// Package tui is the full screen: it routes between the start screen and the bench, and owns the
// terminal from the first paint until it is given back.
package tui

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/tui/bench"
	"example.org/tankhand/tui/draw"
	"example.org/tankhand/tui/settings"
	"example.org/tankhand/tui/start"
	"example.org/tankhand/tui/theme"
	"example.org/tankhand/tui/visits"
)

// Session is the running visit behind the bench.
type Session = bench.Session

// Config is what the program brings along.
type Config struct {
	// Items looks for what the start screen offers; it runs beside the screen and may take its time.
	Items func(ctx context.Context) []start.Item
	// Sheets looks for the site sheets that are known; it may be nil.
	Sheets func(ctx context.Context) []start.Sheet
	// KeepSheet keeps a new site sheet and returns where; it may be nil.
	KeepSheet func(name, text string) (path string, err error)
	// OpenBench opens the feed and the visit of a choice; it runs beside the screen.
	OpenBench func(ctx context.Context, choice start.Item) (Session, error)
	// Straight skips the start screen.
	Straight *start.Item
	// SaveDialect keeps a dialect for a site and returns where.
	SaveDialect func(d dialect.Dialect) (path string, err error)
	// Base names complaints and causes in words; it may be nil.
	Base    *knowledge.Base
	US      bool // US customary units
	ASCII   bool
	Slow    bool // slow link
	NoColor bool
	// Save writes the text of a screen to a file and returns its path; it may be nil.
	Save func(text string) (path string, err error)
	// Book is where past visits are read; nil: there is no such screen.
	Book visits.Book
	// Report writes the report of a visit that was just closed, with the trend that is on the screen, and
	// returns the paths of its files; it may be nil.
	Report func(ctx context.Context, visit string, trend []visit.Point) (paths []string, err error)
	// Settings are in force at the start; SettingsPath is where they are kept ("": they cannot be changed
	// here), SettingsWrong what was wrong with that file, and Settle is told of every change.
	Settings      settings.Settings
	SettingsPath  string
	SettingsWrong error
	Settle        func(settings.Settings)

	Version string
	In      io.Reader // nil: standard input
	Out     io.Writer // nil: standard output
	// Env is the environment, os.Getenv when nil.
	Env func(string) string
}

// Run shows the screens until they are left, the context ends, or the terminal hangs up. The session
// is closed before it returns.
func Run(ctx context.Context, c Config) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	root := New(ctx, c)
	p := tea.NewProgram(root, c.options()...)
	hangUp := make(chan os.Signal, 1)
	signal.Notify(hangUp, syscall.SIGHUP, syscall.SIGTERM, os.Interrupt)
	defer signal.Stop(hangUp)
	go func() {
		select {
		case <-hangUp: // the link was cut, or somebody ends us: leave in order
		case <-ctx.Done(): // likewise; the library's own way to end by a context races with a resize
		}
		p.Quit()
	}()
	last, err := p.Run()
	err = ending(err)
	if m, ok := last.(Model); ok {
		return errors.Join(err, m.end())
	}
	return errors.Join(err, root.live.end())
}

// ending drops the errors that are ordinary ways to leave.
func ending(err error) error {
	if errors.Is(err, tea.ErrInterrupted) || errors.Is(err, context.Canceled) || (errors.Is(err, tea.ErrProgramKilled) && !errors.Is(err, tea.ErrProgramPanic)) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("running the screen: %w (every event shown before is on disk)", err)
	}
	return nil
}

func (c Config) options() []tea.ProgramOption {
	// The library's own handler of signals waits for ever where the loop has ended by another Quit.
	opt := []tea.ProgramOption{tea.WithAltScreen(), tea.WithFPS(60), tea.WithoutSignalHandler()}
	if c.In != nil {
		opt = append(opt, tea.WithInput(c.In))
	}
	if c.Out != nil {
		opt = append(opt, tea.WithOutput(c.Out))
	}
	return opt
}

func (c Config) theme() theme.Theme {
	env := c.env()
	t := theme.Theme{Profile: theme.Detect(env), ASCII: c.ASCII || theme.Seven(env) && c.Settings.Drawing != "utf-8"}
	switch {
	case c.NoColor || c.Settings.Colour == "off":
		t.Profile = theme.None
	case c.Settings.Colour == "sixteen":
		t.Profile = theme.Sixteen
	case c.Settings.Colour == "full":
		t.Profile = theme.True
	}
	return t
}

// with is the configuration after other settings were chosen on the screen.
func (c Config) with(s settings.Settings) Config {
	c.Settings, c.SettingsWrong = s, nil
	c.US, c.ASCII = s.Units == "us", s.Drawing == "ascii"
	if s.SlowLink != "" {
		c.Slow = s.SlowLink == "yes"
	}
	if c.Settle != nil {
		c.Settle(s)
	}
	return c
}

func (c Config) env() func(string) string {
	if c.Env != nil {
		return c.Env
	}
	return os.Getenv
}

func (c Config) units() draw.Units { return draw.Units{US: c.US, Coarse: c.Slow} }
