package rig

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/testdata/reference"
)

// Volumes by level against the project's reference cases (closed forms, cross-checked by numerical integration).
func TestVesselAgainstReferenceCases(t *testing.T) {
	n := 0
	for _, row := range reference.Table(t, "tank_cases.csv") {
		p := row.Numbers("params")
		var v vessel
		switch row.Text("shape") {
		case "rectangular":
			v = box(p["length_m"], p["width_m"], 10)
		case "vertical_cylinder":
			v = upright(p["D_m"], 10)
		case "horizontal_flat":
			v = lying(p["D_m"], p["L_m"])
		case "sphere":
			v = ball(p["D_m"])
		case "vertical_cone_bottom":
			v = coned(p["D_m"], 10, p["cone_height_m"])
		default:
			continue
		}
		n++
		level := row.Number("level_m")
		want := row.Number("volume_m3")
		assert.InEpsilon(t, want, v.volume(level), 2e-6, "%v", row)
		assert.InDelta(t, level, v.level(want, v.height/2), 1e-4, "%v", row)
	}
	assert.Equal(t, 20, n)
}

// The free surface is the slope of the volume, whatever the shape.
func TestAreaIsTheSlopeOfTheVolume(t *testing.T) {
	for _, shape := range []string{"", "box", "horizontal cylinder", "sphere", "cone bottom"} {
		v, err := newVessel(shape)
		require.NoError(t, err)
		for h := 0.1; h < v.height-0.05; h += 0.07 {
			const d = 1e-5
			assert.InEpsilon(t, (v.volume(h+d)-v.volume(h-d))/(2*d), v.area(h), 1e-3, "%s at %.2f m", shape, h)
			assert.InDelta(t, h, v.level(v.volume(h), 0.8), 1e-9, "%s at %.2f m", shape, h)
		}
	}
	_, err := newVessel("hexagon")
	assert.Error(t, err)
}

// Speed of sound against the table of moist air (J. Acoust. Soc. Am. 93:2510, 1993, and an independent equation of state).
func TestSoundSpeedAgainstTable(t *testing.T) {
	for _, row := range reference.Table(t, "sound_speed_humid.csv") {
		if c := row.Number("t_C"); row.Text("p_Pa") == "101325" && c >= 0 && c <= 40 {
			assert.InEpsilon(t, row.Number("c_eos_m_s"), soundSpeed(c, row.Number("rh_pct")), 0.001, "%v", row)
		}
	}
}

// Absorption against the table computed from ISO 9613-1:1993.
func TestAbsorptionAgainstTable(t *testing.T) {
	for _, row := range reference.Table(t, "absorption_40khz.csv") {
		if row.Text("p_Pa") == "101325" && row.Text("f_Hz") == "40000" {
			assert.InDelta(t, row.Number("alpha_dB_per_m"), absorption(row.Number("t_C"), row.Number("rh_pct")), 1e-3, "%v", row)
		}
	}
}

// Emptying through an orifice: the root of the level falls in a straight line, sqrt(h) = sqrt(h0) - k o/a sqrt(g/2) t (Torricelli,
// textbook).
func TestEmptyingThroughAnOrifice(t *testing.T) {
	i, err := New(Options{Level: 1.2})
	require.NoError(t, err)
	const hole = 2e-4
	i.cond.draw, i.cond.cans, i.cond.leakArea, i.cond.outlet, i.cond.isolated = 0, 0, hole, 0, true
	area := i.tank.area(1)
	for minute := 1; minute <= 60; minute++ {
		i.Advance(time.Minute)
		root := math.Sqrt(1.2) - discharge*hole/area*math.Sqrt(9.80665/2)*float64(minute)*60
		assert.InDelta(t, root*root, i.Level(), 1e-4, "after %d min", minute)
	}
	assert.Less(t, i.Level(), 0.45)
}

// Filling a cylinder at a constant rate takes volume over rate.
func TestFillTime(t *testing.T) {
	i, err := New(Options{Level: 0.5})
	require.NoError(t, err)
	i.cond.draw, i.cond.cans, i.cond.isolated, i.cond.inflow = 0, 0, true, 1.8*perHour
	area := i.tank.area(1)
	i.Advance(20 * time.Minute)
	assert.InDelta(t, 0.5+1.8/3/area, i.Level(), 1e-6)
}

// The duty point lies on both curves, and the new pump brings what the site sheet says.
func TestDutyPoint(t *testing.T) {
	assert.InEpsilon(t, healthyFlow, dutyPoint(1, suctionLift+deliveryHead, pipeResistance), 1e-12)
	for _, c := range []struct{ health, static, resistance float64 }{
		{1, 0, 1e7}, {1, 3.9, pipeResistance}, {0.8, 3.9, 3 * pipeResistance}, {0.5, 10, 1e6}, {1, 23.9, 1e6},
	} {
		q := dutyPoint(c.health, c.static, c.resistance)
		assert.Greater(t, q, 0.0)
		assert.InEpsilon(t, c.static+c.resistance*q*q, pumpHead(q, c.health), 1e-9)
	}
	assert.Zero(t, dutyPoint(0.1, 3.9, pipeResistance), "the worn pump does not reach the static head")
}

