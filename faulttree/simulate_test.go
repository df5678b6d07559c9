package faulttree

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"example.org/tankhand/faulttree/knowledge"
	"github.com/stretchr/testify/assert"
)

// The table of the rule's worth on the shipped knowledge is measured by playing visits drawn from the
// model itself: `go test ./faulttree -run Simulation -visits 20000 -v`.
var visits = flag.Int("visits", 40, "simulated visits a complaint")

// player is a way of working; it says what to do next in a state.
type player struct {
	name   string
	feed   bool // the feed answers first
	zero   bool // the feed has only just begun
	choose func(*model, *state) choice
}

var players = []player{
	{"fixed order, feed first, stop at .9", true, false, fixedOrder},
	{"recommended", true, false, recommended},
	{"every probe, then best suspect (ceiling)", true, false, everyProbe},
	{"remedies only, feed first", true, false, onlyRemedies},
	{"fixed order, zero history", true, true, fixedOrder},
	{"recommended, zero history", true, true, recommended},
	{"recommended, no feed at all", false, false, recommended},
}

func onlyRemedies(m *model, s *state) choice {
	_, c := newLooker(m).look(s, 0)
	return c
}

// fixedOrder asks in file order until one cause holds .9, then repairs it.
func fixedOrder(m *model, s *state) choice {
	for c, w := range s.weight[:len(m.fix)] {
		if w >= .9 && !s.tried[c] {
			return choice{probe: -1, cause: c}
		}
	}
	return everyProbe(m, s)
}

func everyProbe(m *model, s *state) choice {
	for p := range m.probes {
		if m.isOpen(s, p) {
			return choice{probe: p, cause: -1}
		}
	}
	return onlyRemedies(m, s)
}

// tally sums what visits came to.
type tally struct {
	n, minutes, toLast, probes, right, handed float64
	bins                                      map[int][2]float64 // belief at the first remedy -> visits, right
}

func (t *tally) add(o tally) {
	t.n, t.minutes, t.toLast, t.probes = t.n+o.n, t.minutes+o.minutes, t.toLast+o.toLast, t.probes+o.probes
	t.right, t.handed = t.right+o.right, t.handed+o.handed
	if t.bins == nil {
		t.bins = map[int][2]float64{}
	}
	for k, v := range o.bins {
		t.bins[k] = [2]float64{t.bins[k][0] + v[0], t.bins[k][1] + v[1]}
	}
}

func (t tally) mean() string {
	return fmt.Sprintf("%6.1f min %6.1f to last act %5.1f probes %3.0f %% first right %3.0f %% handed on",
		t.minutes/t.n, t.toLast/t.n, t.probes/t.n, 100*t.right/t.n, 100*t.handed/t.n)
}

func draw(r *rand.Rand, p []float64) int {
	u := r.Float64() * sum(p)
	for i, v := range p {
		if u -= v; u < 0 {
			return i
		}
	}
	return len(p) - 1
}

// answers draws what each probe would say under a cause.
func draws(r *rand.Rand, m *model, truth int) []int {
	out := make([]int, len(m.probes))
	for p := range m.probes {
		row := make([]float64, len(m.probes[p].like))
		for a := range row {
			row[a] = m.probes[p].like[a][truth]
		}
		out[p] = draw(r, row)
	}
	return out
}

const longWindow = 10.0 // minutes of feed that a visit without history does not have

// decisions remembers what was chosen in a state: visits of one complaint meet the same states again. A
// state is told by what counts in it: the answers, not their order, and the remedies tried.
type decisions map[string]choice

func (d decisions) of(m *model, s *state, choose func(*model, *state) choice) choice {
	key := make([]byte, 0, len(s.answer)+len(s.tried))
	for _, a := range s.answer {
		key = append(key, byte(a))
	}
	for _, t := range s.tried {
		if t {
			key = append(key, 1)
		} else {
			key = append(key, 0)
		}
	}
	c, ok := d[string(key)]
	if !ok {
		c = choose(m, s)
		d[string(key)] = c
	}
	return c
}

