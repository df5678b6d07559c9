package rig

import "math"

// pump is the pump and its motor. The curve is a parabola through shut-off head and run-out; the system is
// static head plus a resistance that goes with the square of the flow (textbook).
type pump struct {
	powered bool
	turning bool
	humming bool
	flow    float64 // m3/s into the delivery pipe
	current float64 // A
	primed  bool
	air     float64 // share of the suction pipe that is air
	tripped bool
	heat    float64 // of the motor, 1 is where the overload trips
	source  float64 // m3 over the suction while the source is low
	ranFor  float64 // s since it started
	light   float64 // s for which it has drawn too little current
	guarded bool    // the motor-current guard has cut it off, until the contact opens
}

const (
	perHour      = 1.0 / 3600
	shutOffHead  = 24.0          // m
	runOut       = 4.0 * perHour // m3/s at no head
	suctionLift  = 2.0           // m
	deliveryHead = 1.9           // m from the pump to the inlet over the tank
	healthyFlow  = 2.30 * perHour
	suctionMost  = 6.7 // m of lift and suction loss together at which the water column parts; trade table
	runningAmps  = 2.8
	lockedAmps   = 6 * runningAmps // NEC table 430.251(A): six times the running current
	dryAmps      = 0.9
	halfOpenAir  = 0.25 // share of air in the suction at which the pump lets go
)

// pipeResistance makes the duty point of the new pump healthyFlow.
var pipeResistance = (pumpHead(healthyFlow, 1) - suctionLift - deliveryHead) / (healthyFlow * healthyFlow)

func newPump() pump { return pump{primed: true, source: sourceHolds} }

// pumpHead at a flow, wear lowers the whole curve.
func pumpHead(q, health float64) float64 {
	return shutOffHead * health * (1 - (q/runOut)*(q/runOut))
}

// dutyPoint is where the pump's curve meets the system's: H0(1-(Q/Qm)^2) = Hs + kQ^2.
func dutyPoint(health, static, resistance float64) float64 {
	h0 := shutOffHead * health
	if h0 <= static {
		return 0
	}
	return math.Sqrt((h0 - static) / (h0/(runOut*runOut) + resistance))
}

// stepPump follows the motor's supply and moves the water.
func (i *Installation) stepPump() {
	p, c := &i.pump, &i.cond
	was := p.powered
	p.powered = i.contactClosed() && !c.isolated || c.override
	if c.noMains || c.openCable || c.deadWinding || p.tripped {
		p.powered = false
	}
	i.stepGuard()
	if p.powered && !was {
		p.ranFor = 0
		i.motorStarts()
	}
	p.humming = p.powered && (c.jammed || c.deadCapacitor)
	p.turning = p.powered && !p.humming
	if p.turning {
		p.ranFor += step
	}
	i.stepOverload()
	i.stepPrime()
	p.flow = i.flow()
	p.current = p.amps()
}

// stepGuard is the motor-current guard in the pump's box: a minute of light running cuts the motor off until the
// contact opens.
func (i *Installation) stepGuard() {
	p := &i.pump
	if !i.contactClosed() {
		p.light, p.guarded = 0, false
	}
	if p.turning && p.current < 0.5*runningAmps {
		p.light += step
	} else if p.turning {
		p.light = 0
	}
	if p.light > guardTime && !i.cond.noGuard {
		p.guarded = true
	}
	p.powered = p.powered && !(p.guarded && !i.cond.override)
}

const guardTime = 60 // s

func (i *Installation) stepOverload() {
	p := &i.pump
	if i.cond.overload && p.turning {
		p.heat += step / 50
	}
	if p.heat >= 1 {
		p.tripped = true
	}
	if !i.cond.overload {
		p.tripped, p.heat = false, 0
	}
}

// stepPrime loses the prime through a bad foot valve or when the suction draws air, and refills it when
// the cause is gone and somebody primed the pump.
func (i *Installation) stepPrime() {
	p, c := &i.pump, &i.cond
	switch {
	case c.footValve:
		p.air = 1
	case c.sourceLow && p.turning:
		p.source -= p.flow * step
		if p.source < 0 {
			p.air = math.Min(p.air+step/3, 1)
		}
	case !c.sourceLow:
		p.source = sourceHolds
		p.air = c.airLeak * 0.2
	}
	p.primed = p.air < halfOpenAir
}

// flow in the delivery pipe now: the duty point, less the air in it, never more than the suction gives.
func (i *Installation) flow() float64 {
	p, c := &i.pump, &i.cond
	if !p.turning || !p.primed || c.shut {
		return 0
	}
	static, resistance := suctionLift+deliveryHead, pipeResistance+c.pipeLoss+c.suctionLoss
	if c.burst {
		static, resistance = suctionLift, 0.02*pipeResistance
	}
	q := dutyPoint(1-c.wear, static, resistance)
	if c.suctionLoss > 0 {
		q = math.Min(q, math.Sqrt((suctionMost-suctionLift)/c.suctionLoss))
	}
	q *= 1 - 1.6*c.airLeak
	run := math.Min(p.ranFor/1.5, 1)
	return math.Max(q, 0) * run
}

// amps rises in a straight line with the flow, as small centrifugal pumps do; common practice, no source.
func (p *pump) amps() float64 {
	switch {
	case p.humming:
		return lockedAmps
	case !p.turning:
		return 0
	}
	return dryAmps + (runningAmps-dryAmps)*p.flow/healthyFlow
}