// Volume, run and rest of a cycle against V/(Q-q) and V/q (MIL-HDBK-1005/9A and EI 11C201, as in the pump cycle table).
func TestPumpCycle(t *testing.T) {
	i := rigged(t)
	const draw = 0.45 * perHour
	i.cond.draw, i.cond.cans = draw, 0
	var starts, stops []float64
	const hours = 7
	for was := false; i.now < hours*3600; was = i.board.called {
		i.Advance(time.Second)
		if i.board.called && !was {
			starts = append(starts, i.now)
		} else if !i.board.called && was {
			stops = append(stops, i.now)
		}
	}
	require.GreaterOrEqual(t, len(starts), 3)
	area := math.Pi * 1.1 * 1.1 / 4
	volume := area * (levelAtFullSet - levelAtLowSet)
	assert.InEpsilon(t, volume/(healthyFlow-draw), stops[1]-starts[1], 0.02)
	assert.InEpsilon(t, volume/draw, starts[2]-stops[1], 0.03)
	assert.Less(t, float64(len(starts))/hours, 3.0, "starts an hour")
}

// The flow that a plain reader works out of the feed is the sheet's healthy flow.
func TestHealthyFlowShowsInTheFeed(t *testing.T) {
	i := rigged(t)
	f := listen(t, i, 10*time.Minute)
	var on []seen
	for _, s := range f.lines {
		if s.pump && !s.lost && s.at > 60 {
			on = append(on, s)
		}
	}
	first, last := on[:50], on[len(on)-50:]
	rise := (middle(first) - middle(last)) / (last[25].at - first[25].at)
	flow := rise*math.Pi*1.1*1.1/4 + baseDraw
	assert.InEpsilon(t, 2.3/3600, flow, 0.03)
}

// Volt drop of two conductors against the table (2 L r I, IEC 60228 class 5).
func TestCableDropAgainstTable(t *testing.T) {
	for _, row := range reference.Table(t, "dc_voltage_drop.csv") {
		drop := cableResistance(row.Number("length_m"), row.Number("ohm_per_km")) * row.Number("I_A")
		assert.InDelta(t, row.Number("dV_V"), drop, 6e-5, "%v", row)
	}
	i := rigged(t)
	i.Advance(2 * time.Minute)
	amps := boardAmps + i.elec.coil
	assert.InDelta(t, i.elec.supply-amps*cableResistance(6, 39), i.elec.board, 1e-9)
}

// Decay of the coil's current through its diode against the table of release times.
func TestCoilDecayAgainstTable(t *testing.T) {
	for _, row := range reference.Table(t, "flyback.csv") {
		i0, r, l := row.Number("I0_mA")/1000, row.Number("R_coil_ohm"), row.Number("L_H")
		at := row.Number("t_release_diode_ms") / 1000
		assert.InDelta(t, 0.1*i0, coilDecay(i0, r, l, diodeVolts, at), 2e-3*i0, "%v", row)
		zener := row.Number("t_release_zener24_ms") / 1000
		assert.InDelta(t, 0.1*i0, coilDecay(i0, r, l, diodeVolts+24, zener), 4e-3*i0, "%v", row)
	}
}

// Base current against the table of relay drivers, pin 3.3 V.
func TestBaseCurrentAgainstTable(t *testing.T) {
	for _, row := range reference.Table(t, "relay_driver.csv") {
		if row.Text("V_pin") == "3.3" && row.Text("V_be") == "0.7" {
			assert.InDelta(t, row.Number("Ib_mA")/1000, baseAmps(row.Number("R_base_ohm")), 1e-6, "%v", row)
		}
	}
}

// The echo of a target takes there and back, as in the table at 20 degC (which is for dry air: 0.2 % allowed).
func TestEchoTimeAgainstTable(t *testing.T) {
	i := rigged(t)
	i.air.speed = soundSpeed(20, 0)
	for _, row := range reference.Table(t, "echo_time.csv") {
		if row.Text("t_C") == "20" {
			assert.InEpsilon(t, row.Number("echo_us")/1e6, i.at(row.Number("d_m")).seconds, 0.002, "%v", row)
		}
	}
}

// Spreading and absorption of a mirror at twice the distance, differences against the echo budget table at 20 degC, 50 %.
func TestEchoLossAgainstTable(t *testing.T) {
	i := rigged(t)
	i.air.loss = absorption(20, 50)
	i.cond.fadeDB = 0
	mean := func(d float64) float64 {
		sum := 0.0
		for range 4000 {
			sum += i.margin(d)
		}
		return sum / 4000
	}
	one := mean(1)
	// 0.5 m 1.32 dB, 1 m 8.66, 2 m 17.3, 3 m 23.5, 4 m 28.6: loss = 20 log10(2d) + alpha 2d, as in echo_loss_budget.csv
	for d, loss := range map[float64]float64{0.5: 1.32, 2: 17.3, 3: 23.5, 4: 28.6} {
		assert.InDelta(t, loss-8.66, one-mean(d), 0.25, "%g m", d)
	}
}

// A low-side driver pulls in at three quarters of the coil's voltage and lets go at a tenth (data-sheet rule).
func TestRelayHysteresis(t *testing.T) {
	i := rigged(t)
	i.board.called = true
	for _, c := range []struct {
		volts float64
		want  bool
	}{{3.0, false}, {3.7, false}, {3.9, true}, {3.0, true}, {0.6, true}, {0.4, false}, {3.0, false}} {
		i.elec.coil = c.volts / i.cond.coilOhms
		i.moveRelay(true)
		assert.Equal(t, c.want, i.elec.pulledIn, "%.1f V", c.volts)
	}
}

// Condensation is worst before dawn: the same drops cost more echoes at four than at noon.
func TestDampIsWorstBeforeDawn(t *testing.T) {
	share := func(hour int) float64 {
		i, err := New(Options{Seed: 2, Level: 0.9, Start: time.Date(2026, 5, 4, hour, 0, 0, 0, time.UTC), Faults: []Fault{{ID: "face-wet"}}})
		require.NoError(t, err)
		return lostShare(listen(t, i, 5*time.Minute))
	}
	assert.Greater(t, share(4), share(12)+0.1)
}
