package faulttree

import (
	"cmp"
	"slices"
)

// Tree is the printed fault tree: as many boxes as a page holds, opened where a visit gains most by
// them. A branch that is not opened ends in its suspects and their remedies, so there are no dead ends.
type Tree struct {
	Complaint string `json:"complaint"`
	Title     string `json:"title"`
	Opening   string `json:"opening"`
	Root      *Box   `json:"root"`
	// Remedies are those of all suspects named in leaves, each once, likeliest before the visit first.
	Remedies []TreeSuspect `json:"remedies"`
	Figures  TreeFigures   `json:"figures"`
}

// Box is a probe with its branches, or a leaf: suspects, and the remedy to begin with.
type Box struct {
	Number   int           `json:"number,omitempty"`
	Reach    float64       `json:"reach"` // share of visits that come here
	Probe    string        `json:"probe,omitempty"`
	Ask      string        `json:"ask,omitempty"`
	Kind     string        `json:"kind,omitempty"`
	Minutes  float64       `json:"minutes,omitempty"`
	Good     string        `json:"good,omitempty"`
	Cautions []Caution     `json:"cautions,omitempty"`
	Branches []Twig        `json:"branches,omitempty"`
	Suspects []TreeSuspect `json:"suspects,omitempty"`
	HandOn   bool          `json:"hand_on,omitempty"`

	state  state
	choice choice
	depth  int
}

// Twig is one answer and where it leads.
type Twig struct {
	Answer string `json:"answer"`
	Box    *Box   `json:"box"`
}

// TreeSuspect is one line of a leaf.
type TreeSuspect struct {
	Cause       string  `json:"cause"`
	Title       string  `json:"title"`
	Remedy      string  `json:"remedy,omitempty"`
	Probability float64 `json:"probability"`
}

// TreeFigures say what the tree is worth, weighed by how often visits end in each leaf.
type TreeFigures struct {
	Boxes    int     `json:"boxes"`
	To1      float64 `json:"isolated_to_1"` // share of visits that end with one cause holding 90 % of the belief
	To2      float64 `json:"isolated_to_2"`
	To3      float64 `json:"isolated_to_3"`
	Group    float64 `json:"mean_group"`
	Minutes  float64 `json:"expected_minutes"`
	TopRight float64 `json:"top_suspect_right"`
}

// PageBoxes fit on one page.
const (
	PageBoxes = 18
	maxDepth  = 8
	groupHeld = 0.90 // of the belief that a leaf's group of suspects holds
)

// Tree grows the fault tree from where the walk stands, with at most so many boxes.
func (w Walk) Tree(boxes int) Tree {
	if w.env == nil {
		return Tree{}
	}
	g := grower{w: w, m: w.env.m}
	s := w.situateFor(true)
	root := g.leaf(s.state, 1, 0)
	leaves := []*Box{root}
	for n := 0; n < boxes; n++ {
		i := worthiest(leaves)
		if i < 0 {
			break
		}
		b := leaves[i]
		leaves = slices.Delete(leaves, i, i+1)
		leaves = append(leaves, g.open(b)...)
	}
	g.number(root)
	t := Tree{Complaint: w.Complaint.ID, Title: w.Complaint.Title, Opening: w.Complaint.Opening, Root: root}
	t.Remedies = g.remedies(root)
	t.Figures = g.figures(root, leaves)
	return t
}

type grower struct {
	w     Walk
	m     *model
	boxes int
}

// leaf makes a branch that is not opened yet.
func (g *grower) leaf(s state, reach float64, depth int) *Box {
	return &Box{Reach: reach, state: s, depth: depth, choice: g.m.next(&s)}
}

// worthiest is the leaf whose opening spares visits most minutes; -1 when none is worth it.
func worthiest(leaves []*Box) int {
	best, most := -1, 0.0
	for i, b := range leaves {
		if b.choice.probe < 0 || b.depth >= maxDepth {
			continue
		}
		if worth := b.Reach * (b.choice.swap - b.choice.value); best < 0 || worth > most {
			best, most = i, worth
		}
	}
	return best
}

// open turns a leaf into a box and returns its new leaves.
func (g *grower) open(b *Box) (leaves []*Box) {
	p := g.w.env.base.Probes[g.m.probes[b.choice.probe].id]
	o := g.w.asked(p)
	b.Probe, b.Ask, b.Kind, b.Good, b.Cautions = p.ID, p.Ask, p.Kind, o.Good, o.Cautions
	b.Minutes = g.m.minutes(&b.state, b.choice.probe)
	chances := g.m.chances(b.state.weight, b.choice.probe)
	for a, word := range p.Answers {
		next := b.state.clone()
		g.m.take(&next, b.choice.probe, a)
		leaf := g.leaf(next, b.Reach*chances[a], b.depth+1)
		b.Branches = append(b.Branches, Twig{Answer: word, Box: leaf})
		leaves = append(leaves, leaf)
	}
	return leaves
}

// number counts the boxes in reading order and fills in the leaves.
func (g *grower) number(b *Box) {
	if b.Probe == "" {
		g.fill(b)
		return
	}
	g.boxes++
	b.Number = g.boxes
	for _, t := range b.Branches {
		g.number(t.Box)
	}
}

// fill lists a leaf's suspects: those of its group, three at most.
func (g *grower) fill(b *Box) {
	b.HandOn = b.choice.probe < 0 && b.choice.cause < 0
	for _, c := range byWeight(b.state.weight)[:min(3, len(b.state.weight))] {
		if len(b.Suspects) > 0 && b.state.weight[c] < 0.05 {
			break
		}
		s := TreeSuspect{Cause: g.m.causes[c], Title: g.w.causeTitle(g.m.causes[c]), Probability: b.state.weight[c]}
		if cause := g.w.env.base.Causes[s.Cause]; cause != nil {
			s.Remedy = cause.Remedy
		}
		b.Suspects = append(b.Suspects, s)
	}
}

// remedies lists the suspects of all leaves once.
func (g *grower) remedies(root *Box) (out []TreeSuspect) {
	named := map[string]bool{Unlisted: true}
	root.each(func(b *Box) {
		for _, s := range b.Suspects {
			if !named[s.Cause] {
				named[s.Cause] = true
				s.Probability = g.m.prior[g.m.place[s.Cause]]
				out = append(out, s)
			}
		}
	})
	slices.SortStableFunc(out, func(a, b TreeSuspect) int { return cmp.Compare(b.Probability, a.Probability) })
	return out
}

// figures weighs the leaves by how often visits end there.
func (g *grower) figures(root *Box, leaves []*Box) TreeFigures {
	f := TreeFigures{Boxes: g.boxes}
	root.each(func(b *Box) {
		if b.Probe != "" {
			f.Minutes += b.Reach * g.m.cost(&b.state, b.choice.probe)
		}
	})
	for _, b := range leaves {
		order := byWeight(b.state.weight)
		held, group := 0.0, 0
		for held < groupHeld*sum(b.state.weight) && group < len(order) {
			held += b.state.weight[order[group]]
			group++
		}
		f.Group += b.Reach * float64(group)
		f.TopRight += b.Reach * b.state.weight[order[0]]
		for n, share := range map[int]*float64{1: &f.To1, 2: &f.To2, 3: &f.To3} {
			if group <= n {
				*share += b.Reach
			}
		}
		f.Minutes += b.Reach * b.choice.swap
	}
	return f
}

// each calls do with this box and all below, in reading order.
func (b *Box) each(do func(*Box)) {
	do(b)
	for _, t := range b.Branches {
		t.Box.each(do)
	}
}
