package draw

import (
	"math"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
	"example.org/tankhand/testdata/golden"
	"example.org/tankhand/tui/theme"
)

func drawn(t *testing.T, name string, b Block) {
	t.Helper()
	golden.Equal(t, name+".txt", b.Paint(theme.Theme{})+"\n")
}

func TestSafe(t *testing.T) {
	tests := map[string]string{
		"plain": "plain", "dist=43.2 cm ± 1": "dist=43.2 cm ± 1", "\x1b[2J": "^[[2J", "a\tb\r\n": "a^Ib^M^J", "\x7f": "^?", "\x00": "^@",
		"\xff\xfe": `\xff\xfe`, "\u009b31m": `\x9b31m`, "abc\u202edef": "abc<202e>def", "zero\u200bwidth": "zero<200b>width", "\ufeffbom": "<feff>bom",
		"e\u0301": "e\u0301", "e\u0301\u0301\u0301": "e\u0301<0301><0301>", "水位": "水位", "\ufffd": "\ufffd", "a\ufe0f": "a<fe0f>",
	}
	for in, want := range tests {
		assert.Equal(t, want, Safe(in), "%q", in)
	}
}

func FuzzSafe(f *testing.F) {
	f.Add("dist=43.2cm\r\n\x1b[31m\u202e\xff")
	f.Fuzz(func(t *testing.T, s string) {
		out := Safe(s)
		for _, r := range out {
			require.False(t, unicode.IsControl(r) || unicode.Is(unicode.Cf, r), "%q became %q", s, out)
		}
		for w := range 12 {
			require.Equal(t, w, Line{Say(theme.Plain, s)}.Fit(w).Width(), "%q in %d", s, w)
			for _, l := range Wrap(theme.Plain, s, w+2) {
				require.LessOrEqual(t, l.Width(), w+2, "%q in %d", s, w+2)
			}
		}
		require.Equal(t, out, Safe(out), "making safe twice changes nothing")
		require.Equal(t, Plain(s).Width(), Plain(theme.Plainest(out)).Width(), "7 bits keep the width of %q", s)
	})
}

func TestCutKeepsWideCharactersWhole(t *testing.T) {
	assert.Equal(t, "水…", Plain("水位水位").Cut(4).Text())
	assert.Equal(t, 4, Plain("水位水位").Fit(4).Width())
	assert.Equal(t, "", Plain("abc").Cut(0).Text())
}

// Inch and gallon: 1 in = 25.4 mm exactly, 1 US gal = 231 in3 = 3.785411784 dm3 (NIST Handbook 44, appendix C, from memory).
func TestUnits(t *testing.T) {
	metric, us := Units{}, Units{US: true}
	assert.Equal(t, "0.888 m", metric.Length(0.888))
	assert.Equal(t, "35.0 in", us.Length(0.888))
	assert.Equal(t, "0.89 m", Units{Coarse: true}.Length(0.888))
	assert.Equal(t, "1000 gal", us.Volume(3.785411784))
	assert.Equal(t, "2.3 m3/h", metric.Flow(2.3/3600))
	assert.Equal(t, "10.0 gal/min", us.Flow(0.03785411784/60))
	assert.Equal(t, "unknown", metric.Length(math.NaN()))
	assert.Equal(t, "0:42", metric.Clock(42*time.Second))
	assert.Equal(t, "3 h 05 min", metric.Clock(3*time.Hour+5*time.Minute))
	assert.Equal(t, "0:40", Units{Coarse: true}.Clock(44*time.Second))
}

func TestFigures(t *testing.T) {
	tests := []struct {
		figure      diagnostics.Figure
		name, value string
	}{
		{diagnostics.Figure{Name: "dropout_fraction", Value: 0.031, Unit: "%"}, "dropout fraction", "3.1 %"},
		{diagnostics.Figure{Name: "spread_m", Value: 0.004, Unit: "cm"}, "spread", "0.004 m"},
		{diagnostics.Figure{Name: "fill_m3_per_h", Value: 2.3, Unit: "m3/h"}, "fill", "2.3 m3/h"},
		{diagnostics.Figure{Name: "supply_on_v", Value: 4.21, Unit: "V"}, "supply on", "4.21 V"},
		{diagnostics.Figure{Name: "longest_gap_s", Value: math.NaN(), Unit: "s"}, "longest gap", "unknown"},
		{diagnostics.Figure{Name: "restarts", Value: 9, Unit: "1"}, "restarts", "9"},
		{diagnostics.Figure{Name: "drift_m_per_h", Value: 0.012, Unit: "mm/h"}, "drift", "12 mm/h"},
		{diagnostics.Figure{Name: "starts_per_h_worst", Value: 41, Unit: "1/h"}, "starts in the worst hour", "41 an hour"},
	}
	for _, tt := range tests {
		name, value := Units{}.Figure(tt.figure)
		assert.Equal(t, tt.name, name)
		assert.Equal(t, tt.value, value)
	}
}

