package rig

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	good = report{up: 12.3, distance: 1.1624, percent: 39.82, volume: 0.5584, pump: true, supply: 4.918, celsius: 24, quality: 66,
		low: 40, fullSet: 95, full: 0.35, empty: 1.7, cause: "brown-out"}
	lost = report{up: 12.4, distance: math.NaN(), percent: math.NaN(), volume: math.NaN(), manual: true, button: true, supply: 4.918, celsius: 24,
		low: 40, fullSet: 95, full: 0.35, empty: 1.7}
)

func TestDialectLines(t *testing.T) {
	for id, want := range map[string][2]string{
		"workshop-board": {
			"Distance: 116.2 cm  Level: 39.8 %  Volume: 558 l  Pump: ON  Mode: AUTO  Supply: 4.92 V  Air: 24.0 C  Low set: 40 %  Full set: 95.0 %  Full mark: 35.0 cm  Empty mark: 170.0 cm  Button: 0  Demand: 0\r\n",
			"Distance: no echo  Level: -- %  Volume: -- l  Pump: OFF  Mode: MANUAL  Supply: 4.92 V  Air: 24.0 C  Low set: 40 %  Full set: 95.0 %  Full mark: 35.0 cm  Empty mark: 170.0 cm  Button: 1  Demand: 0\r\n"},
		"key-value": {
			"up=12300 dist=116.2cm level=39.8 pump=1 mode=auto vs=4.92 temp=24.0 lowset=40 fullset=95.0\r\n",
			"up=12400 dist=-1cm level=-1 pump=0 mode=manual vs=4.92 temp=24.0 lowset=40 fullset=95.0\r\n"},
		"csv":    {"12300;1162;39.8;1;4918;24.0;0\r\n", "12400;;;0;4918;24.0;1\r\n"},
		"log":    {"[12.300] INFO level: ullage 45.76 in, 39.8 %, relay on, supply 4.92 V\n", "[12.400] WARN level: no echo, relay off, supply 4.92 V\n"},
		"block":  {"Reading 12.3 s\r\n  Distance  1.162 m\r\n  Filled    39.8 %\r\n  Pump      running\r\n  Supply    4.92 V\r\n\r\n", "Reading 12.4 s\r\n  Distance  out of range\r\n  Filled    ? %\r\n  Pump      stopped\r\n  Supply    4.92 V\r\n\r\n"},
		"sparse": {"116.2\r\n", "0\r\n"},
	} {
		s, err := newSpeaker(id)
		require.NoError(t, err)
		assert.Equal(t, want[0], string(s.report(nil, &good)), id)
		assert.Equal(t, want[1], string(s.report(nil, &lost)), id)
	}
	_, err := newSpeaker("whistle")
	assert.ErrorContains(t, err, "workshop-board")
}

func TestJSONLinesAreJSON(t *testing.T) {
	for _, r := range []report{good, lost} {
		var v map[string]any
		require.NoError(t, json.Unmarshal(jsonLine(nil, &r), &v))
		assert.Equal(t, r.up*1000, v["uptime_ms"])
		assert.Equal(t, math.IsNaN(r.distance), v["distance_cm"] == nil)
	}
	var v map[string]any
	require.NoError(t, json.Unmarshal([]byte(jsonBanner("watchdog")), &v))
	assert.Equal(t, "watchdog", v["reset_cause"])
}

// The checksum of NMEA 0183 against sentences whose sums circulate in public: exclusive or of what stands between $ and *.
func TestChecksum(t *testing.T) {
	for _, s := range []string{"$IIXDR,C,19.52,C,TempAir*19", "$IIXDR,P,1.02481,B,Barometer*29", "$SDDBT,7.8,f,2.4,M,1.3,F*0D", "$WIMTA,010.0,C*2A"} {
		bare, _, _ := strings.Cut(s, "*")
		assert.Equal(t, s, string(checksum([]byte(bare), 1)))
	}
}

// Every dialect speaks after a restart: first its start-up text, once, then reports; csv repeats its header.
func TestStartUpText(t *testing.T) {
	for _, d := range Dialects() {
		i, err := New(Options{Dialect: d.ID, Faults: []Fault{{ID: "port-resets"}}})
		require.NoError(t, err)
		require.NoError(t, i.Connect())
		text := string(i.Advance(10 * time.Second))
		assert.Equal(t, 1, strings.Count(text, "start-up"), d.ID)
		assert.Contains(t, text, "external", d.ID)
		assert.Less(t, strings.Index(text, "start-up"), 60, d.ID)
		if d.ID == "csv" {
			assert.Equal(t, 1, strings.Count(text, "distance_mm"))
		}
		assert.NotEmpty(t, d.What)
	}
}
