package faulttree

import (
	"math"
	"slices"
	"strings"

	"example.org/tankhand/faulttree/knowledge"
)

// The figures of the rule. They are engineering judgement; simulate_test.go measures what they do.
const (
	floorMix     = 0.98  // of a row is kept; the rest is spread evenly, so no cause ever reaches zero
	unlistedMix  = 0.70  // of the usual row that makes the row of Unlisted; the rest is spread evenly
	handOnCost   = 180.0 // minutes of a second visit
	wrongRepair  = 20.0  // what a repair in vain counts beyond its minutes when the next step is chosen
	noRepair     = 40.0  // what handing on counts beyond its minutes then
	actAt        = 0.70  // belief below which a remedy is said to be a try
	quickCost    = 8.0   // up to this cost a harmless remedy is quick
	worthBits    = 0.10  // what a passed-over probe must bring to be named when handing on
	remedyBranch = 0.10  // belief from which the look-ahead considers a remedy
	dearPart     = 20.0  // minutes charged for a dear part, so that nobody swaps it on a hunch
	cheapPart    = 5.0
)

// model is one complaint in numbers. The last cause is Unlisted; it has no remedy.
type model struct {
	causes []string
	prior  []float64
	fix    []float64 // weighed minutes of remedy, proof and parts
	real   []float64 // the minutes themselves: remedy and proof
	works  []float64
	quick  []bool
	bar    []bool // remedies never offered
	probes []probeModel
	setups []float64 // minutes by bit of needs
	handOn float64
	index  map[string]int // probe id -> place in probes
	place  map[string]int // cause id -> place in causes
}

// probeModel is one probe in numbers.
type probeModel struct {
	id       string
	words    []string
	like     [][]float64 // answer -> cause -> probability, floored
	cost     float64     // minutes times the weight of its hazards, without set-ups
	minutes  float64
	weight   float64
	needs    uint32
	watch    bool
	window   float64 // minutes of feed
	after    []int
	notAfter []barred
	names    []bool // cause -> has a row of its own here
}

// barred says that a probe is not asked once another gave one of these answers.
type barred struct {
	probe   int
	answers uint16
}

// floor keeps every row away from zero: one slip of the tongue moves the odds of a two-way probe by
// 99 to 1 at most.
func floor(row []float64) []float64 {
	out := make([]float64, len(row))
	for i, p := range row {
		out[i] = floorMix*p + (1-floorMix)/float64(len(row))
	}
	return out
}

// unlistedRow is what an unknown cause would show: mostly the usual, else anything.
func unlistedRow(usual []float64) []float64 {
	out := make([]float64, len(usual))
	for i, p := range usual {
		out[i] = unlistedMix*p + (1-unlistedMix)/float64(len(usual))
	}
	return floor(out)
}

// likelihoods turns rows into answer -> cause; causes without a row show the usual one.
func likelihoods(causes []string, usual []float64, rows map[string][]float64) [][]float64 {
	like := make([][]float64, len(usual))
	for a := range like {
		like[a] = make([]float64, len(causes))
	}
	for c, id := range causes {
		row := usual
		if own, ok := rows[id]; ok {
			row = own
		}
		if id == Unlisted {
			row = unlistedRow(usual)
		} else {
			row = floor(row)
		}
		for a, p := range row {
			like[a][c] = p
		}
	}
	return like
}

// hazardWeights order steps by what they ask of the technician; they never forbid one.
var hazardWeights = map[string]float64{"elv": 1, "drinking-water": 1.1, "height": 1.2, "mains-dead": 1.3, "rotating": 1.3,
	"running-pump": 1.4, "capacitor": 1.4, "dry-run": 1.5, "mains-live": 2, "tank-entry": 3}

func hazardWeight(hazards []string) float64 {
	w := 1.0
	for _, h := range hazards {
		w = math.Max(w, hazardWeights[h])
	}
	return w
}

// setupMinutes are paid once a visit.
var setupMinutes = map[string]float64{"lid": 2, "top": 4, "isolated": 3, "pump-held": 2, "water": 2, "scope": 5, "fast-hold": 2,
	"insulation-tester": 1, "meter": 0, "clamp": 0, "feed": 0, "override": 0, "spare-sensor": 0}

// setupBits gives each set-up its bit, in a fixed order.
var setupBits = func() map[string]uint32 {
	names := make([]string, 0, len(setupMinutes))
	for n := range setupMinutes {
		names = append(names, n)
	}
	slices.Sort(names)
	bits := make(map[string]uint32, len(names))
	for i, n := range names {
		bits[n] = 1 << i
	}
	return bits
}()

func needBits(needs []string) (bits uint32) {
	for _, n := range needs {
		bits |= setupBits[n]
	}
	return bits
}

