package bench

import (
	"context"
	"math"
	"sync"
	"time"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
)

// The scene is invented: Quarry Lane glasshouse, tank HT-2. Its numbers only have to fit together.

var sceneNow = time.Date(2026, 5, 4, 7, 43, 0, 0, time.UTC)

func given(v float64, d quantity.Dim) site.Fact {
	return site.Fact{Quantity: quantity.Quantity{V: v, Dim: d}, Origin: site.Given}
}

func sceneSheet() *site.Sheet {
	s := &site.Sheet{Site: "Quarry Lane glasshouse", Asset: "HT-2"}
	s.Tank.Kind = "vertical cylinder"
	s.Tank.Height, s.Tank.Diameter = given(1.6, quantity.Length), given(1.1, quantity.Length)
	s.Sensor.FaceHeight, s.Sensor.Blanking = given(1.75, quantity.Length), given(0.25, quantity.Length)
	s.Sensor.BeamHalfAngle = given(15*math.Pi/180, quantity.Angle)
	s.Marks.Full, s.Marks.Empty = given(0.35, quantity.Length), given(1.7, quantity.Length)
	s.Marks.LowSet = site.Mark{Fact: given(0.4, quantity.Ratio)}
	s.Pump.HealthyFlow = given(2.3/3600, quantity.Flow)
	return s
}

func sceneTrend() []visit.Point {
	var out []visit.Point
	for i := range 300 {
		h := 0.86 + 0.03*math.Sin(float64(i)/25)
		out = append(out, visit.Point{At: sceneNow.Add(time.Duration(i-300) * 2 * time.Second), Height: h, Low: h - 0.002, High: h + 0.002,
			Pump: i%40 < 12, Restart: i%75 == 74})
	}
	return out
}

func sceneFindings() []diagnostics.Finding {
	return []diagnostics.Finding{
		{Check: "feed-health", Verdict: diagnostics.Pass, Why: "all lines decode", Figures: []diagnostics.Figure{{Name: "decoded_fraction", Value: 1, Unit: "%"}}},
		{Check: "relay-switching", Verdict: diagnostics.Fail, Why: "41 starts an hour, at any level", Limit: "at most 15 starts an hour",
			Source: "common practice, no source", Grades: []diagnostics.Grade{{Aspect: "amount", Word: "many"}},
			Figures:  []diagnostics.Figure{{Name: "starts_per_h_worst", Value: 41, Unit: "1/h"}, {Name: "shortest_on_s", Value: 2.1, Unit: "s"}},
			Evidence: diagnostics.Span{From: sceneNow.Add(-10 * time.Minute), To: sceneNow}},
		{Check: "drift", Verdict: diagnostics.CannotTell, Missing: "needs six hours of feed; there are 0:12"},
		{Check: "restarts", Verdict: diagnostics.Fail, Why: "9 of 9 restarts as the relay pulls in"},
	}
}

// picking is a visit before a complaint is chosen.
func picking() visit.Snapshot {
	return visit.Snapshot{
		Now: sceneNow, Feed: feed.Stats{Source: "/dev/ttyUSB0"}, State: visit.Good, RateHz: 10.2, Sheet: sceneSheet(),
		Level: livelevel.Level{How: livelevel.Smoothed, Ullage: 0.862, Height: 0.888, U: 0.0055, Percent: 62.1, Volume: 0.844, Second: math.NaN()},
		Trend: sceneTrend(), PumpOn: true, PumpSeen: true, PumpFor: 42 * time.Second, RunFlow: 2.3 / 3600,
		Findings: sceneFindings(), Visit: visit.Summary{Number: 3},
		Seen: []faulttree.Sighting{{Complaint: "no-echo"}, {Complaint: "erratic-reading"},
			{Complaint: "relay-chatter", Seen: true, Because: []string{"relay-switching"}}, {Complaint: "pump-runs-dry"},
			{Complaint: "wrong-reading", TooShort: true}, {Complaint: "pump-wont-start"}, {Complaint: "pump-wont-stop"}, {Complaint: "controller-silent"}},
	}
}

