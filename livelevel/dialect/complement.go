package dialect

import (
	"math"
	"slices"

	"example.org/tankhand/livelevel"
)

// fillsUp judges b, which falls as a rises, where both add up to the same number in every report: then b is the
// height of the water under a sensor whose distance a is, in the same unit. Between 3 and 105 it may as well be a
// percent between marks a hundred apart; then neither is the surer, and only a label or a unit can tell.
func (a *scored) fillsUp(b *scored) bool {
	if a.c.unit != b.c.unit && a.c.unit != nil && b.c.unit != nil || b.c.unit != nil && b.c.unit.dim != length || !a.addsUp(b) {
		return false
	}
	height, share := 1.6, 1.6
	if b.f.hi < 3 || b.f.hi > 105 {
		share = 0
	}
	b.bonus[livelevel.LevelHeight] = max(b.bonus[livelevel.LevelHeight], height)
	b.bonus[livelevel.LevelPercent] = max(b.bonus[livelevel.LevelPercent], share)
	a.bonus[livelevel.Ullage] = max(a.bonus[livelevel.Ullage], 1.2)
	return true
}

// addsUp tells whether nearly all reports have the same sum of both columns, to a few of their last digits or to the
// noise of one that is filtered, while both move much farther than that.
func (a *scored) addsUp(b *scored) bool {
	if a.f.decimals != b.f.decimals {
		return false
	}
	var sums []float64
	for row, v := range a.c.nums {
		if w, ok := b.c.nums[row]; ok && !slices.Contains(a.f.lost, v) && !slices.Contains(b.f.lost, w) {
			sums = append(sums, v+w)
		}
	}
	if len(sums) < 8 {
		return false
	}
	slices.Sort(sums)
	few := 2.1 / pow10[min(a.f.decimals, len(pow10)-1)]
	n, moved := len(sums), min(a.f.hi-a.f.lo, b.f.hi-b.f.lo)
	return sums[n*94/100]-sums[n*6/100] <= max(few, 0.06*moved) && moved > 10*few
}

// ofAnotherTank tells whether a second distance is not the same one before the filter: it lies elsewhere, or it
// moves without the first. Only a word like "raw" says otherwise.
func (s *scored) ofAnotherTank(first *scored) bool {
	if first == nil || first == s || anyOf(labelWords(s.c.label), rawWords) || anyOf(labelWords(first.c.label), smoothWords) {
		return false
	}
	a, b := first.got.unit, s.c.unit
	if a == nil {
		return false
	}
	if b == nil {
		b = a
	}
	med := b.si(s.f.med)
	if math.Abs(med-a.si(first.f.med)) > 0.15*med {
		return true
	}
	r, n := against(first.c, s.c, first.f.lost, s.f.lost)
	return n >= 12 && r < 0.5 && first.travels() && s.travels()
}

// travels tells whether a column moves by far more than any noise.
func (s *scored) travels() bool { return s.f.hi-s.f.lo > 0.15*s.f.med }

// twins sets back the columns of a second tank: where labels are the same but for a numeral, the lowest one is
// the tank that is meant until the technician says otherwise.
func twins(cols []*scored) {
	first := map[string]*scored{}
	for _, s := range cols {
		name, numeral := unnumbered(s.c.at)
		if !numeral || !hasLetter([]byte(name)) {
			continue
		}
		later := first[name]
		switch {
		case later == nil:
			first[name] = s
			continue
		case s.c.at < later.c.at:
			first[name] = s
		default:
			later = s
		}
		for _, r := range levelRoles {
			later.bonus[r] -= anotherTank
		}
	}
}

const anotherTank = 1.5 // weighs less than what the values show

// unnumbered is a label with a sign for each of its digits, and whether it has one.
func unnumbered(label string) (string, bool) {
	b := []byte(label)
	found := false
	for i, c := range b {
		if isDigit(c) {
			b[i], found = '#', true
		}
	}
	return string(b), found
}
