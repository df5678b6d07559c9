package port

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is read the short way must be what encoding/json reads; what is left to it does not matter here.
func sameAsJSON(t *testing.T, line []byte) (short bool) {
	t.Helper()
	var r capRecord
	if !r.plain(line) {
		return false
	}
	var j CaptureRecord
	require.NoError(t, json.Unmarshal(line, &j), "%q", line)
	data, err := DecodeBytes(nil, j.Data)
	require.NoError(t, err, "%q", line)
	assert.Equal(t, j.Ms, r.ms, "%q", line)
	assert.Equal(t, string(data), string(r.data), "%q", line)
	assert.Equal(t, j.Event, r.event, "%q", line)
	return true
}

func TestPlainRecords(t *testing.T) {
	for line, short := range map[string]bool{
		`{"ms":12.4,"data":"dist=43.2cm\r\n"}` + "\n":       true,
		`{"ms": 604799900.123, "data": "a\tb\\\"\/"}`:       true,
		`{"ms":0,"data":"` + "\u0080\u00bf\u00c0\u00ff\"}":  true,
		`{ "ms" : 0.0 , "data" : "" } ` + "\r\n":            true,
		`{"ms":01,"data":"a"}`:                              false,
		`{"ms":1.,"data":"a"}`:                              false,
		`{"ms":.5,"data":"a"}`:                              false,
		`{"ms":-1,"data":"a"}`:                              false,
		`{"ms":1e3,"data":"a"}`:                             false,
		`{"ms":12345678901234.5,"data":"a"}`:                false,
		`{"ms":0.1234567890123456,"data":"a"}`:              false,
		`{"ms":1,"data":"\u0000"}`:                          false,
		`{"ms":1,"data":"` + "\u0100\"}":                    false,
		`{"ms":1,"data":"` + "\xff\"}":                      false,
		`{"ms":1,"data":"` + "\x01\"}":                      false,
		`{"ms":1,"data":"a","event":"lost"}`:                false,
		`{"ms":1,"data":"a"}}`:                              false,
		`{"ms":1,"data":"a`:                                 false,
		`{"ms":1,"data":"a\`:                                false,
		`{"ms":1,"event":"lost"}`:                           false,
		`{"schema":"tankhand/capture/1","ms":1,"data":"a"}`: false,
		``: false,
	} {
		assert.Equal(t, short, sameAsJSON(t, []byte(line)), "%q", line)
	}
}

func FuzzPlainRecord(f *testing.F) {
	f.Add([]byte(`{"ms":12.4,"data":"dist=43.2cm\r\n"}` + "\n"))
	f.Add([]byte(`{"ms": 0.125, "data": "` + "\u00ff\\\\\"}"))
	f.Fuzz(func(t *testing.T, b []byte) { sameAsJSON(t, b) })
}