func sceneBase() *knowledge.Base {
	b := &knowledge.Base{Causes: map[string]*knowledge.Cause{"brownout": {ID: "brownout", Title: "Supply sags as the relay pulls in",
		Remedy: "Fit a reservoir capacitor across the board's supply, or a supply of its own for the relay", Parts: []string{"capacitor 1000 uF 16 V"}, Hazards: []string{"elv"}}}}
	b.Probes = map[string]*knowledge.Probe{"psu-look": {ID: "psu-look", Ask: "Label of the supply against the board's need?"}}
	for _, c := range [][3]string{{"no-echo", "No echo", "The display says no echo, or nothing at all."},
		{"erratic-reading", "Erratic reading", "The level on the display jumps about."},
		{"relay-chatter", "Relay chatter", "The relay clicks on and off far more often than the water calls for."},
		{"pump-runs-dry", "Pump runs dry", "The pump runs but the tank does not fill."},
		{"wrong-reading", "Wrong reading", "The display is steady but wrong."},
		{"pump-wont-start", "Pump will not start", "The tank is low and the pump does not run."},
		{"pump-wont-stop", "Pump will not stop", "The tank is full and the pump runs on."},
		{"controller-silent", "Controller silent", "Nothing comes from the controller."}} {
		b.Complaints = append(b.Complaints, &knowledge.Complaint{ID: c[0], Title: c[1], Opening: c[2]})
	}
	return b
}

func sceneSuspects() []faulttree.Suspect {
	return []faulttree.Suspect{
		{Cause: "brownout", Title: "Supply sags as the relay pulls in", Probability: 0.61, Prior: 0.11, Moved: []faulttree.Weight{
			{Probe: "restart-times", Answer: "relay pulls in", Bits: 2.8}, {Probe: "lost-echoes", Answer: "few", Bits: -0.3}}},
		{Cause: "thin-cable", Title: "Supply cable too thin", Probability: 0.19, Prior: 0.05, Moved: []faulttree.Weight{{Probe: "restart-times", Answer: "relay pulls in", Bits: 1.6}}},
		{Cause: "psu-weak", Title: "Supply failing", Probability: 0.09, Prior: 0.06},
		{Cause: "hyst-small", Title: "Start-stop band too narrow", Probability: 0.06, Prior: 0.15, Moved: []faulttree.Weight{{Probe: "restart-times", Answer: "relay pulls in", Bits: -2.2}}},
		{Cause: faulttree.Unlisted, Title: "None of the listed", Probability: 0.05, Prior: 0.05},
	}
}

func scenePath() []faulttree.Taken {
	return []faulttree.Taken{
		{Step: faulttree.Step{Act: faulttree.Evidence}, Title: "relay switches 41 an hour (limit 15)", From: "from the feed", Mark: '!'},
		{Step: faulttree.Step{Act: faulttree.Evidence}, Title: "9 of 9 restarts as the relay pulls in", From: "from the feed", Mark: '!'},
		{Step: faulttree.Step{Act: faulttree.Skipped, Probe: "cable-look"}, Title: "supply cable: skipped, not today", From: "looked", Mark: '?'},
	}
}

// measuring offers a meter reading.
func measuring() visit.Snapshot {
	s := picking()
	s.Walk = &visit.WalkView{Complaint: "relay-chatter", Title: "Relay chatter", Path: scenePath(), Suspects: sceneSuspects(), Minutes: 12,
		Offer: faulttree.Offer{Title: "volts at the board as the relay pulls in",
			Probe: &knowledge.Probe{ID: "supply-sag-volts", Kind: "measured", Unit: "V", Answers: []string{"deep dip", "dips", "holds up"},
				Ask: "Meter on the board's supply terminals, 1 ms minimum hold. Let the relay pull in three times and read the lowest volts"},
			Why:     "It parts the cable from the supply: the two likeliest suspects answer differently.",
			Minutes: 3, Have: []string{"meter with minimum hold", "lid off"}, Limits: []float64{4.3, 4.75}, Good: "above 4.75 V (95 % of 5 V)", With: 22, Swap: 31,
			Branches: []faulttree.Branch{{Answer: "deep dip", Leads: []string{"supply failing", "supply sags"}}, {Answer: "dips", Leads: []string{"supply cable too thin"}},
				{Answer: "holds up", Leads: []string{"band too narrow", "waves"}}}}}
	return s
}

