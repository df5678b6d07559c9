package command

import (
	"cmp"
	"context"
	"fmt"
	"strconv"
	"strings"

	"example.org/tankhand/faulttree/drill"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/tui"
	"example.org/tankhand/tui/start"
)

func (p *Program) startScreen(ctx context.Context) error { return p.screens(ctx, nil, p.openItem) }

// openItem opens what was chosen on the start screen.
func (p *Program) openItem(ctx context.Context, it start.Item) (tui.Session, error) {
	kind, what, _ := strings.Cut(it.ID, ":")
	src := source{seed: 1, sheetPath: it.Sheet.Path}
	if it.Sheet.Path == "" {
		src.sheetName, src.sheetText = it.Sheet.Name, it.Sheet.Text
	}
	switch kind {
	case "port":
		src.port, src.baud = what, "auto"
	case "net":
		src.net = what
	case "file":
		src.file = what
	case "rig":
		src.rig, src.clockRate = what, practicePace
	case "visit":
		return p.resume(ctx, what)
	case "drill":
		return p.startDrill(ctx, what)
	default:
		return nil, fmt.Errorf("%s cannot be opened from here", it.Name)
	}
	return p.benchOn(ctx, p.settled(src), "", "", "")
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

// startDrill begins the next lesson of a level, for the technician of the settings.
func (p *Program) startDrill(ctx context.Context, level string) (tui.Session, error) {
	n, err := strconv.Atoi(level)
	if err != nil {
		return nil, fmt.Errorf("%q is no level of a drill: %w", level, err)
	}
	w := drillWords{level: n, trainee: cmp.Or(p.chosen().Technician, "trainee")}
	l, err := p.nextLesson(ctx, &w)
	if err != nil {
		return nil, err
	}
	base, err := loadKnowledge()
	if err != nil {
		return nil, err
	}
	d, err := p.beginDrill(ctx, drill.Options{Lesson: l, Trainee: w.trainee, Base: base}, "")
	if err != nil {
		return nil, err
	}
	if err := d.toldComplaint(ctx); err != nil {
		return nil, fmt.Errorf("%w (closing: %v)", err, d.Close())
	}
	return d, nil
}

// drillItems are a drill of each difficulty.
func drillItems() (items []start.Item) {
	for i, what := range []string{"one clear fault", "a mild one, or one that comes and goes", "two faults, one that hides, or none"} {
		items = append(items, start.Item{ID: fmt.Sprintf("drill:%d", i+1), Kind: "Drill: find a hidden fault, then read the debrief (invented data)",
			Name: fmt.Sprintf("level %d", i+1), What: what})
	}
	return items
}

// startItems are the USB ports found, the visits that are still open, the sites of the last visits, the
// practice rig with what its customers say, recordings, and last the ports that a machine has of itself: a
// board seldom hangs on those, and the first Enter of a newcomer must lead to a working bench.
func (p *Program) startItems(ctx context.Context, base *knowledge.Base) []start.Item {
	plugged, own := portItems()
	items := append(plugged, p.recentItems(ctx)...)
	items = append(items, practiceItems(base)...)
	items = append(items, drillItems()...)
	items = append(items,
		start.Item{ID: "file:", Kind: "Elsewhere", Name: "a recording", What: "a raw log or a capture of a feed", Type: "Path of the file", AskSheet: true},
		start.Item{ID: "net:", Kind: "Elsewhere", Name: "a network port", What: "a serial port bridged onto the network", Type: "HOST:PORT", AskSheet: true, Warning: restartWarning})
	return append(items, own...)
}

func portItems() (plugged, own []start.Item) {
	found, err := port.List()
	if err != nil {
		own = append(own, start.Item{Kind: "Serial ports", Name: "none to be listed", Refused: err.Error()})
	}
	for _, l := range found {
		it := start.Item{ID: "port:" + l.Name, Kind: "Serial ports", Name: l.Name, What: l.Product, Warning: restartWarning, AskSheet: true}
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
	return plugged, own
}

func groupAdvice(group string) string {
	if group == "" {
		return ""
	}
	return ": add yourself to the " + group + " group and log in again"
}

// mostRecent is how many open visits, and how many sites, the start screen offers; p lists all.
const mostRecent = 3

// recentItems are the newest visits that are still open, to be gone on with, and the installations of the
// last visits, to begin another one there.
func (p *Program) recentItems(ctx context.Context) (items []start.Item) {
	var sites []start.Item
	seen := map[string]bool{}
	p.eachVisit(ctx, func(v *visit.Visit, open bool) bool {
		src, err := lastSource(v)
		if src.rig != "" { // practice is begun anew, and its feed tells the fault
			return true
		}
		where := siteWords(visit.Summary{Site: v.Site, Asset: v.Asset})
		live := err != nil || src.port != "" || src.net != ""
		name := cmp.Or(safe(v.Asset), safe(v.Site), "not named")
		it := start.Item{Warning: restartWarning, What: strings.Join(said(v.Site, v.Complaint.Title, src.words()), ", ")}
		if src.file != "" {
			it.Warning = ""
		}
		if err != nil {
			it.Refused = err.Error()
		}
		switch {
		case open && len(items) < mostRecent:
			it.ID, it.Kind, it.Name = "visit:"+v.ID, "Visits still open", fmt.Sprintf("visit %d  %s", v.Number, name)
			items = append(items, it)
		case live && !seen[where] && where != "-" && len(sites) < mostRecent:
			last := v.Sources[len(v.Sources)-1]
			it.ID, it.Kind, it.Name = siteID(src), "Last sites, for a new visit", name
			it.What = strings.Join(said(v.Site, src.words()), ", ")
			it.Sheet = start.Sheet{Name: last.SheetName, Text: last.Sheet}
			sites = append(sites, it)
		}
		seen[where] = true
		return len(items) < mostRecent || len(sites) < mostRecent
	})
	return append(items, sites...)
}

// said are the words that are there.
func said(words ...string) (out []string) {
	for _, w := range words {
		if w != "" {
			out = append(out, safe(w))
		}
	}
	return out
}

func siteID(s source) string {
	if s.net != "" {
		return "net:" + s.net
	}
	return "port:" + s.port
}

// mostRead bounds how many visits are looked into for the start screen.
const mostRead = 30

// eachVisit reads the newest visits until f has enough.
func (p *Program) eachVisit(ctx context.Context, f func(v *visit.Visit, open bool) (more bool)) {
	b := book{p}
	all, err := b.List(ctx)
	if err != nil {
		return // the screen of past visits says what is wrong with the store
	}
	_ = b.read(func(s visit.Store) error {
		for _, sum := range all[:min(len(all), mostRead)] {
			events, err := s.Events(ctx, sum.ID)
			if err != nil {
				continue
			}
			v, err := visit.Fold(events)
			if err != nil || len(v.Sources) == 0 || v.Sources[0].Source == practiceName+drillName {
				continue
			}
			v.Number = sum.Number
			if !f(&v, sum.Outcome == "") {
				break
			}
		}
		return nil
	})
}

// practicePace lets a practice fault show within a minute or two: real ones take their time.
const practicePace = "10"

// practiceFaults are one fault for each complaint, for practice with the customer's words.
var practiceFaults = []struct{ fault, complaint string }{
	{"trigger-open", "no-echo"}, {"inlet-stream", "erratic-reading"}, {"brownout", "relay-chatter"}, {"source-empty", "pump-runs-dry"},
	{"clock-scale", "wrong-reading"}, {"contact-burnt", "pump-wont-start"}, {"contact-welded", "pump-wont-stop"}, {"memory-runs-out", "controller-silent"},
}

// practiceItems are the rig in good health and one fault of each complaint, in the customer's words; the
// fault itself is not told.
func practiceItems(base *knowledge.Base) []start.Item {
	const kind = "Practice rig (invented data, ten times as fast as the clock)"
	items := []start.Item{{ID: "rig:healthy", Kind: kind, Name: "healthy", What: "an installation in good order"}}
	for _, it := range practiceFaults {
		for _, c := range base.Complaints {
			if c.ID == it.complaint {
				items = append(items, start.Item{ID: "rig:" + it.fault, Kind: kind, Name: c.Title, What: c.Opening})
			}
		}
	}
	return items
}
