package command

import (
	"context"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/port"
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
	where, err := settingsPath()
	if err != nil {
		where = "" // no home folder: settings cannot be kept
	}
	return tui.Run(ctx, tui.Config{
		Book: book{p}, Report: p.writeReports, Settings: p.chosen(), SettingsPath: where, SettingsWrong: p.settingsWrong, Settle: p.settle,
		Items:     func(ctx context.Context) []start.Item { return p.startItems(ctx, base) },
		OpenBench: open, Straight: straight, Base: base, SaveDialect: keepDialect, Save: p.keepScreen,
		US: p.units == "us", ASCII: p.ascii, Slow: p.slow, NoColor: os.Getenv("NO_COLOR") != "",
		Version: p.Version, In: p.In, Out: p.Out,
	})
}

func (p *Program) startScreen(ctx context.Context) error {
	return p.screens(ctx, nil, func(ctx context.Context, it start.Item) (tui.Session, error) {
		kind, what, _ := strings.Cut(it.ID, ":")
		switch kind {
		case "port":
			return p.benchOn(ctx, p.settled(source{port: what, baud: "auto"}), "", "", "")
		case "rig":
			return p.benchOn(ctx, p.settled(source{rig: what, seed: 1}), "", "", "")
		case "visit":
			return p.resume(ctx, what)
		}
		return nil, fmt.Errorf("%s cannot be opened from here", it.Name)
	})
}

// resume opens the feed that a visit was last on, and goes on with the visit.
func (p *Program) resume(ctx context.Context, id string) (tui.Session, error) {
	var src source
	err := book{p}.read(func(s visit.Store) error {
		v, _, err := visitNamed(ctx, s, id)
		if err == nil {
			src, err = lastSource(&v)
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("going on with the visit: %w", err)
	}
	return p.benchOn(ctx, p.settled(src), "", "", id)
}

const restartWarning = "Opening the port may restart the controller and switch its pump. Keep clear of the pump, its shaft and the water first."

// startItems are the USB ports found, the visits that are still open, the practice rig with what its
// customers say, and last the ports that a machine has of itself: a board seldom hangs on those, and the
// first Enter of a newcomer must lead to a working bench.
func (p *Program) startItems(ctx context.Context, base *knowledge.Base) []start.Item {
	var plugged, own []start.Item
	found, err := port.List()
	if err != nil {
		own = append(own, start.Item{Kind: "Serial ports", Name: "none to be listed", Refused: err.Error()})
	}
	for _, l := range found {
		it := start.Item{ID: "port:" + l.Name, Kind: "Serial ports", Name: l.Name, What: l.Product, Warning: restartWarning}
		if !l.May {
			it.Refused = "no right to open it" + groupAdvice(l.Group)
		}
		if l.USB != "" {
			plugged = append(plugged, it)
		} else {
			it.Kind = "Ports of this machine itself"
			own = append(own, it)
		}
	}
	items := append(plugged, practiceItems(base)...)
	items = append(items, p.recentItems(ctx)...)
	return append(items, own...)
}

// mostRecent is how many open visits the start screen offers.
const mostRecent = 3

// recentItems are the newest visits that are still open on a serial port, to be taken up again.
func (p *Program) recentItems(ctx context.Context) []start.Item {
	path, err := p.storePath()
	if err != nil {
		return nil
	}
	s, err := visit.OpenRead(path)
	if err != nil {
		return nil // nothing recorded yet
	}
	defer s.Close()
	all, err := s.Visits(ctx)
	if err != nil {
		return nil
	}
	var items []start.Item
	for _, v := range all {
		if v.Outcome != "" || len(items) == mostRecent {
			continue
		}
		dev := p.portOf(ctx, s, v.ID)
		if dev == "" {
			continue
		}
		items = append(items, start.Item{ID: "visit:" + v.ID, Kind: "Visits still open", Warning: restartWarning,
			Name: fmt.Sprintf("visit %d", v.Number), What: fmt.Sprintf("%s, %s, on %s", siteWords(v), dash(v.Complaint), dev)})
	}
	return items
}

// portOf is the serial port that a visit was last on.
func (p *Program) portOf(ctx context.Context, s visit.Store, id string) string {
	events, err := s.Events(ctx, id)
	if err != nil {
		return ""
	}
	v, err := visit.Fold(events)
	if err != nil || len(v.Sources) == 0 {
		return ""
	}
	if source := v.Sources[len(v.Sources)-1].Source; strings.HasPrefix(source, "/dev/") || strings.HasPrefix(source, "COM") {
		return source
	}
	return ""
}

func groupAdvice(group string) string {
	if group == "" {
		return ""
	}
	return ": add yourself to the " + group + " group and log in again"
}

// practiceItems are the rig in good health and one fault of each complaint, in the customer's words.
func practiceItems(base *knowledge.Base) []start.Item {
	items := []start.Item{{ID: "rig:healthy", Kind: "Practice rig (invented data)", Name: "healthy", What: "an installation in good order"}}
	for _, it := range []struct{ fault, complaint string }{
		{"trigger-open", "no-echo"}, {"inlet-stream", "erratic-reading"}, {"brownout", "relay-chatter"}, {"source-empty", "pump-runs-dry"},
	} {
		what := ""
		for _, c := range base.Complaints {
			if c.ID == it.complaint {
				what = c.Opening
			}
		}
		items = append(items, start.Item{ID: "rig:" + it.fault, Kind: "Practice rig (invented data)", Name: it.fault, What: what})
	}
	return items
}
