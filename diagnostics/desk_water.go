package diagnostics

import (
	"fmt"
	"math"
	"strings"

	"example.org/tankhand/diagnostics/hydraulics"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
)

// switchAt is where the pump starts or stops, as distance from the face; NaN where it is not known.
func switchAt(s *site.Sheet, m site.Mark) float64 {
	if d, ok := s.SwitchAt(m); ok {
		return d
	}
	return math.NaN()
}

// fullSet is where the pump stops: the full mark when the sheet does not say.
func fullSet(s *site.Sheet) float64 {
	if s.Marks.FullSet.Known() {
		return switchAt(s, s.Marks.FullSet)
	}
	if s.Marks.Full.Known() {
		return s.Marks.Full.V
	}
	return math.NaN()
}

// pumpFlow is what the pump brings: as it was well, else as its plate says.
func pumpFlow(d *desk, s *site.Sheet) float64 {
	if s.Pump.HealthyFlow.Known() {
		return d.use("pump.healthy_flow", s.Pump.HealthyFlow)
	}
	return d.need("pump.rated_flow", s.Pump.RatedFlow, "the pump's plate, or time a rise of 10 cm with nothing drawn")
}

// worstStarts is how often an hour the pump starts at the worst draw; 0 where the sheet does not tell.
func worstStarts(s *site.Sheet) float64 {
	flow := s.Pump.HealthyFlow.Or(s.Pump.RatedFlow.Or(0))
	if s.Tank.Shape == nil || !s.Sensor.FaceHeight.Known() {
		return 0
	}
	face := s.Sensor.FaceHeight.V
	volume := s.Tank.Shape.Volume(face-fullSet(s)) - s.Tank.Shape.Volume(face-switchAt(s, s.Marks.LowSet))
	if !(flow > 0) || !(volume > 0) {
		return 0
	}
	return 3600 / hydraulics.ShortestCycle(volume, flow)
}

func pumpCycle(d *desk, s *site.Sheet) {
	d.need("marks.full", s.Marks.Full, howFull)
	d.need("marks.empty", s.Marks.Empty, howEmpty)
	d.need("marks.low_set", s.Marks.LowSet.Fact, "the controller's settings: below which level the pump starts")
	face := d.need("sensor.face_height", s.Sensor.FaceHeight, howFace)
	if s.Tank.Shape == nil {
		d.lacks("tank", "shape and inside sizes, by tape or from the plate")
	}
	flow := pumpFlow(d, s)
	most, source := StartsLimit(s)
	d.limit("T = 4V/Q, MIL-HDBK-1005/9A, 2.5.3.6; starts: "+source, "at most %.3g starts an hour at the worst draw", most)
	if d.short() || !(flow > 0) {
		return
	}
	low, full := face-switchAt(s, s.Marks.LowSet), face-fullSet(s)
	volume := s.Tank.Shape.Volume(full) - s.Tank.Shape.Volume(low)
	cycle := hydraulics.ShortestCycle(volume, flow)
	d.figure("switching_volume_m3", volume, "m3")
	d.figure("shortest_cycle_s", cycle, "s")
	d.figure("starts_per_h_worst", 3600/cycle, "1/h")
	if volume <= 0 {
		d.f.Figures = nil
		d.verdict(false, "the pump starts at %s and stops at %s above the bottom: there is no water between", d.metres(low), d.metres(full))
		d.change("set the start below the stop")
		return
	}
	ok := 3600/cycle <= most
	d.verdict(ok, "%s lies between start and stop: at worst %.1f starts an hour, when half of the pump's flow is drawn", d.show(volume, quantity.Volume), 3600/cycle)
	if !ok {
		need := hydraulics.VolumeFor(3600/most, flow)
		start := s.Tank.Shape.Level(s.Tank.Shape.Volume(full) - need)
		d.change("start at %s above the bottom or lower: %s between start and stop gives %.3g starts an hour", d.metres(start), d.show(need, quantity.Volume), most)
		if need > s.Tank.Shape.Volume(full) {
			d.change("the tank is too small for this pump: %s between start and stop is needed; throttle it or add volume", d.show(need, quantity.Volume))
		}
	}
}

