package hydraulics

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/testdata/reference"
)

const litrePerMinute = 1e-3 / 60

func TestFlow(t *testing.T) {
	for _, r := range reference.Table(t, "flow_from_level.csv") {
		got := Flow(r.Number("surface_m2"), r.Number("rise_mm_per_min")*1e-3/60)
		assert.InDelta(t, r.Number("flow_l_per_min"), got/litrePerMinute, 5.1e-5*max(1, r.Number("rise_mm_per_min")/10))
	}
}

// MIL-HDBK-1005/9A, 2.5.3.6, equations (1) and (2).
func TestPumpCycle(t *testing.T) {
	for _, r := range reference.Table(t, "pump_cycle.csv") {
		v, q, draw := r.Number("V_litre")*1e-3, r.Number("Q_pump_l_min")*litrePerMinute, r.Number("q_draw_l_min")*litrePerMinute
		c := PumpCycle(v, q, draw)
		assert.InDelta(t, r.Number("run_s"), c.Run, 1e-3)
		assert.InDelta(t, r.Number("rest_s"), c.Rest, 1e-3)
		assert.InDelta(t, r.Number("cycle_s"), c.Period(), 1e-3)
		assert.InDelta(t, r.Number("starts_per_h"), c.StartsPerHour(), 5.1e-5)
		assert.GreaterOrEqual(t, c.Period(), ShortestCycle(v, q)-1e-9)
		assert.InDelta(t, ShortestCycle(v, q), PumpCycle(v, q, q/2).Period(), 1e-9)
		assert.InDelta(t, v, VolumeFor(ShortestCycle(v, q), q), 1e-12)
	}
	assert.Zero(t, PumpCycle(1, 1, 1).StartsPerHour(), "never stops")
	assert.Zero(t, PumpCycle(1, 1, 0).StartsPerHour(), "never starts")
}

func TestAffinityAndPower(t *testing.T) {
	for _, r := range reference.Table(t, "affinity_laws.csv") {
		q, h, p := Affinity(r.Number("n1"), r.Number("n2"), r.Number("Q1"), r.Number("H1"), r.Number("P1"))
		assert.InDelta(t, r.Number("Q2"), q, 5e-7)
		assert.InDelta(t, r.Number("H2"), h, 5e-7)
		assert.InDelta(t, r.Number("P2"), p, 5e-7)
	}
	for _, r := range reference.Table(t, "hydraulic_power.csv") {
		p := HydraulicPower(998.2, r.Number("Q_l_min")*litrePerMinute, r.Number("H_m"))
		assert.InDelta(t, r.Number("P_hyd_W"), p, 5e-3)
		assert.InDelta(t, r.Number("P_shaft_W"), p/r.Number("eta"), 5e-3)
	}
	for _, r := range reference.Table(t, "pipe_velocity.csv") {
		assert.InDelta(t, r.Number("v_m_s"), Velocity(r.Number("Q_l_min")*litrePerMinute, r.Number("D_inside_m")), 5e-5)
	}
}

// IAPWS-95 (vapour pressure, density); the row at 0 degC was computed at the triple point.
func TestWater(t *testing.T) {
	for _, r := range reference.Table(t, "water_properties.csv") {
		at := r.Number("t_C")
		if at == 0 {
			at = 0.01
		}
		assert.InEpsilon(t, r.Number("psat_iapws_kPa"), VapourPressure(at)/1e3, 1e-4, r.Text("t_C"))
		assert.InEpsilon(t, r.Number("psat_crc_kPa"), VapourPressure(at)/1e3, 1e-3)
		assert.InDelta(t, r.Number("rho_kg_m3"), Density(at), 0.01)
	}
}

// U.S. Standard Atmosphere 1976.
func TestSuctionLimit(t *testing.T) {
	for _, r := range reference.Table(t, "suction_limit.csv") {
		assert.InDelta(t, r.Number("p_atm_kPa"), AirPressure(r.Number("altitude_m"))/1e3, 5.1e-4)
		assert.InDelta(t, r.Number("limit_m"), SuctionLimit(r.Number("altitude_m"), r.Number("water_t_C")), 1e-3)
	}
}

// NEMA MG 10, table 2-3.
func TestMotorStarts(t *testing.T) {
	for _, r := range reference.Table(t, "nema_mg10_starts.csv") {
		for _, poles := range []int{2, 4, 6} {
			most, rest, ok := MotorStarts(r.Number("hp")*Horsepower, poles)
			assert.True(t, ok)
			assert.Equal(t, r.Number(fmt.Sprintf("starts_per_h_%dpole", poles)), most)
			assert.Equal(t, r.Number(fmt.Sprintf("rest_s_%dpole", poles)), rest)
		}
	}
	for _, bad := range []int{0, 3, 8} {
		_, _, ok := MotorStarts(1000, bad)
		assert.False(t, ok, "%d poles", bad)
	}
	_, _, ok := MotorStarts(1e6, 2)
	assert.False(t, ok)
	_, _, ok = MotorStarts(math.NaN(), 2)
	assert.False(t, ok)
}

// NEC tables 430.248 and 430.251(A).
func TestSinglePhaseCurrent(t *testing.T) {
	for _, r := range reference.Table(t, "motor_single_phase_current.csv") {
		w := r.Number("hp") * Horsepower
		if strings.HasPrefix(r.Text("hp_text"), "1/") {
			w *= 1.0001 // the table prints the fraction rounded
		}
		assert.InDelta(t, r.Number("flc_115V_A"), SinglePhaseCurrent(w, 115), 0.01)
		assert.InDelta(t, r.Number("flc_230V_A"), SinglePhaseCurrent(w, 230), 0.01)
		if r.Text("lrc_115V_A") != "" {
			assert.InDelta(t, r.Number("lrc_115V_A"), LockedRotor*SinglePhaseCurrent(w, 115), 0.1)
		}
	}
	assert.True(t, math.IsNaN(SinglePhaseCurrent(1e5, 230)))
	assert.True(t, math.IsNaN(SinglePhaseCurrent(-1, 230)))
}
