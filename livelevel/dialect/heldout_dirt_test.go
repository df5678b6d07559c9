package dialect

import (
	"fmt"
	"math/rand/v2"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
)

// dirtyEvery is how often a line is damaged.
const dirtyEvery = 9

// soil damages the lines of a feed: it begins within a line, lines are cut, merged, doubled, a bit flips,
// a NUL or a boot banner comes between.
func soil(r *rand.Rand, lines []sent, kind string, header bool) []sent {
	var out []sent
	for i, s := range lines {
		switch {
		case i == 0 && header:
		case i == 0 && len(s.text) > 4:
			s.text = s.text[len(s.text)/2:]
		case i%dirtyEvery == 5 && len(s.text) > 1 && i+1 < len(lines):
			if kind == "boot" {
				out = append(out, sent{"rst:0x10 (RTCWDT_RTC_RESET),boot:0x13 (SPI_FAST_FLASH_BOOT)", s.at}, sent{"load:0x3fff0030,len:1184", s.at}, sent{"entry 0x400805e4", s.at})
			} else {
				s.text = damage[kind](r, s.text, lines[i+1].text)
			}
		}
		out = append(out, s)
	}
	return out
}

// TestHeldOutDirt soils every feed in every way: the dialect is learned from the dirt as well, and no
// reading may come out that nobody sent.
func TestHeldOutDirt(t *testing.T) {
	if testing.Short() {
		t.Skip("more than a thousand feeds")
	}
	for n, p := range heldOut() {
		t.Run(p.name, func(t *testing.T) {
			truth := p.scene.plants(uint64(n))
			clean := p.print(truth)
			for _, kind := range []string{"cut", "head", "merged", "doubled", "hole", "bit", "nul", "boot"} {
				p.inDirt(t, kind, truth, soil(rand.New(rand.NewPCG(uint64(n), 5)), clean, kind, p.head != ""))
			}
		})
	}
}

func (p played) inDirt(t *testing.T, kind string, truth []plant, lines []sent) {
	got := study(lines, nil)
	if !got.Settled {
		if !p.asks {
			assert.Fail(t, "it asks in dirt", "%s: %s", kind, got.Why)
			return
		}
		if got = study(lines, p.sheet(t)); !got.Settled {
			return
		}
	}
	reports, wrong := 0, []string(nil)
	want := rolesOf(t, p.roles)
	for _, r := range hear(t, got.Dialect, lines) {
		if r.Kind != livelevel.Report {
			continue
		}
		reports++
		if now := arrived(r, truth); levelOf(r, truth, now-1, now+2, want) < 0 {
			wrong = append(wrong, fmt.Sprintf("%s from %q", show(r), p.line(truth[now])))
		}
	}
	assert.LessOrEqual(t, len(wrong), allowedOf(p, kind), "%s: readings that nobody sent: %q", kind, wrong)
	require.Greater(t, reports, len(truth)*6/10, "%s: reports read\n%s", kind, Format(got.Dialect))
}

// arrived is the report in whose time a reading came.
func arrived(r livelevel.Reading, truth []plant) int {
	return sort.Search(len(truth)-1, func(i int) bool { return !truth[i].clock().Before(r.Time) })
}

// allowedOf is how many of about 35 damaged lines may read wrong. A line whose labels stand and of which a
// digit is lost, or another by one bit, can show only by the values before it, and by other damage seen: the
// first of a feed may pass, and values that lie near. A number alone in its line has even less to show.
func allowedOf(p played, kind string) int {
	bare := strings.HasPrefix(p.name, "b-")
	switch {
	case p.name == "b-letter-r", p.name == "b-m":
		return 10
	case bare:
		return 5
	case kind == "bit", kind == "hole", p.name == "c-quoted":
		return 4
	case strings.HasPrefix(p.name, "c-"), kind == "merged":
		return 3
	}
	return 1
}

// levelOf finds a report whose level a reading tells.
func levelOf(r livelevel.Reading, truth []plant, from, to int, want map[livelevel.Role]bool) int {
	told := map[livelevel.Role]bool{}
	for role := range want {
		if levels[role] {
			told[role] = true
		}
	}
	if !r.EchoLost && !r.Has(livelevel.Ullage) && !r.Has(livelevel.Echo) {
		return wherever(r, truth, from, to, told) // a line, or part of one, without the distance
	}
	return whose(r, truth, from, to, told)
}

func wherever(r livelevel.Reading, truth []plant, from, to int, told map[livelevel.Role]bool) int {
	for i := max(from, 0); i < min(to, len(truth)); i++ {
		w := truth[i]
		r.EchoLost = w.lost
		if w.says(r, told) {
			return i
		}
	}
	return -1
}