func suctionLift(d *desk, s *site.Sheet) {
	lift := d.need("pump.suction_lift", s.Pump.SuctionLift, "height of the pump above the water it sucks from, at its lowest; 0 when the water stands above the pump")
	theory := hydraulics.SuctionLimit(0, 20)
	d.figure("suction_lift_m", lift, "m")
	d.figure("theoretical_m", theory, "m")
	d.limit("trade table (22 ft); air pressure after the U.S. Standard Atmosphere 1976, vapour pressure after IAPWS, assumed at sea level and 20 degC",
		"at most %s; what the air can do at all is %s", d.metres(hydraulics.PracticalLift), d.metres(theory))
	if d.short() {
		return
	}
	ok := lift <= hydraulics.PracticalLift
	d.verdict(ok, "the pump lifts %s; pipe losses and the pump's own need come on top, and %s of altitude takes %s off",
		d.metres(lift), d.metres(1000), d.metres(theory-hydraulics.SuctionLimit(1000, 20)))
	if !ok {
		d.change("set the pump at least %s lower, or use a submersible one", d.metres(lift-hydraulics.PracticalLift))
	}
}

func marksSane(d *desk, s *site.Sheet) {
	full := d.need("marks.full", s.Marks.Full, howFull)
	empty := d.need("marks.empty", s.Marks.Empty, howEmpty)
	d.figure("full_m", full, "m")
	d.figure("empty_m", empty, "m")
	d.limit("the meaning of the marks", "full nearer than empty, outside the blanking distance, below the overflow; low set between outlet and full")
	if d.short() {
		return
	}
	bad, change := marksMistakes(d, s, full, empty)
	if len(bad) == 0 {
		d.verdict(true, "the marks agree with the rest of the sheet%s", notSaid(s))
		return
	}
	d.verdict(false, "%s", strings.Join(bad, "; "))
	d.change("%s", strings.Join(change, "; "))
}

// notSaid names what the marks could not be held against.
func notSaid(s *site.Sheet) string {
	var out []string
	for _, k := range []struct {
		name string
		fact site.Fact
	}{
		{"the blanking distance", s.Sensor.Blanking}, {"the tank's bottom", s.Sensor.FaceHeight}, {"the overflow", s.Tank.Overflow},
		{"the outlet", s.Tank.Outlet}, {"the low set", s.Marks.LowSet.Fact},
	} {
		if !k.fact.Known() {
			out = append(out, k.name)
		}
	}
	if len(out) == 0 {
		return ""
	}
	return ", which does not say where these are: " + strings.Join(out, ", ")
}

// marksMistakes lists what is wrong with the marks and what to do; facts that are not known are left out.
func marksMistakes(d *desk, s *site.Sheet, full, empty float64) (bad, change []string) {
	add := func(what, todo string) { bad, change = append(bad, what), append(change, todo) }
	blank, face := d.use("sensor.blanking", s.Sensor.Blanking), d.use("sensor.face_height", s.Sensor.FaceHeight)
	overflow, outlet := d.use("tank.overflow", s.Tank.Overflow), d.use("tank.outlet", s.Tank.Outlet)
	low, stop := switchAt(s, s.Marks.LowSet), fullSet(s)
	if full >= empty {
		add(fmt.Sprintf("full (%s) is not nearer to the sensor than empty (%s): swapped", d.metres(full), d.metres(empty)), "teach both marks anew")
	}
	if full < blank {
		add(fmt.Sprintf("full (%s) lies inside the blanking distance (%s)", d.metres(full), d.metres(blank)), "raise the sensor or teach full lower")
	}
	if empty > face {
		add(fmt.Sprintf("empty (%s) lies below the tank's bottom (%s)", d.metres(empty), d.metres(face)), "teach empty anew, or measure the mounting height")
	}
	if face-full > overflow {
		add(fmt.Sprintf("full stands at %s, above the overflow at %s: the pump never stops", d.metres(face-full), d.metres(overflow)),
			fmt.Sprintf("teach full at %s or farther", d.metres(face-overflow+leastBlanking)))
	}
	if low <= stop {
		add("the pump would start above where it stops", "set the start below the stop")
	}
	if face-low < outlet {
		add(fmt.Sprintf("the pump starts at %s, below the outlet at %s: the users run dry first", d.metres(face-low), d.metres(outlet)),
			fmt.Sprintf("start at %s or higher", d.metres(outlet+0.05)))
	}
	return bad, change
}