func fact(v float64) site.Fact {
	return site.Fact{Quantity: quantity.Quantity{V: v}, Origin: site.Given}
}

func vessel(kind string) Vessel {
	s := &site.Sheet{Asset: "HT-2"}
	s.Tank.Kind, s.Tank.Height, s.Tank.Diameter, s.Tank.ConeHeight = kind, fact(1.6), fact(1.1), fact(0.6)
	s.Sensor.FaceHeight, s.Sensor.Blanking, s.Sensor.BeamHalfAngle = fact(1.75), fact(0.25), fact(0.26)
	s.Marks.Full, s.Marks.Empty = fact(0.35), fact(1.7)
	s.Marks.LowSet = site.Mark{Fact: site.Fact{Quantity: quantity.Quantity{V: 0.4, Dim: quantity.Ratio}, Origin: site.Given}}
	return VesselOf(s, livelevel.Level{How: livelevel.Measured, Height: 0.888, Ullage: 0.862, U: 0.006, Percent: 62, Volume: 0.844, Second: 0.3, SecondShare: 0.2})
}

func TestShapes(t *testing.T) {
	for _, kind := range []string{"box", "vertical cylinder", "horizontal cylinder", "sphere", "cone bottom", "table"} {
		drawn(t, "gauge-"+strings.ReplaceAll(kind, " ", "-"), Gauge(vessel(kind), Units{}, 44, 20))
	}
}

// What is drawn must stand at its height: the surface row of a half full tank is the middle row.
func TestTheSurfaceStandsAtItsHeight(t *testing.T) {
	for _, share := range []float64{0.1, 0.25, 0.5, 0.75, 0.9} {
		v := vessel("box")
		v.Level, v.U, v.Full, v.Low, v.SecondShare = share*v.Height, math.NaN(), math.NaN(), math.NaN(), 0
		rows := Gauge(v, Units{}, 24, 22)
		for i, l := range rows {
			if strings.Contains(l.Text(), "≈") {
				assert.InDelta(t, share, 1-(float64(i-1)+0.5)/20, 0.5/20+1e-9, "level at %v of the height", share)
			}
		}
	}
}

func TestUncertaintyIsDrawnWhereItIsLargerThanARow(t *testing.T) {
	v := vessel("box")
	v.U = 0.1
	assert.Contains(t, Gauge(v, Units{}, 44, 20).Paint(theme.Theme{}), "~~~~")
}

func TestNoLevelIsSaidNotDrawn(t *testing.T) {
	v := VesselOf(nil, livelevel.Level{})
	text := Strip(v, Units{}, nil, 80).Paint(theme.Theme{})
	assert.Contains(t, text, "? no level yet")
	assert.NotContains(t, text, "▒")
	assert.NotContains(t, Gauge(v, Units{}, 40, 20).Paint(theme.Theme{}), "▒")
}

func TestEveryLengthSaysWhichItIs(t *testing.T) {
	v := vessel("box")
	text := Strip(v, Units{}, nil, 100).Paint(theme.Theme{})
	assert.Contains(t, text, "0.888 m deep")
	assert.Contains(t, text, "0.862 m below the sensor")
	v.Level, v.Percent = math.NaN(), math.NaN()
	assert.Equal(t, "0.862 m below the sensor", Reading(v, Units{}).Text())
}

func TestSizes(t *testing.T) {
	for w := range 50 {
		for _, h := range []int{0, 1, 3, 6, 20} {
			for _, b := range []Block{Gauge(vessel("sphere"), Units{}, w, h), Trend(hour(), end, time.Hour, Units{}, w, h, false), Trend(nil, end, time.Hour, Units{}, w, h, true)} {
				require.Len(t, b, h)
				for _, l := range b {
					require.Equal(t, w, l.Width())
				}
			}
		}
	}
}

var end = time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)

func hour() []visit.Point {
	var out []visit.Point
	for i := range 600 {
		h := 0.5 + 0.3*float64(i)/600
		if i > 200 && i < 260 {
			h = math.NaN() // a stretch without echo
		}
		out = append(out, visit.Point{At: end.Add(time.Duration(i-600) * 6 * time.Second), Height: h, Low: h, High: h, Pump: i%100 > 60, Restart: i == 450})
	}
	return out
}

func TestTrend(t *testing.T) {
	drawn(t, "trend", Trend(hour(), end, time.Hour, Units{}, 70, 10, false))
	drawn(t, "trend-ascii", Trend(hour(), end, time.Hour, Units{}, 70, 10, true))
	assert.Contains(t, Trend(nil, end, time.Minute, Units{}, 40, 5, false).Paint(theme.Theme{}), "? no level in this stretch")
}

