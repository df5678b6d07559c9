package script_test

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/diagnostics/script"
	"example.org/tankhand/livelevel"
)

// TestMistakesHavePlaces: all of them at once, each with line and column.
func TestMistakesHavePlaces(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"plya 60s", `s.txt:1:1: "plya" is no statement`},
		{"ullage 1 m\n  noise much", `s.txt:2:9: "much" is not a length`},
		{"play fast", `s.txt:1:6: "fast" is no time`},
		{"expect nothing pass", `s.txt:1:8: "nothing" is no check`},
		{"expect restarts.when often", `s.txt:1:22: "often": want one of none`},
		{"expect restarts.colour red", `s.txt:1:8: restarts has no aspect "colour"`},
		{"sheet tank.colour 3", `s.txt:1:7: "tank.colour" is no fact`},
		{"repeat 3\nplay 1s", "s.txt:1:1: repeat without end"},
		{"end", "s.txt:1:1: end without repeat"},
		{"restart \"boot", "s.txt:1:9: the quote is not closed"},
		{"pump on now", `s.txt:1:9: "now" is too much here`},
		{"repeat 0\nend", `s.txt:1:8: "0" is no number`},
		{"bogus\nplay\nend", "s.txt:3:1"},
	} {
		_, err := script.Parse("s.txt", c.text)
		require.ErrorContains(t, err, c.want, "%q", c.text)
	}
}

// TestExpectationsFail: an expectation that does not hold is reported with its place and what was found.
func TestExpectationsFail(t *testing.T) {
	s, err := script.Parse("s.txt", "ullage 1 m\nnoise 2 mm\nplay 60s\nexpect reading-spread fail\nexpect restarts restarts 3")
	require.NoError(t, err)
	err = s.Run()
	require.ErrorContains(t, err, "s.txt:4:1: reading-spread: want fail")
	require.ErrorContains(t, err, "s.txt:5:1: restarts: restarts is 0, want 3")
	var at *script.Error
	require.True(t, errors.As(err, &at))
	assert.Equal(t, 4, at.Place.Line)
}

// TestReadings: the same script makes the same feed, reading by reading.
func TestReadings(t *testing.T) {
	s, err := script.Parse("s.txt", "seed 3\nullage 1 m\nnoise 2 mm\nlose 10 %\npump on\nrepeat 2\nplay 10s\ngap 5s\nrestart \"boot\" ours\nend\nat 60s expect restarts pass")
	require.NoError(t, err)
	play := func() (all []livelevel.Level) {
		require.NoError(t, s.Readings(func(l *livelevel.Level) { l.Height, l.Ullage = 0, 0; all = append(all, *l) }))
		return all
	}
	a, b := play(), play()
	require.Len(t, a, 2*101+300)
	for i := range a {
		require.Equal(t, a[i].Reading, b[i].Reading)
	}
}

// TestFirmsLimit: a firm tries its own limit.
func TestFirmsLimit(t *testing.T) {
	const text = "seed 1\nullage 1 m\nnoise 2 mm\nlose 4 %\nplay 10m\nexpect echo-dropouts.amount "
	for limit, want := range map[string]string{"": "few", "limit echo-dropouts.some 2 %\n": "some"} {
		s, err := script.Parse("s.txt", limit+text+want)
		require.NoError(t, err)
		require.NoError(t, s.Run())
	}
}

// FuzzParse: no script, however odd, makes the parser panic, and what parses may be played a little.
func FuzzParse(f *testing.F) {
	f.Add("seed 3\nullage 1 m\nplay 10s\nexpect restarts pass")
	f.Add("repeat 2\nrepeat 2\npump on\nend\nplay 1s\nend # \"")
	f.Add("second 30 % times 2 plus -1 m\nat 2s expect inputs.state held")
	f.Fuzz(func(t *testing.T, text string) {
		if s, err := script.Parse("f.txt", text); err == nil {
			require.NotNil(t, s)
		}
	})
}
