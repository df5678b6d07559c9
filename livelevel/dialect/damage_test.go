package dialect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
)

// damage is one kind of dirt on a line.
var damage = map[string]func(r *rand.Rand, line, next string) string{
	"cut":     func(r *rand.Rand, l, _ string) string { return l[:r.IntN(len(l))] },
	"head":    func(r *rand.Rand, l, _ string) string { return l[1+r.IntN(len(l)-1):] },
	"merged":  func(r *rand.Rand, l, n string) string { return l[:r.IntN(len(l))] + n },
	"doubled": func(r *rand.Rand, l, n string) string { return l + n },
	"hole": func(r *rand.Rand, l, _ string) string {
		i := r.IntN(len(l) - 1)
		return l[:i] + l[i+1+r.IntN(min(4, len(l)-i-1)):]
	},
	"bit": func(r *rand.Rand, l, _ string) string {
		b := []byte(l)
		b[r.IntN(len(b))] ^= 1 << r.IntN(8)
		return string(b)
	},
	"nul": func(r *rand.Rand, l, _ string) string { i := r.IntN(len(l)); return l[:i] + "\x00" + l[i:] },
}

func TestDamage(t *testing.T) {
	for name, f := range labelled {
		lines := make([]string, 700)
		for i := range lines {
			lines[i] = strings.TrimSuffix(f(i), "\n")
		}
		for kind, dirt := range damage {
			t.Run(name+"/"+kind, func(t *testing.T) {
				wrong, far, accepted := play(t, lines, dirt)
				assert.Zero(t, far, "a level that is far off")
				assert.LessOrEqual(t, wrong, allowed(kind), "of %d damaged lines that were accepted", accepted)
			})
		}
	}
}

// allowed wrong ones of 128: a flipped bit may change the last digits of a value, which nothing can show.
func allowed(kind string) int {
	if kind == "bit" {
		return 12
	}
	return 0
}

// play decodes lines of which every fifth is damaged, and counts the accepted ones that say something
// else than the line did; far are those of them whose distance or percent is off by more than the water moves
// in a few reports.
func play(t *testing.T, lines []string, dirt func(*rand.Rand, string, string) string) (wrong, far, accepted int) {
	r := rand.New(rand.NewPCG(7, 11))
	p := Learn(lines[:120], nil)
	require.True(t, p.Settled, p.Why)
	dec, err := NewDecoder(p.Dialect)
	require.NoError(t, err)
	var out []livelevel.Reading
	for i, l := range lines[:len(lines)-1] {
		if i < 60 || i%5 != 0 {
			out = dec.Decode(out[:0], []byte(l), time.Time{})
			continue
		}
		bad := dirt(r, l, lines[i+1])
		out = dec.Decode(out[:0], []byte(bad), time.Time{})
		for _, got := range out {
			if got.Kind == livelevel.Report {
				accepted++
				if off(got, i) {
					far++
				}
				if !said(p.Dialect, got, lines[i-2:i+2]) {
					wrong++
					if testing.Verbose() {
						fmt.Printf("%q from %q\n", bad, l)
					}
				}
			}
		}
	}
	return wrong, far, accepted
}

// off tells whether the level of a reading is far from that of the i-th line.
func off(r livelevel.Reading, i int) bool {
	d, p, _, _ := wave(i)
	u, ok := r.Get(livelevel.Ullage)
	pct, known := r.Get(livelevel.LevelPercent)
	return ok && math.Abs(u-d/100) > 0.05 || known && math.Abs(pct-p) > 4
}

// said tells whether one of the lines says what was read: a report may be held back for a line.
func said(d Dialect, got livelevel.Reading, lines []string) bool {
	for _, l := range lines {
		if same(d, got, l) {
			return true
		}
	}
	return false
}

func same(d Dialect, got livelevel.Reading, line string) bool {
	dec, _ := NewDecoder(d)
	dec.Decode(nil, []byte("time_ms,distance_cm,level_pct,pump"), time.Time{})
	out := dec.Decode(nil, []byte(line), time.Time{})
	if len(out) == 0 {
		return false
	}
	want := out[len(out)-1]
	for r := range livelevel.RoleCount {
		a, okA := got.Get(livelevel.Role(r))
		b, okB := want.Get(livelevel.Role(r))
		if okA != okB || math.Abs(a-b) > 1e-9 {
			return false
		}
	}
	return got.EchoLost == want.EchoLost
}

// labelled are feeds of one line a report.
var labelled = map[string]func(i int) string{
	"prose": func(i int) string {
		d, p, m, _ := wave(i)
		return fmt.Sprintf("Distance: %.1f cm  Level: %.0f %%  Pump: %s", d, p, m)
	},
	"keys": func(i int) string {
		d, p, m, u := wave(i)
		return fmt.Sprintf("t=%d dist=%.1fcm level=%.0f pump=%s", u, d, p, m)
	},
	"json": func(i int) string {
		d, p, m, u := wave(i)
		return fmt.Sprintf(`{"up":%d,"dist_mm":%.0f,"pct":%.1f,"pump":"%s"}`, u, d*10, p, m)
	},
	"csv": func(i int) string {
		d, p, m, u := wave(i)
		if i == 0 {
			return "time_ms,distance_cm,level_pct,pump"
		}
		return fmt.Sprintf("%d,%.1f,%.1f,%s", u, d, p, m)
	},
}

func wave(i int) (dist, pct float64, pump string, up int) {
	d := math.Round((90+35*math.Sin(float64(i)/30))*10) / 10
	return d, 100 * (170 - d) / 135, []string{"OFF", "ON"}[i/40%2], 5000 + 200*i
}

func TestNoReadingFromNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for name, f := range labelled {
		var lines []string
		for i := range 100 {
			lines = append(lines, f(i))
		}
		dec, err := NewDecoder(Learn(lines, nil).Dialect)
		require.NoError(t, err)
		reports := 0
		var out []livelevel.Reading
		for range 20000 {
			b := make([]byte, r.IntN(60))
			for i := range b {
				b[i] = byte(r.IntN(256))
			}
			out = dec.Decode(out[:0], b, time.Time{})
			for _, o := range out {
				if o.Kind == livelevel.Report {
					reports++
				}
			}
		}
		assert.LessOrEqual(t, reports, 1, name)
	}
}

func TestNothingIsLearnedFromNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	settled := 0
	for range 100 {
		var lines []string
		for range 60 {
			b := make([]byte, r.IntN(40))
			for i := range b {
				b[i] = byte(r.IntN(256))
			}
			lines = append(lines, string(b))
		}
		if Learn(lines, nil).Settled {
			settled++
		}
	}
	assert.Zero(t, settled)
}

// TestNoHeaderFromNoise has a feed without a header followed by lines of random signs: none of them names its columns.
func TestNoHeaderFromNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 7))
	for range 30 {
		var lines []string
		for i := range 400 {
			d, p, _, u := wave(i)
			lines = append(lines, fmt.Sprintf("%d,%.1f,%.1f", u, d, p))
		}
		for range 200 {
			b := make([]byte, 1+r.IntN(40))
			for i := range b {
				b[i] = byte(' ' + r.IntN(95))
			}
			lines = append(lines, string(b))
		}
		p := Learn(lines, nil)
		require.True(t, p.Settled, p.Why)
		assert.False(t, p.Dialect.Header, Format(p.Dialect))
	}
}
