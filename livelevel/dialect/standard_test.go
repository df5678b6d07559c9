package dialect

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/testdata/reference"
)

// Sentences of public documents, good and bad.
func TestChecksumOfNMEA0183(t *testing.T) {
	for _, row := range reference.Table(t, "nmea0183_checksum.csv") {
		var s scanner
		ok, why := s.nmea([]byte(row.Text("sentence")))
		assert.Equal(t, !strings.Contains(row.Text("verdict"), "WRONG"), ok, "%v: %s", row, why)
	}
}

func TestSentences(t *testing.T) {
	dec, err := NewDecoder(Dialect{Kind: NMEA, Fields: []Field{{Role: "ullage", At: "XDR:TankRange", Unit: "m"},
		{Role: "level-percent", At: "XDR:FreshWater#0", Unit: "%"}, {Role: "temperature", At: "MTA/1", Unit: "degC"}}})
	require.NoError(t, err)
	for line, want := range map[string]string{
		"$IIXDR,D,1.234,M,TankRange*02":     "ullage=1.234",
		"$IIXDR,E,62.5,P,FreshWater#0*48":   "level-percent=62.5",
		"$WIMTA,010.0,C*2A":                 "temperature=10",
		"$WIMTA,25.5,C*4E":                  "kind 2: wrong checksum",
		"$IIXDR,D,1.234,M,TankRange":        "kind 2: no checksum",
		"$SDDPT,4.2,0.5,*78":                "kind 2: no field of the dialect is in it",
		"$IIXDR,D,1.2\x0034,M,TankRange*02": "kind 2: it holds bytes that are no text",
	} {
		out := dec.Decode(nil, []byte(line), time.Time{})
		require.Len(t, out, 1, line)
		assert.Equal(t, want, show(out[0]), line)
	}
}

// RFC 4180 (2005). A line break inside a field is no part of a feed
// of lines, so that row is left out here.
func TestCellsOfRFC4180(t *testing.T) {
	for _, row := range reference.Table(t, "rfc4180_cases.csv") {
		var want []string
		var record string
		require.NoError(t, json.Unmarshal([]byte(row.Text("fields_json")), &want))
		require.NoError(t, json.Unmarshal([]byte(row.Text("record_json")), &record))
		record = strings.TrimSuffix(record, "\r\n")
		if strings.ContainsAny(record, "\r\n") {
			continue
		}
		var got []string
		for i := 0; i <= len(record); {
			lo, hi, next := cell([]byte(record), i, ',')
			got = append(got, strings.ReplaceAll(record[lo:hi], `""`, `"`))
			i = next
		}
		assert.Equal(t, want, got)
	}
}

func TestNumbers(t *testing.T) {
	for text, want := range map[string]float64{"43.2": 43.2, "-0.5": -0.5, "+7": 7, ".5": 0.5, "0043": 43, "4.32e1": 43.2, "1E-3": 1e-3} {
		n, l := parseNumber([]byte(text), false)
		assert.Equal(t, len(text), l, text)
		assert.InDelta(t, want, n.v, 1e-12, text)
	}
	for _, text := range []string{"", "-", ".", "x", "1234567890123456789012"} {
		_, l := parseNumber([]byte(text), false)
		assert.Zero(t, l, text)
	}
	n, l := parseNumber([]byte("43,25 cm"), true)
	assert.Equal(t, 5, l)
	assert.Equal(t, 43.25, n.v)
}

func TestUnitsToSI(t *testing.T) {
	for text, want := range map[string]float64{"10 in": 0.254, "1 ft": 0.3048, "1 gal/min": 6.30901964e-5, "3.6 m3/h": 1e-3, "86 degF": 30, "100 us": 1e-4} {
		n, l := parseNumber([]byte(text), false)
		u, _, _ := readUnit([]byte(text)[l:])
		require.NotNil(t, u, text)
		assert.InEpsilon(t, want, u.si(n.v), 1e-9, text) // factors exact by definition (inch 1959, US gallon 231 cubic inches)
	}
}

func TestStamps(t *testing.T) {
	for text, want := range map[string]float64{"2026-05-04T07:31:00Z": 1777879860, "2026-05-04 09:31:00+02:00": 1777879860, "07:31:05.25": 27065.25,
		"1970-01-01T00:00:01Z": 1} {
		v, _, n := stamp([]byte(text))
		assert.Equal(t, len(text), n, text)
		assert.Equal(t, want, v, text)
	}
	for _, text := range []string{"2026-13-04T07:31:00Z", "25", "12:61:00", "2026-05-04"} {
		_, _, n := stamp([]byte(text))
		assert.Zero(t, n, text)
	}
}

func decode(t *testing.T, d Dialect, lines ...string) []string {
	dec, err := NewDecoder(d)
	require.NoError(t, err)
	var out []livelevel.Reading
	for _, l := range lines {
		out = dec.Decode(out, []byte(l), time.Time{})
	}
	var s []string
	for _, r := range dec.End(out, time.Time{}) {
		s = append(s, show(r))
	}
	return s
}

func TestRestarts(t *testing.T) {
	d := Dialect{Kind: Text, Restart: []string{"hello from the board"}, Fields: []Field{{Role: "ullage", At: "dist", Unit: "cm"}, {Role: "uptime", At: "t", Unit: "ms"}}}
	got := decode(t, d, "t=70000 dist=43.2", "rst:0x1 (POWERON)", "boot:0x13", "Hello from the board!", "t=100 dist=43.2", "t=3000 dist=43.2", "some words of chatter",
		"t=20 dist=43.2", "t=220 dist=43.1")
	assert.Equal(t, []string{"ullage=0.432 uptime=70", "kind 1: rst:0x1 (POWERON)", "ullage=0.432 uptime=0.1", "ullage=0.432 uptime=3",
		"kind 1: the uptime fell back", "ullage=0.432 uptime=0.02", "ullage=0.431 uptime=0.22"}, got)
}

