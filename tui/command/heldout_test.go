package command

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/rig"
	"example.org/tankhand/tui/plain"
)

// heldOut is how much of the visits to play: the whole table is `go test ./tui/command -run HeldOut -heldout all -v`.
var heldOut = flag.String("heldout", "", "all: every pair, every form of the feed, answers whole and halved")

// pair is a complaint and one of the causes behind it.
type pair struct{ complaint, cause string }

func pairs(base *knowledge.Base) (out []pair) {
	for _, c := range base.Complaints {
		for _, cause := range c.Causes {
			out = append(out, pair{c.ID, cause})
		}
	}
	return out
}

// logDialects are those in which the visits of this test are logged: with a clock of their own, and without.
var logDialects = []string{"key-value", "csv", "json", "log", "workshop-board", "nmea", "block"}

// clockless dialects need the interval between their lines to be told.
var clockless = map[string]bool{"workshop-board": true, "nmea": true, "sparse": true}

// heldVisit is one visit on paper: the log of a feed, the site sheet and what a technician found on site.
type heldVisit struct {
	pair
	dialect string
	seed    uint64
	share   float64 // of the probes that are answered
	vague   bool    // what is not answered cannot be told, rather than not looked at
	noSheet bool
}

// play writes the files of a visit and lets the program walk through them.
func (v heldVisit) play(t *testing.T, base *knowledge.Base) (cause string, result plain.Result) {
	dir := t.TempDir()
	args := append([]string{"walk", v.complaint, "--json", "--data", filepath.Join(dir, "data")}, v.files(t, base, dir)...)
	out, errs, status := run(t, args...)
	require.NotEqual(t, 2, status, "%v: %s", args, errs)
	require.NoError(t, json.Unmarshal([]byte(out), &result), out)
	if result.Cause == nil {
		return "", result
	}
	return *result.Cause, result
}

// files writes log, sheet and answers, and returns the words that name them.
func (v heldVisit) files(t *testing.T, base *knowledge.Base, dir string) (args []string) {
	installation, err := rig.New(rig.Options{Seed: v.seed, Dialect: v.dialect, Faults: v.faults()})
	require.NoError(t, err)
	write := func(flag, name string, data []byte) {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, data, 0o600))
		args = append(args, flag, path)
	}
	var log []byte
	var refused interface{ PortRefusal() string }
	if err := installation.Connect(); err == nil {
		for range 40 {
			log = append(log, installation.Advance(time.Minute)...)
		}
	} else if errors.As(err, &refused) {
		installation.Advance(40 * time.Minute)
	}
	switch {
	case refused != nil: // there is no log of a port that does not open
		args = append(args, "--rig", v.cause, "--listen", "2s")
	default:
		write("--file", "feed.log", log)
		if clockless[v.dialect] {
			args = append(args, "--interval", "100ms")
		}
	}
	if !v.noSheet && refused == nil {
		write("--site", "site.yaml", []byte(installation.SheetText()))
	}
	write("--answers", "answers.yaml", v.answers(installation, base))
	return args
}

// answers are what the technician wrote down.
func (v heldVisit) answers(i *rig.Installation, base *knowledge.Base) []byte {
	r := rand.New(rand.NewPCG(v.seed, 5))
	var text strings.Builder
	text.WriteString("answers:\n")
	for _, c := range base.Complaints {
		if c.ID != v.complaint {
			continue
		}
		for _, id := range c.Probes {
			p := base.Probes[id]
			if p.Kind == "watch" {
				continue
			}
			word, value, ok := i.Answer(id, p.Answers)
			if left := r.Float64() >= v.share; left && v.vague {
				word, value, ok = "cannot-tell", math.NaN(), true
			} else if left {
				continue
			}
			switch {
			case !ok:
			case p.Unit != "" && !math.IsNaN(value) && !v.noSheet:
				fmt.Fprintf(&text, "  %s: %.4g %s\n", id, value, p.Unit)
			default:
				fmt.Fprintf(&text, "  %s: %q\n", id, word)
			}
		}
	}
	return []byte(text.String())
}

// score counts visits.
type score struct {
	mu                   sync.Mutex
	right, wrong, handed int
	lines                []string
	named                map[pair]string // what was named instead of the cause; "" where it was handed on
}

func (s *score) add(v heldVisit, got string, r plain.Result) {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch got {
	case v.cause:
		s.right++
		return
	case "":
		s.handed++
	default:
		s.wrong++
	}
	s.named[v.pair] = got
	if got == "" {
		got = "handed on"
	}
	top := ""
	for i := 0; i < 4 && i < len(r.Suspects); i++ {
		top += fmt.Sprintf(" %s %.2f", r.Suspects[i].Cause, r.Suspects[i].Probability)
	}
	s.lines = append(s.lines, fmt.Sprintf("%-18s %-24s %-14s -> %-24s %s", v.complaint, v.cause, v.dialect, got, top))
	if os.Getenv("HELD_STEPS") != "" {
		for _, l := range r.Steps {
			s.lines = append(s.lines, fmt.Sprintf("        %s%s = %s (%s)", l.Probe, l.Remedy, l.Answer, l.Why))
		}
	}
}