// visit plays one visit.
func (pl player) visit(r *rand.Rand, m *model, base *knowledge.Base, known decisions) tally {
	truth := draw(r, m.prior)
	said, s := draws(r, m, truth), m.start()
	out := tally{n: 1, minutes: pl.listen(m, &s, said, base)}
	first := true
	for {
		c := known.of(m, &s, pl.choose)
		if c.probe >= 0 {
			out.minutes += m.minutes(&s, c.probe)
			out.probes++
			m.take(&s, c.probe, said[c.probe])
			continue
		}
		out.toLast = out.minutes
		if c.cause < 0 {
			out.minutes, out.handed = out.minutes+m.handOn, 1
			return out
		}
		out.minutes += m.real[c.cause]
		if first {
			bin := [2]float64{1, 0}
			if c.cause == truth {
				out.right, bin[1] = 1, 1
			}
			out.bins = map[int][2]float64{int(10 * s.weight[c.cause]): bin}
		}
		first = false
		if c.cause == truth && r.Float64() < m.works[truth] {
			return out
		}
		m.failed(&s, c.cause)
	}
}

// listen enters what the feed tells, and returns the minutes it takes.
func (pl player) listen(m *model, s *state, said []int, base *knowledge.Base) (minutes float64) {
	for p := range m.probes {
		pm := &m.probes[p]
		needsFeed := pm.watch || slices.Contains(base.Probes[pm.id].Needs, "feed")
		switch {
		case !pl.feed && needsFeed, pl.zero && pm.watch && pm.window > longWindow:
			s.answer[p] = closed
		case pm.watch && pl.zero:
			minutes = math.Max(minutes, pm.window)
			m.take(s, p, said[p])
		case pm.watch:
			minutes = math.Max(minutes, pm.minutes)
			m.take(s, p, said[p])
		}
	}
	return minutes
}

// play plays n visits of one complaint.
func (pl player) play(base *knowledge.Base, c *knowledge.Complaint, n int) (t tally) {
	m := compile(base, c, Options{})
	r, known := rand.New(rand.NewPCG(11, uint64(len(c.ID)))), decisions{}
	for range n {
		t.add(pl.visit(r, m, base, known))
	}
	return t
}

func TestSimulation(t *testing.T) {
	players := players
	if *visits <= 1000 {
		players = players[:3]
	}
	base, means := shipped(t), make([]tally, len(players))
	per := make([][]tally, len(players))
	var wg sync.WaitGroup
	slots := make(chan bool, runtime.GOMAXPROCS(0))
	for i, pl := range players {
		per[i] = make([]tally, len(base.Complaints))
		for j, c := range base.Complaints {
			wg.Go(func() {
				slots <- true
				defer func() { <-slots }()
				per[i][j] = pl.play(base, c, *visits)
			})
		}
	}
	wg.Wait()
	for i, pl := range players {
		for j, c := range base.Complaints {
			means[i].add(per[i][j])
			if i < 3 || *visits > 1000 {
				t.Logf("%-42s %-18s %s", pl.name, c.ID, per[i][j].mean())
			}
		}
		t.Logf("%-42s %-18s %s", pl.name, "all", means[i].mean())
	}
	t.Log("calibration of the first remedy: " + means[1].calibration())
	ratio := (means[1].minutes / means[1].n) / (means[0].minutes / means[0].n)
	t.Logf("recommended takes %.3f of the fixed order's minutes", ratio)
	slack := 3 / math.Sqrt(means[1].n) // sampling error of a share, thrice
	assert.Less(t, ratio, .77+slack, "minutes at most 0.77 of the fixed order's")
	assert.Less(t, (means[2].right-means[1].right)/means[1].n, .05+slack, "first remedy right within 5 points of the ceiling")
}

// calibration lists belief at the first remedy against how often it was right.
func (t tally) calibration() string {
	var out []string
	for k := range 11 {
		if b := t.bins[k]; b[0] > 0 {
			out = append(out, fmt.Sprintf(".%d_->.%02.0f (%.0f)", k, 100*b[1]/b[0], b[0]))
		}
	}
	return strings.Join(out, "  ")
}

// The belief at the first remedy is the share in which it is right, within sampling error: the model's
// own visits, so this tests the arithmetic, not the knowledge.
func TestCalibration(t *testing.T) {
	base, total := shipped(t), tally{}
	for _, c := range base.Complaints {
		total.add(players[1].play(base, c, max(*visits, 100)))
	}
	for k := 3; k < 10; k++ {
		b := total.bins[k]
		if b[0] < 20 {
			continue
		}
		share, middle := b[1]/b[0], (float64(k)+.5)/10
		slack := .05 + 3*math.Sqrt(middle*(1-middle)/b[0])
		assert.InDelta(t, middle, share, slack, "belief .%d: %.0f visits", k, b[0])
	}
}
