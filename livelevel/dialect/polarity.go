package dialect

import (
	"slices"
	"sort"

	"example.org/tankhand/livelevel"
)

// doubleEdged are states that one controller uses for on and another for off: a closed contact runs the
// pump, a closed valve does not.
const doubleEdged = " open closed shut "

// polarity finds out what each flag says for on and for off. A word not known is the other one of a known
// word; of two, the water tells which.
func polarity(cols []*scored) {
	for _, s := range cols {
		switch s.role {
		case livelevel.Pump, livelevel.Demand, livelevel.Button, livelevel.Mode:
		default:
			continue
		}
		on, off, other := s.stateWords()
		all := slices.Concat(on, off, other)
		switch {
		case s.f.two && s.role == livelevel.Pump && len(all) == 2 && (len(other) == 2 || edged(all[0]) && edged(all[1])):
			on, off = s.byWater(cols, all[0], all[1], len(on) == 1 && len(off) == 1)
		case len(other) == 1 && len(on) == 0 && len(off) > 0:
			on = other
		case len(other) == 1 && len(off) == 0 && len(on) > 0:
			off = other
		}
		if s.f.n > 0 {
			on, off = append(on, "1"), append(off, "0")
		}
		if s.on, s.off = on, off; s.f.n == 0 && len(on)+len(off) == 0 {
			s.role, s.conf = livelevel.Ignore, 0
		}
	}
}

func edged(w string) bool { return anyOf([]string{fold(w)}, doubleEdged) }

// stateWords sorts the words of a flag; other are those not known, but for rare ones.
func (s *scored) stateWords() (on, off, other []string) {
	for w, n := range s.c.words {
		switch k := stateOf([]byte(w)); {
		case k == wordOn || k == wordAuto:
			on = append(on, w)
		case k == wordOff || k == wordManual:
			off = append(off, w)
		case k == 0 && w != "" && n >= 3:
			other = append(other, w)
		}
	}
	sort.Strings(on)
	sort.Strings(off)
	sort.Strings(other)
	return on, off, other
}

// byWater tells which of two words is on: that under which the tank fills. When the water does not tell,
// a is on if that is what the words usually mean, else it is not known.
func (s *scored) byWater(cols []*scored, a, b string, usual bool) (on, off []string) {
	flag := map[int]float64{}
	for row, w := range s.c.said {
		if w == a {
			flag[row] = 1
		} else if w == b {
			flag[row] = 0
		}
	}
	turned := map[int]float64{}
	for row, v := range flag {
		turned[row] = 1 - v
	}
	for _, c := range cols {
		sign := 1.0
		switch {
		case c.role == livelevel.Ullage || c.role == livelevel.Echo || c.role == livelevel.UllageRaw:
		case slices.Contains(levelRoles, c.role):
			sign = -1
		default:
			continue
		}
		if sign*drive(c.c, flag, c.f.lost) > driven {
			return []string{a}, []string{b}
		}
		if sign*drive(c.c, turned, c.f.lost) > driven {
			return []string{b}, []string{a}
		}
	}
	if usual {
		return []string{a}, []string{b}
	}
	return nil, nil
}
