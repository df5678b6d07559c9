package rig

import "fmt"

// test is what a technician does to the installation for a while; it is put back by itself.
type test struct {
	id     string
	until  float64
	effect func(c *conditions)
}

// action is what doing a prompted probe does.
type action struct {
	lasts  float64 // s, 0 for something done in an instant
	effect func(c *conditions)
	now    func(i *Installation)
}

// Do carries out what a technician does: the remedy of a cause, or the action of a prompted probe. A remedy
// of a cause that is not there changes nothing but the technician's time.
func (i *Installation) Do(id string) error {
	if _, ok := catalogue[id]; ok {
		i.mend(id)
		return nil
	}
	a, ok := actions[id]
	if !ok {
		return fmt.Errorf("doing %q on the practice rig: it is no cause that can be mended and no probe with an action", id)
	}
	if a.now != nil {
		a.now(i)
	}
	if a.effect != nil {
		i.tests = append(i.tests, test{id, i.now + a.lasts, a.effect})
		i.recompute()
	}
	return nil
}

// mend takes the fault out, with the damage that would otherwise keep it alive.
func (i *Installation) mend(id string) {
	for k := range i.faults {
		if i.faults[k].ID == id {
			i.faults[k].mended, i.faults[k].present = true, false
		}
	}
	i.recompute()
	i.pump.air, i.pump.source = 0, sourceHolds
	i.pump.tripped, i.pump.heat = false, 0
	i.elec.stuckUntil = 0
	if i.board.hung || id == "program-gone" || id == "boot-strap" || id == "hung-on" || id == "bus-stuck" {
		i.restart("power-on")
	}
}

func (i *Installation) endTests() bool {
	kept := i.tests[:0]
	for _, t := range i.tests {
		if i.now < t.until {
			kept = append(kept, t)
		}
	}
	ended := len(kept) != len(i.tests)
	i.tests = kept
	return ended
}

// tested tells whether a test is under way.
func (i *Installation) tested(id string) bool {
	for _, t := range i.tests {
		if t.id == id {
			return true
		}
	}
	return false
}
