package command

import (
	"context"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui"
	"example.org/tankhand/tui/start"
)

func (p *Program) bench() *cobra.Command {
	var s source
	var complaint, resume, words string
	c := &cobra.Command{
		Use:   "bench",
		Short: "The screen: the level live beside the guided fault finding",
		Example: "  tankhand bench --port /dev/ttyUSB0 --site tank.yaml\n  tankhand bench --rig brownout --clock-rate 10\n" +
			"  tankhand bench --file night.log --complaint relay-chatter",
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			if !p.onTerminal() {
				return fmt.Errorf("the bench needs a terminal (over SSH: ssh -t); without one use tankhand survey or tankhand walk")
			}
			if !s.given() {
				return p.startScreen(c.Context())
			}
			item := start.Item{ID: "given", Name: s.words()}
			if s.port != "" || s.rfc2217 {
				item.Warning = restartWarning
			}
			return p.screens(c.Context(), &item, func(ctx context.Context, _ start.Item) (tui.Session, error) {
				return p.benchOn(ctx, &s, complaint, words, resume)
			})
		},
	}
	s.flags(c)
	s.people(c)
	c.Flags().StringVar(&complaint, "complaint", "", "begin with this complaint")
	c.Flags().StringVar(&words, "words", "", "the customer's own words, for the record")
	c.Flags().StringVar(&resume, "visit", "", "take up this visit again")
	return c
}

// benchOn opens a feed for the bench.
func (p *Program) benchOn(ctx context.Context, s *source, complaint, words, resume string) (tui.Session, error) {
	p.mu.Lock()
	p.sheetInUse = s.sheetPath
	p.mu.Unlock()
	// A log has ended before anybody looks: its checks speak of all of it.
	a := ask{source: s, rate: 1, keep: true, window: benchWindow, visit: resume}
	if s.file != "" && !s.follow {
		a.window, a.lossless = 0, true
	}
	sitting, err := p.sit(ctx, a)
	if err != nil {
		return nil, err
	}
	if complaint != "" {
		if err := sitting.Do(ctx, visit.SetComplaint{ID: complaint, Words: words}); err != nil {
			return nil, fmt.Errorf("%w (closing: %v)", err, sitting.Close())
		}
	}
	return sitting, nil
}

// screens runs the full screen, straight at the bench or from the start screen.
func (p *Program) screens(ctx context.Context, straight *start.Item, open func(context.Context, start.Item) (tui.Session, error)) error {
	base, err := loadKnowledge()
	if err != nil {
		return err
	}
	p.onScreen = true
	where, err := settingsPath()
	if err != nil {
		where = "" // no home folder: settings cannot be kept
	}
	return tui.Run(ctx, tui.Config{
		Book: book{p}, Report: p.writeReports, Settings: p.chosen(), SettingsPath: where, SettingsWrong: p.settingsWrong, Settle: p.settle,
		Items:  func(ctx context.Context) []start.Item { return p.startItems(ctx, base) },
		Sheets: p.knownSheets, KeepSheet: keepSheet,
		OpenBench: open, Straight: straight, Base: base, SaveDialect: p.keepDialect, Save: p.keepScreen,
		US: p.units == "us", ASCII: p.ascii, Slow: p.slow, NoColor: os.Getenv("NO_COLOR") != "",
		Version: p.Version, In: p.In, Out: p.Out,
	})
}
