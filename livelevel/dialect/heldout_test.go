package dialect

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// The feeds of this test were written before looking at the learner's vocabulary or at its other test
// feeds: they are what it may meet. Each knows its truth; nothing here is a golden file.

func heldOut() []played {
	var all []played
	for _, group := range [][]played{inWords, inKeys, inTables, inLands} {
		all = append(all, group...)
	}
	return all
}

// sent is one line with the report that it belongs to.
type sent struct {
	text string
	at   time.Time
}

// print lets the controller print its truth.
func (p played) print(truth []plant) []sent {
	var out []sent
	for n, text := range strings.Split(p.head, "\n") {
		if n > 0 || text != "" {
			out = append(out, sent{text, truth[0].clock()})
		}
	}
	for _, w := range truth {
		for _, text := range strings.Split(p.line(w), "\n") {
			out = append(out, sent{text, w.clock()})
		}
	}
	return out
}

func rolesOf(t *testing.T, words string) map[livelevel.Role]bool {
	out := map[livelevel.Role]bool{}
	for _, word := range strings.Fields(words) {
		role, ok := livelevel.ParseRole(word)
		require.True(t, ok, word)
		out[role] = true
	}
	return out
}

func (p played) sheet(t *testing.T) *site.Sheet {
	face := p.scene.face
	if face == 0 {
		face = 1.75
	}
	s, err := site.Parse("sheet", fmt.Appendf(nil, "sheet: tankhand/site/1\ntank: {shape: vertical cylinder, diameter: 1.1 m, height: %.3f m}\n"+
		"sensor: {face_height: %.3f m}\n", 0.95*face, face))
	require.NoError(t, err)
	return s
}

func study(lines []sent, sheet *site.Sheet) Proposal {
	l := NewLearner(sheet)
	for _, s := range lines {
		l.Add([]byte(s.text), s.at)
	}
	return l.Propose()
}

func hear(t *testing.T, d Dialect, lines []sent) []livelevel.Reading {
	dec, err := NewDecoder(d)
	require.NoError(t, err)
	var out []livelevel.Reading
	for _, s := range lines {
		out = dec.Decode(out, []byte(s.text), s.at)
	}
	return dec.End(out, time.Time{})
}

// TestHeldOutRoles asks for the right role and unit of every column, in every feed.
func TestHeldOutRoles(t *testing.T) {
	require.GreaterOrEqual(t, len(heldOut()), 120)
	for n, p := range heldOut() {
		t.Run(p.name, func(t *testing.T) {
			truth := p.scene.plants(uint64(n))
			lines := p.print(truth)
			got := study(lines, nil)
			if !got.Settled {
				require.True(t, p.asks, "it asks though it could know: %s\n%s", got.Why, Format(got.Dialect))
				if got = study(lines, p.sheet(t)); !got.Settled {
					return
				}
			}
			p.judge(t, got.Dialect, truth, lines)
		})
	}
}

// TestHeldOutBeginnings settles on the first few reports, as a live feed does: what is settled then may lack
// a column, but none may be taken for another, and no level read wrong, to the end of the feed.
func TestHeldOutBeginnings(t *testing.T) {
	for n, p := range heldOut() {
		t.Run(p.name, func(t *testing.T) {
			truth := p.scene.plants(uint64(n))
			lines := p.print(truth)
			for _, reports := range []int{4, 6, 10, 20, 48} {
				got := study(lines[:reports*len(lines)/len(truth)+1], nil)
				if got.Settled {
					p.begun(t, got.Dialect, truth, lines)
				}
			}
		})
	}
}

func (p played) begun(t *testing.T, d Dialect, truth []plant, lines []sent) {
	want, may := rolesOf(t, p.roles), rolesOf(t, p.may)
	for _, field := range d.Fields {
		role, _ := livelevel.ParseRole(field.Role)
		assert.True(t, want[role] || may[role] || role == livelevel.Fault, "%v at %q is none\n%s", role, field.At, p.line(truth[0]))
	}
	for _, r := range hear(t, d, lines) {
		if now := arrived(r, truth); r.Kind == livelevel.Report && levelOf(r, truth, now-1, now+2, want) < 0 {
			assert.Fail(t, "a reading that nobody sent", "%s from %s\n%s", show(r), p.line(truth[now]), Format(d))
			return
		}
	}
}

// judge compares the roles, and each reading with what was so when its line was printed.
func (p played) judge(t *testing.T, d Dialect, truth []plant, lines []sent) {
	want, may, seen := rolesOf(t, p.roles), rolesOf(t, p.may), map[livelevel.Role]int{}
	readings := hear(t, d, lines)
	next, matched, lost, again := 0, 0, 0, 0
	if d.Kind == NMEA && strings.Contains(p.line(truth[0]), "\n") {
		again = 1 // a report may be of several sentences, each a reading
	}
	for _, r := range readings {
		if r.Kind != livelevel.Report {
			continue
		}
		for role := range want {
			if r.Has(role) {
				seen[role]++
			}
		}
		i := whose(r, truth, next-again, len(truth), want)
		if !assert.GreaterOrEqual(t, i, 0, "a reading that nobody sent: %s\nnear %s\n%s", show(r), p.line(truth[min(next, len(truth)-1)]), Format(d)) {
			return
		}
		if i >= next { // not one more line of the same report
			matched++
		}
		if next = i + 1; r.EchoLost {
			lost++
		}
	}
	for role := range want {
		assert.Greater(t, seen[role], len(truth)*8/10, "%v is not found\n%s", role, Format(d))
	}
	for _, field := range d.Fields {
		role, _ := livelevel.ParseRole(field.Role)
		assert.True(t, want[role] || may[role] || role == livelevel.Ignore || role == livelevel.Fault, "%v at %q is none\n%s", role, field.At, p.line(truth[0]))
	}
	assert.Greater(t, matched, len(truth)*(95-10*again)/100, "reports read\n%s\n%s", p.line(truth[0]), Format(d))
	assert.GreaterOrEqual(t, lost, lostIn(truth)*9/10, "lost echoes seen\n%s", Format(d))
}

func lostIn(truth []plant) (n int) {
	for _, w := range truth {
		if w.lost {
			n++
		}
	}
	return n
}

// whose finds the report that a reading is of, -1 when nobody sent that.
func whose(r livelevel.Reading, truth []plant, from, to int, want map[livelevel.Role]bool) int {
	for i := max(from, 0); i < min(to, len(truth)); i++ {
		if truth[i].says(r, want) {
			return i
		}
	}
	return -1
}

// levels are the roles that tell how full the tank is.
var levels = map[livelevel.Role]bool{livelevel.Ullage: true, livelevel.UllageRaw: true, livelevel.LevelHeight: true,
	livelevel.LevelPercent: true, livelevel.VolumeRole: true, livelevel.Echo: true}

// says tells whether a reading says what was so. While the echo is lost, nothing is known of the level.
func (w plant) says(r livelevel.Reading, want map[livelevel.Role]bool) bool {
	other := r.Has(livelevel.VolumeRole) && !r.Has(livelevel.Pump) && !r.Has(livelevel.Ullage) // the sentence beside that of the distance
	if r.EchoLost != w.lost && !other || r.EchoLost && (r.Has(livelevel.Ullage) || r.Has(livelevel.Echo)) {
		return false
	}
	for role := range want {
		v, has := r.Get(role)
		if !has || levels[role] && w.lost {
			continue
		}
		if right, within := w.value(role); math.Abs(v-right) > within {
			return false
		}
	}
	return true
}