func TestUptimeThatWrapsIsNoRestart(t *testing.T) {
	d := Dialect{Kind: Text, Fields: []Field{{Role: "ullage", At: "dist", Unit: "cm"}, {Role: "uptime", At: "t", Unit: "ms"}}}
	got := decode(t, d, "t=4294967000 dist=43.2", "t=104 dist=43.2")
	assert.Equal(t, []string{"ullage=0.432 uptime=4.29497e+06", "ullage=0.432 uptime=0.104"}, got)
}

func TestDialectFileMistakesAllAtOnce(t *testing.T) {
	_, err := Parse("d.yaml", []byte("dialect: tankhand/dialect/1\nname: x\nkind: texxt\nfields:\n  - {role: ulage, at: D}\n  - {role: pump, at: P, unti: cm}\n"))
	require.Error(t, err)
	for _, want := range []string{"d.yaml:3:", "d.yaml:5:", "ullage", "d.yaml:6:", "unti"} {
		assert.ErrorContains(t, err, want)
	}
}

func TestContractExample(t *testing.T) {
	d, err := Parse("d.yaml", []byte(`dialect: tankhand/dialect/1
name: workshop-board
kind: text
encoding: utf-8
decimal: "."
block: {lines: 1}
fields:
  - {role: ullage, at: "Distance", unit: cm, lost: [0, -1, 400, "out of range"]}
  - {role: pump,   at: "Pump", on: [ON, "1", running], off: [OFF, "0"]}
  - {role: uptime, at: "#1", unit: ms}
restart: ["start-up", "reset cause"]
`))
	require.NoError(t, err)
	got := decode(t, d, "12000 Distance: 43.2 cm Pump: ON", "12500 Distance: 400 cm Pump: running", "13000 Distance: out of range Pump: 0",
		"13500 Distance: 43.2 cm", "14000 Distance: 432e cm Pump: ON", "Start-up")
	assert.Equal(t, []string{"ullage=0.432 pump=1 uptime=12", "pump=1 uptime=12.5 echo lost", "pump=0 uptime=13 echo lost",
		"kind 2: the field Pump is missing", "kind 2: the field Pump is missing", "kind 1: Start-up"}, got)
}

func FuzzDecode(f *testing.F) {
	for _, s := range []string{"Distance: 43.2 cm Level: 67 % Pump: ON", `{"a":{"b":[1,null,"x"]}}`, "1;2,5;ON", "$IIXDR,D,1.234,M,TankRange*02", "\x1b[0;32mI (1) x: 4\x1b[0m"} {
		f.Add(s)
	}
	dialects := []Dialect{
		{Kind: Text, Fields: []Field{{Role: "ullage", At: "Distance", Unit: "cm"}, {Role: "pump", At: "Pump"}}},
		{Kind: Text, Block: Block{BeginsWith: "Dist"}, Encoding: "latin-1", Fields: []Field{{Role: "ullage", At: "#1", Unit: "in"}, {Role: "time", At: "#2"}}},
		{Kind: JSON, Fields: []Field{{Role: "ullage", At: "a.b.0", Unit: "m"}, {Role: "fault", At: "f"}}},
		{Kind: CSV, Separator: ";", Decimal: ",", Header: true, Fields: []Field{{Role: "ullage", At: "#2", Unit: "cm"}, {Role: "uptime", At: "#1", Unit: "s"}}},
		{Kind: NMEA, Fields: []Field{{Role: "ullage", At: "XDR:TankRange", Unit: "m"}}},
	}
	f.Fuzz(func(t *testing.T, line string) {
		for _, d := range dialects {
			dec, err := NewDecoder(d)
			require.NoError(t, err)
			var out []livelevel.Reading
			for range 4 {
				out = dec.Decode(out, []byte(line), time.Time{})
			}
			dec.Last(out, []byte(line), time.Unix(1, 0))
		}
	})
}

func FuzzLearn(f *testing.F) {
	f.Add("Distance: 43.2 cm Level: 67 % Pump: ON\nDistance: 43.3 cm Level: 67 % Pump: ON\n\n")
	f.Add("a;b\n1;2\n1,5;2\n\n---\nx 1\n---\n")
	f.Fuzz(func(t *testing.T, text string) {
		p := Learn(strings.Split(strings.Repeat(text+"\n", 4), "\n"), nil)
		if len(p.Dialect.Fields) == 0 {
			return
		}
		_, err := NewDecoder(p.Dialect)
		require.NoError(t, err)
		_, err = Parse("fuzz", []byte(Format(p.Dialect)))
		assert.NoError(t, err, Format(p.Dialect))
	})
}

func FuzzParse(f *testing.F) {
	f.Add([]byte("dialect: tankhand/dialect/1\nkind: csv\nfields: [{role: ullage, at: '#1', unit: cm}]"))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := Parse("fuzz", data)
		if err != nil {
			return
		}
		back, err := Parse("fuzz", []byte(Format(d)))
		require.NoError(t, err, Format(d))
		assert.Equal(t, Format(d), Format(back))
	})
}