func TestATrendOfOneValueIsALineNotAStorm(t *testing.T) {
	flat := hour()
	for i := range flat {
		flat[i].Height, flat[i].Low, flat[i].High = 0.7+0.0002*float64(i%2), 0.7, 0.7002
	}
	rows := 0
	for _, l := range Trend(flat, end, time.Hour, Units{}, 60, 10, true)[1:9] {
		if strings.TrimSpace(l.Text()) != "" {
			rows++
		}
	}
	assert.LessOrEqual(t, rows, 2, "of 8 rows")
}

func TestWorstFirst(t *testing.T) {
	list := []diagnostics.Finding{{Check: "a", Verdict: diagnostics.Pass}, {Check: "b"}, {Check: "c", Verdict: diagnostics.Fail}, {Check: "d", Verdict: diagnostics.Fail}}
	var got []string
	for _, f := range Worst(list) {
		got = append(got, f.Check)
	}
	assert.Equal(t, []string{"c", "d", "b", "a"}, got)
	assert.Equal(t, "a", list[0].Check, "the caller's list stays as it was")
}

func TestTreeFoldsTheOldestFirst(t *testing.T) {
	var path []faulttree.Taken
	for _, s := range []string{"first", "second", "third", "fourth"} {
		path = append(path, faulttree.Taken{Title: s, From: "looked", Mark: '+'})
	}
	o := faulttree.Offer{Title: "here", Branches: []faulttree.Branch{{Answer: "yes"}, {Answer: "no"}}}
	text := Tree(path, o, 60, 5).Paint(theme.Theme{})
	assert.Contains(t, text, "3 earlier")
	assert.Contains(t, text, "fourth")
	assert.Contains(t, text, "> here")
	for h := range 9 {
		require.LessOrEqual(t, len(Tree(path, o, 60, h)), h)
	}
}

func TestBarsAddUp(t *testing.T) {
	assert.Equal(t, "█████", bar(1, 5, false))
	assert.Equal(t, "██▌", bar(0.5, 5, false))
	assert.Equal(t, "██", bar(0.5, 5, true))
	assert.Equal(t, "", bar(math.NaN(), 5, false))
	list := []faulttree.Suspect{{Title: "a", Probability: 0.5}, {Title: "b", Probability: 0.3}, {Title: "c", Probability: 0.2}}
	text := Suspects(list, Units{}, 60, 2).Paint(theme.Theme{})
	assert.Contains(t, text, "2 others")
	assert.Contains(t, text, " 50%")
}

// Three bits are eight times likelier: the definition of the bit.
func TestWeightsInWords(t *testing.T) {
	assert.Equal(t, "8 times likelier", times(3))
	assert.Equal(t, "2 times less likely", times(-1))
}

// Where rows are short, what is bad stays in sight longer than what was found in order.
func TestTreeKeepsWhatIsBad(t *testing.T) {
	feed := func(mark rune, title string) faulttree.Taken {
		return faulttree.Taken{Title: title, From: "from the feed", Mark: mark}
	}
	path := []faulttree.Taken{feed('!', "relay chatters"), feed('!', "supply dips"), feed('+', "echoes heard"), feed('+', "marks agree"), {Title: "lid dry", From: "looked", Mark: '+'}}
	offer := faulttree.Offer{Title: "here"}
	for rows, want := range map[int][]string{
		5: {"2 in order", "relay chatters", "supply dips", "lid dry"},
		4: {"3 earlier  ! relay chatters", "supply dips", "lid dry"},
		3: {"4 earlier  ! supply dips", "lid dry"},
		2: {"5 earlier  ! supply dips", "here"},
	} {
		text := Tree(path, offer, 60, rows).Paint(theme.Theme{})
		assert.LessOrEqual(t, strings.Count(text, "\n")+1, rows)
		for _, w := range want {
			assert.Contains(t, text, w, "in %d rows", rows)
		}
	}
}

func TestLargeFiguresAreWrittenOut(t *testing.T) {
	for want, v := range map[string]float64{"1088": 1088.2, "41.2": 41.23, "0.0012": 0.0012, "-1500": -1500.4, "1e+12": 1e12} {
		assert.Equal(t, want, number(v, 3))
	}
}

// One check may answer two probes: its line stands once.
func TestTreeSaysTheSameOnce(t *testing.T) {
	lost := faulttree.Taken{Title: "89 % of pings lost", From: "from the feed", Mark: '!'}
	text := Tree([]faulttree.Taken{lost, lost}, faulttree.Offer{Title: "here"}, 60, 9).Paint(theme.Theme{})
	assert.Equal(t, 1, strings.Count(text, "pings lost"))
	assert.Equal(t, " ! 89 % of pings lost                          from the feed\n └ > here", text)
}

func TestNoFlowHasNoSign(t *testing.T) {
	assert.Equal(t, "0.0 m3/h", Units{}.Flow(-0.04/3600))
	assert.Equal(t, "0.0 gal/min", Units{US: true}.Flow(-1e-9))
	assert.Equal(t, "-0.1 m3/h", Units{}.Flow(-0.06/3600))
}