// cautious offers a prompted probe with hazards.
func cautious() visit.Snapshot {
	s := measuring()
	w := *s.Walk
	w.Offer = faulttree.Offer{Title: "board held under the sensor", Minutes: 3, Why: "A flat board is the surest target: it parts the sensor from the water.",
		Probe: &knowledge.Probe{ID: "board-test", Kind: "prompted", Trial: "board", Ask: "Hold a flat board square under the sensor, 50 cm away by tape, for 20 s",
			Answers: []string{"steady and right", "steady but wrong", "jumps", "no echo"}},
		Have: []string{"flat board", "tape"}, Cautions: []faulttree.Caution{
			{Hazard: "height", Text: "Work at height: secure the ladder, three points of contact, somebody below. Local rules come first."},
			{Hazard: "drinking-water", Text: "Drinking water: clean hands and tools, nothing may fall in."}},
		Branches: []faulttree.Branch{{Answer: "steady and right", Leads: []string{"water surface, foam"}}, {Answer: "no echo", Leads: []string{"transducer, trigger wire"}}}}
	s.Walk = &w
	return s
}

// watched is the same with the caution read and the trial running; answer is what the feed says.
func watched(answer string) visit.Snapshot {
	s := cautious()
	w := *s.Walk
	w.AckedCautions = true
	w.Trial = &visit.TrialView{Probe: "board-test", Since: sceneNow.Add(-8 * time.Second), Remaining: 12 * time.Second, Figure: "0.498 m, steady",
		Answer: answer, Done: answer != "", Why: "spread 2 mm over 12 s"}
	s.Walk = &w
	return s
}

// mendingScene offers a remedy; cured is the walk after its proof.
func mendingScene() visit.Snapshot {
	s := measuring()
	w := *s.Walk
	w.Offer = faulttree.Offer{Title: "a reservoir for the supply", Minutes: 15, Why: "61 % and cheap: nothing else is worth asking first.",
		Remedy: sceneBase().Causes["brownout"], With: 18, Swap: 18}
	s.Walk = &w
	return s
}

func cured() visit.Snapshot {
	s := measuring()
	w := *s.Walk
	w.Suspects = sceneSuspects()
	w.Suspects[0].Cured = true
	w.Path = append(scenePath(), faulttree.Taken{Step: faulttree.Step{Act: faulttree.Remedied, Cause: "brownout"}, Title: "reservoir fitted", From: "done", Mark: '+'})
	w.Offer = faulttree.Offer{Done: true, Proven: true, Cured: "brownout", Title: "Mended and proven: Supply sags as the relay pulls in",
		Why: "its own proof and the complaint's proof both passed", Then: []string{"Look why the supply was weak"}}
	s.Walk = &w
	return s
}

// fake is a session that keeps what it was told to do.
type fake struct {
	sync.Mutex
	done   []visit.Command
	err    error
	closed bool
	ch     chan visit.Snapshot
}

func (f *fake) Do(_ context.Context, c visit.Command) error {
	f.Lock()
	defer f.Unlock()
	f.done = append(f.done, c)
	return f.err
}
func (f *fake) Snapshots() <-chan visit.Snapshot { return f.ch }
func (f *fake) Close() error                     { f.closed = true; return nil }

// teachScene is a feed whose second column is a guess; one of its lines carries a control sequence.
func teachScene() visit.Snapshot {
	s := measuring()
	s.Raw = []string{"dist=43.2 lvl=67 p=1", "dist=43.3 lvl=67 p=1", "\x1b[2Jdist=43.1 lvl=67 p=1"}
	s.Settled = true
	s.Dialect = dialect.Dialect{Name: "learned", Kind: dialect.Text, Fields: []dialect.Field{
		{Role: "ullage", At: "dist", Unit: "cm", Lost: []string{"0", "-1"}}, {Role: "pump", At: "p", On: []string{"1"}, Off: []string{"0"}}}}
	s.Columns = []dialect.Column{
		{At: "dist", Role: livelevel.Ullage, Unit: "cm", Confidence: 0.93, RunnerUp: livelevel.LevelHeight, Sample: "43.1"},
		{At: "lvl", Role: livelevel.Ignore, Confidence: 0.41, RunnerUp: livelevel.LevelPercent, Sample: "67"},
		{At: "p", Role: livelevel.Pump, Confidence: 0.88, RunnerUp: livelevel.Button, Sample: "1"}}
	var r livelevel.Reading
	r.Set(livelevel.Ullage, 0.431)
	r.Set(livelevel.Pump, 1)
	s.Recent = []livelevel.Reading{r}
	return s
}