// setupTable lists minutes by bit.
func setupTable() []float64 {
	t := make([]float64, len(setupBits))
	for n, bit := range setupBits {
		for i := range t {
			if bit == 1<<i {
				t[i] = setupMinutes[n]
			}
		}
	}
	return t
}

// dear tells the parts that are not fitted on a hunch.
func dear(part string) bool {
	words := strings.Fields(part)
	if len(words) == 0 {
		return false
	}
	if part == "float switch" {
		return true
	}
	return slices.Contains([]string{"pump", "board", "sensor", "relay", "contactor", "supply", "display"}, words[len(words)-1])
}

func partsCost(parts []string) float64 {
	cost := 0.0
	for _, p := range parts {
		if dear(p) {
			return dearPart
		}
		cost = cheapPart
	}
	return cost
}

// compile makes a complaint's numbers ready. Learned priors replace the shipped ones where given.
func compile(base *knowledge.Base, c *knowledge.Complaint, opt Options) *model {
	m := &model{handOn: handOnCost, setups: setupTable(), index: map[string]int{}, place: map[string]int{}}
	m.addCauses(base, c, opt)
	for _, id := range c.Probes {
		m.addProbe(base.Probes[id], c, opt)
	}
	for i, id := range c.Probes {
		m.addOrder(&m.probes[i], base.Probes[id])
	}
	return m
}

func (m *model) addCauses(base *knowledge.Base, c *knowledge.Complaint, opt Options) {
	prior := shippedPriors(c)
	if len(opt.Priors) > 0 {
		prior = opt.Priors
	}
	for _, id := range append(slices.Clone(c.Causes), Unlisted) {
		m.place[id] = len(m.causes)
		m.causes = append(m.causes, id)
		m.prior = append(m.prior, prior[id])
		if id == Unlisted {
			break
		}
		cause := base.Causes[id]
		proof := 0.0
		if p := base.Probes[cause.Proof.Probe]; p != nil {
			proof = p.Minutes
		}
		fix := cause.Minutes*hazardWeight(cause.Hazards) + proof + partsCost(cause.Parts)
		m.fix = append(m.fix, fix)
		m.real = append(m.real, cause.Minutes+proof)
		m.works = append(m.works, cause.Works)
		m.quick = append(m.quick, fix <= quickCost && len(cause.Hazards) == 0)
		m.bar = append(m.bar, false)
	}
	normalise(m.prior)
}

// shippedPriors are the complaint's own, Unlisted included.
func shippedPriors(c *knowledge.Complaint) map[string]float64 {
	p := map[string]float64{Unlisted: c.Unlisted}
	for id, v := range c.Priors {
		p[id] = v
	}
	return p
}

func (m *model) addProbe(p *knowledge.Probe, c *knowledge.Complaint, opt Options) {
	usual, rows := rowsFor(p, c)
	w := hazardWeight(hazardsOf(p, opt.Sheet))
	pm := probeModel{id: p.ID, words: p.Answers, like: likelihoods(m.causes, usual, rows), cost: p.Minutes * w, minutes: p.Minutes, weight: w,
		needs: needBits(p.Needs), watch: p.Kind == "watch", window: p.Window.Minutes(), names: make([]bool, len(m.causes))}
	for i, id := range m.causes {
		_, pm.names[i] = rows[id]
	}
	m.index[p.ID] = len(m.probes)
	m.probes = append(m.probes, pm)
}

// rowsFor merges a probe's rows with the complaint's overrides.
func rowsFor(p *knowledge.Probe, c *knowledge.Complaint) (usual []float64, rows map[string][]float64) {
	usual = p.Usual
	if own, ok := c.Usual[p.ID]; ok {
		usual = own
	}
	over := c.Rows[p.ID]
	if len(over) == 0 {
		return usual, p.Rows
	}
	rows = make(map[string][]float64, len(p.Rows)+len(over))
	for id, r := range p.Rows {
		rows[id] = r
	}
	for id, r := range over {
		rows[id] = r
	}
	return usual, rows
}

func (m *model) addOrder(pm *probeModel, p *knowledge.Probe) {
	for _, id := range p.After {
		if i, ok := m.index[id]; ok {
			pm.after = append(pm.after, i)
		}
	}
	for id, answers := range p.NotAfter {
		i, ok := m.index[id]
		if !ok {
			continue
		}
		b := barred{probe: i}
		for _, a := range answers {
			if k := slices.Index(m.probes[i].words, a); k >= 0 {
				b.answers |= 1 << k
			}
		}
		pm.notAfter = append(pm.notAfter, b)
	}
	slices.SortFunc(pm.notAfter, func(a, b barred) int { return a.probe - b.probe })
}
