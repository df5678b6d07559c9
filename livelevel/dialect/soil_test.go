package dialect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
)

// serialDamage is what a serial line does to text: bits flip, bytes are lost, come twice, or are of another rate;
// lines are cut, merged and doubled. (Neighbours are not swapped there.)
var serialDamage = map[string]func(r *rand.Rand, line, next string) string{
	"bit": damage["bit"], "cut": damage["cut"], "head": damage["head"], "merged": damage["merged"], "doubled": damage["doubled"],
	"hole": damage["hole"], "nul": damage["nul"],
	"drop": func(r *rand.Rand, l, _ string) string { i := r.IntN(len(l)); return l[:i] + l[i+1:] },
	"dup":  func(r *rand.Rand, l, _ string) string { i := r.IntN(len(l)); return l[:i+1] + l[i:] },
	"rate": func(r *rand.Rand, l, _ string) string {
		const seen = "\x00\xff\x80\xfe\x66\x9e\xe6\x78\xf8" // letters and digits as a UART at another rate samples them
		b := []byte(l)
		at := r.IntN(len(b))
		for i := at; i < min(len(b), at+3+r.IntN(6)); i++ {
			b[i] = seen[r.IntN(len(seen))]
		}
		return string(b)
	},
	"column": func(r *rand.Rand, l, _ string) string { // a cell or a field is gone, the others move up
		for _, sep := range []string{";", ",", "\t", " "} {
			if p := strings.Split(l, sep); len(p) > 1 {
				i := r.IntN(len(p))
				return strings.Join(append(p[:i:i], p[i+1:]...), sep)
			}
		}
		return l
	},
}

// tally of a soiled feed.
type tally struct{ damaged, false_, far, good, lost int }

// TestSoiledFeeds damages every sixth line of the healthy feeds that vary, in every way. What comes out must be what
// some line said, but for last digits inside the water's own motion, which nothing can show: readings far off are
// counted apart, and next to none of the good lines between may be lost.
func TestSoiledFeeds(t *testing.T) {
	var all tally
	for name, format := range healthyFeeds {
		for kind, spoil := range serialDamage {
			one := soiledFeed(t, name, format, spoil)
			all.damaged, all.false_, all.far = all.damaged+one.damaged, all.false_+one.false_, all.far+one.far
			all.good, all.lost = all.good+one.good, all.lost+one.lost
			assert.LessOrEqual(t, one.lost*100, one.good, "%s/%s: good lines lost: %d of %d", name, kind, one.lost, one.good)
			if one.far > one.damaged/25 {
				t.Errorf("%s/%s: %d of %d damaged lines read far off", name, kind, one.far, one.damaged)
			}
		}
	}
	t.Logf("of %d damaged lines %.2f %% read as something that no line said, %.2f %% far off; of %d good lines %d were lost",
		all.damaged, 100*float64(all.false_)/float64(all.damaged), 100*float64(all.far)/float64(all.damaged), all.good, all.lost)
	assert.Less(t, all.false_*1000, all.damaged*22)
	assert.Less(t, all.far*1000, all.damaged*2)
	assert.Less(t, all.lost*1000, all.good*2)
}

func soiledFeed(t *testing.T, name string, format func(moment) string, spoil func(*rand.Rand, string, string) string) tally {
	board := healthyBoard(uint64(len(name)))
	r := rand.New(rand.NewPCG(uint64(len(name)), 8))
	var clean, lines []sent
	for _, m := range board[:600] {
		clean = append(clean, sent{format(m), m.clock})
	}
	p := study(clean[:400], nil)
	require.True(t, p.Settled, p.Why)
	var out tally
	for i, s := range clean {
		if i >= 60 && i%6 == 0 && i+1 < len(clean) {
			if bad := spoil(r, s.text, clean[i+1].text); bad != s.text {
				s.text = bad
				out.damaged++
			}
		}
		lines = append(lines, s)
	}
	out.good = len(lines) - out.damaged
	reports := 0
	for _, got := range hear(t, p.Dialect, lines) {
		if got.Kind != livelevel.Report {
			continue
		}
		reports++
		i := int(got.Time.Sub(board[0].clock).Seconds())
		saying := []string{clean[max(i-1, 0)].text, clean[i].text, clean[min(i+1, len(clean)-1)].text}
		if !said(p.Dialect, got, saying) {
			out.false_++
			if u, ok := got.Get(livelevel.Ullage); !ok || math.Abs(u-board[i].dist) > 0.05 {
				out.far++
				if testing.Verbose() {
					fmt.Printf("%-18s %q from %q: %s\n", name, lines[i].text, clean[i].text, show(got))
				}
			}
		}
	}
	out.lost = max(0, out.good-reports)
	return out
}
