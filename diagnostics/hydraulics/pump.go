// Package hydraulics holds the water side of a level controller: flow from level, pump cycles, suction
// and the properties of water. All values are in SI units, temperatures in degrees Celsius.
package hydraulics

import "math"

// Gravity is the standard acceleration of free fall, m/s2.
const Gravity = 9.80665

// Flow into a tank from the rise of its level: surface (m2) times rate (m/s). It is the net of all
// that comes and goes.
func Flow(surface, rate float64) float64 { return surface * rate }

// Cycle is one run and one rest of a pump.
type Cycle struct{ Run, Rest float64 } // s

// PumpCycle is for the volume between stop and start, the pump's flow and a steady draw, all SI. With a
// draw of the pump's flow or more the pump never stops (Run is +Inf), without any it never starts.
func PumpCycle(volume, pump, draw float64) Cycle {
	c := Cycle{Run: math.Inf(1), Rest: math.Inf(1)}
	if draw < pump {
		c.Run = volume / (pump - draw)
	}
	if draw > 0 {
		c.Rest = volume / draw
	}
	return c
}

// Period is run and rest together, s.
func (c Cycle) Period() float64 { return c.Run + c.Rest }

// StartsPerHour is how often the pump starts.
func (c Cycle) StartsPerHour() float64 { return 3600 / c.Period() }

// ShortestCycle is the shortest period that any draw can cause, s: 4V/Q, at a draw of half the pump's
// flow (MIL-HDBK-1005/9A, 2.5.3.6; EI 11C201, 1997, V = tq/4).
func ShortestCycle(volume, pump float64) float64 { return 4 * volume / pump }

// VolumeFor is the switching volume that keeps the period at least that long, m3.
func VolumeFor(period, pump float64) float64 { return period * pump / 4 }

// Affinity scales flow, head and power of a pump from one speed to another (textbook).
func Affinity(n1, n2, flow, head, power float64) (flow2, head2, power2 float64) {
	r := n2 / n1
	return flow * r, head * r * r, power * r * r * r
}

// HydraulicPower is what the water receives, W: density (kg/m3), flow (m3/s), head (m).
func HydraulicPower(density, flow, head float64) float64 { return density * Gravity * flow * head }

// Velocity in a pipe of an inside diameter, m/s.
func Velocity(flow, diameter float64) float64 { return flow / (math.Pi / 4 * diameter * diameter) }