func playAll(t *testing.T, base *knowledge.Base, visit func(k int, p pair) heldVisit) *score {
	s := &score{named: map[pair]string{}}
	var wg sync.WaitGroup
	slots := make(chan bool, 2)
	for k, p := range pairs(base) {
		wg.Go(func() {
			slots <- true
			defer func() { <-slots }()
			v := visit(k, p)
			got, r := v.play(t, base)
			s.add(v, got, r)
		})
	}
	wg.Wait()
	return s
}

func seedOf(p pair) uint64 {
	h := fnv.New32a()
	h.Write([]byte(p.complaint + p.cause))
	return uint64(h.Sum32())
}

// held are the kinds of held-out visits: how the feed was logged, and how much the technician found.
var held = map[string]func(k int, p pair) heldVisit{
	"everything answered": func(_ int, p pair) heldVisit {
		return heldVisit{pair: p, dialect: logDialects[seedOf(p)%uint64(len(logDialects))], seed: seedOf(p), share: 1}
	},
	"again": func(k int, p pair) heldVisit {
		return heldVisit{pair: p, dialect: logDialects[(k+3)%len(logDialects)], seed: seedOf(p) + 1, share: 1}
	},
	"half answered": func(k int, p pair) heldVisit {
		return heldVisit{pair: p, dialect: logDialects[(k+1)%len(logDialects)], seed: seedOf(p), share: .5}
	},
	"half cannot be told": func(k int, p pair) heldVisit {
		return heldVisit{pair: p, dialect: logDialects[(k+2)%len(logDialects)], seed: seedOf(p) + 2, share: .5, vague: true}
	},
	"no site sheet": func(k int, p pair) heldVisit {
		return heldVisit{pair: p, dialect: logDialects[(k+4)%len(logDialects)], seed: seedOf(p) + 3, share: 1, noSheet: true}
	},
}

// TestAHealthyInstallationIsNotBlamed lets customers complain of installations in good order, with all answers: no
// cause is named, whatever the complaint.
func TestAHealthyInstallationIsNotBlamed(t *testing.T) {
	base, err := loadKnowledge()
	require.NoError(t, err)
	for k, c := range base.Complaints {
		t.Run(c.ID, func(t *testing.T) {
			v := heldVisit{pair: pair{c.ID, healthy}, dialect: logDialects[k%len(logDialects)], seed: uint64(77 + k), share: 1}
			got, r := v.play(t, base)
			assert.Empty(t, got)
			assert.Equal(t, "handed-on", r.Outcome)
		})
	}
}

func TestHeldOutVisits(t *testing.T) {
	if testing.Short() {
		t.Skip("hundreds of visits take too long under the race detector")
	}
	base, err := loadKnowledge()
	require.NoError(t, err)
	for name, visit := range held {
		if name != "everything answered" && *heldOut != "all" && *heldOut != name {
			continue
		}
		t.Run(name, func(t *testing.T) {
			s := playAll(t, base, visit)
			for _, l := range s.lines {
				t.Log(l)
			}
			t.Logf("%d right, %d wrong, %d handed on", s.right, s.wrong, s.handed)
			if name == "everything answered" {
				assertAsKnown(t, s)
				return
			}
			// Half of the answers leave half of the visits without a clear leader; a wrong name is worse than none.
			least := 125
			if strings.HasPrefix(name, "half") {
				least = 65
			}
			assert.Greater(t, s.right, least)
			assert.LessOrEqual(t, s.wrong, 6)
		})
	}
}

// elsewhere are the visits with all answers in which another cause is named, or none, and why that is right or what
// is lacking. The list may only get shorter.
var elsewhere = map[pair]string{
	{"erratic-reading", "tilt"}: "it jumps only as the pump stirs the water, and rocking is done with the pump held: " +
		"nothing but its lean tells it from noise of the pump",
	{"wrong-reading", "tilt"}:            "the reading agrees with the dip stick at the hour of the visit, so nothing is wrong to be found",
	{"pump-runs-dry", "no-dry-guard"}:    "the source is empty, too, and that is mended first; the guard is asked for with its remedy",
	{"pump-wont-start", "wall-echo"}:     "nothing shows at the hour of the visit that a sound installation would not show",
	{"pump-wont-stop", "face-wet"}:       "the face is wet, but the reading is right and the pump stops where it should while somebody looks",
	{"pump-wont-stop", "transducer-wet"}: "the pump stands and stops where it should while somebody looks",
}

// assertAsKnown holds that every cause is named under every complaint that lists it, but for the known exceptions.
func assertAsKnown(t *testing.T, s *score) {
	for p, got := range s.named {
		assert.Contains(t, elsewhere, p, "%s behind %s: named %q", p.cause, p.complaint, got)
	}
	for p, why := range elsewhere {
		assert.Contains(t, s.named, p, "%s behind %s is named, it may leave the list: %s", p.cause, p.complaint, why)
	}
}

// faults are those of the installation; a healthy one has none.
func (v heldVisit) faults() []rig.Fault {
	if v.cause == healthy {
		return nil
	}
	return []rig.Fault{{ID: v.cause}}
}

// healthy stands for an installation in good order.
const healthy = "healthy"
