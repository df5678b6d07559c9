package circuit

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/testdata/reference"
)

// Computed from the driver's equations; the rule is that of The Art of Electronics, 3rd ed., ch. 2.
func TestDriver(t *testing.T) {
	for _, r := range reference.Table(t, "relay_driver.csv") {
		d := Driver{Pin: r.Number("V_pin"), BaseEmitter: r.Number("V_be"), BaseResistor: r.Number("R_base_ohm"),
			Supply: r.Number("V_coil_supply"), Saturation: r.Number("V_ce_sat"), Coil: r.Number("R_coil_ohm")}
		assert.InDelta(t, r.Number("Ib_mA"), 1e3*d.BaseCurrent(), 5e-5)
		assert.InDelta(t, r.Number("Ic_mA"), 1e3*d.CoilCurrent(), 5e-4)
		assert.InDelta(t, r.Number("forced_beta"), d.ForcedGain(), 5e-4)
		want := map[string][2]float64{"ok": {0, SureGain}, "margin": {SureGain, MostGain}, "too_high": {MostGain, 1e9}}[r.Text("verdict")]
		assert.True(t, d.ForcedGain() > want[0] && d.ForcedGain() <= want[1], r.Text("verdict"))
		assert.InDelta(t, d.BaseResistor, d.ResistorFor(d.ForcedGain()), 1e-9)
	}
}

// IEC 60063: the preferred values.
func TestE24(t *testing.T) {
	assert.Equal(t, 390.0, E24(379))
	assert.Equal(t, 360.0, E24Below(379))
	assert.Equal(t, 1000.0, E24(980))
	assert.Equal(t, 910.0, E24Below(980))
	assert.Equal(t, 10000.0, E24(9900))
	assert.Zero(t, E24(-1))
}

// Copper: IEC 60028. A 70 ohm, 5 V coil.
func TestCoilTemperature(t *testing.T) {
	for _, r := range reference.Table(t, "coil_temperature.csv") {
		at := r.Number("t_C")
		assert.InDelta(t, r.Number("factor"), CopperFactor(at), 5e-6)
		assert.InDelta(t, r.Number("R_ohm"), 70*CopperFactor(at), 5.1e-4)
		assert.InDelta(t, r.Number("I_at_5V_mA"), 5e3/(70*CopperFactor(at)), 5.1e-4)
		assert.InDelta(t, r.Number("operate_voltage_V"), OperateVoltage(5*MustOperate, at), 5e-5)
	}
}

// The inductances of the table are assumptions.
func TestFlyback(t *testing.T) {
	for _, r := range reference.Table(t, "flyback.csv") {
		l, coil := r.Number("L_H"), r.Number("R_coil_ohm")
		i := r.Number("V") / coil
		assert.InDelta(t, r.Number("I0_mA"), 1e3*i, 5e-4)
		assert.InDelta(t, r.Number("t_release_diode_ms"), 1e3*ReleaseTime(l, coil, i, 0.1, 0.7), 5e-5)
		assert.InDelta(t, r.Number("t_release_zener24_ms"), 1e3*ReleaseTime(l, coil, i, 0.1, 24.7), 5e-5)
		assert.InDelta(t, r.Number("kick_no_diode_V"), Kick(i, l, 100e-12), 0.5)
	}
}

// IEC 60228:2004, by three reprints; the 0.25 mm2 row from memory.
func TestConductors(t *testing.T) {
	for _, r := range reference.Table(t, "iec60228_resistance.csv") {
		a := r.Number("area_mm2") * 1e-6
		assert.InDelta(t, r.Number("class5_ohm_per_km"), 1e3*ResistancePerMetre(a), 1e-9)
		assert.InDelta(t, r.Number("class2_ohm_per_km"), 1e3*SolidResistancePerMetre(a), 1e-9)
	}
	assert.InDelta(t, 17.241, 1e3*ResistancePerMetre(1.001e-6), 0.05, "a size not in the table")
}

// ASTM B258 and the resistivity of annealed copper.
func TestWireGauge(t *testing.T) {
	for _, r := range reference.Table(t, "awg_copper.csv") {
		n := r.Number("awg")
		assert.InDelta(t, r.Number("d_mm"), 1e3*GaugeDiameter(n), 5e-5)
		assert.InDelta(t, r.Number("area_mm2"), 1e6*GaugeArea(n), 5e-5)
		assert.InDelta(t, r.Number("ohm_per_km"), 1e3*GaugeResistance(n), 5e-4*max(1, r.Number("ohm_per_km")/50))
	}
}

// Two conductors of class 5, IEC 60228 at 20 degC.
func TestDrop(t *testing.T) {
	for _, r := range reference.Table(t, "dc_voltage_drop.csv") {
		per := ResistancePerMetre(r.Number("area_mm2") * 1e-6)
		d := Drop(r.Number("length_m"), per, r.Number("I_A"))
		assert.InDelta(t, r.Number("ohm_per_km"), 1e3*per, 1e-9)
		assert.InDelta(t, r.Number("dV_V"), d, 5.1e-5)
		assert.InDelta(t, r.Number("V_load"), r.Number("V_supply")-d, 5.1e-5)
	}
	assert.InDelta(t, 0.75e-6, NextArea(10, 0.15, 0.1), 1e-12)
	assert.Zero(t, NextArea(1000, 10, 0.1))
}

// The limit of a high is common practice: 0.75 of the logic supply.
func TestDivider(t *testing.T) {
	for _, r := range reference.Table(t, "echo_divider.csv") {
		top, bottom := r.Number("R1_ohm"), r.Number("R2_ohm")
		assert.InDelta(t, r.Number("Vout_V"), Divided(5, top, bottom), 5e-5)
		assert.InDelta(t, r.Number("R_source_ohm"), DividerSource(top, bottom), 0.05)
		assert.InDelta(t, r.Number("VIH_V"), InputHigh*3.3, 1e-9)
		assert.InDelta(t, r.Number("V_echo_min_V"), LeastEcho(InputHigh*3.3, top, bottom), 5e-5)
	}
}

func TestEdgeTime(t *testing.T) {
	for _, r := range reference.Table(t, "rc_debounce.csv") {
		got := 1e3 * EdgeTime(r.Number("R_ohm"), r.Number("C_nF")*1e-9)
		assert.InDelta(t, r.Number("t_rise_75pct_ms"), got, 5.1e-5)
		assert.InDelta(t, r.Number("t_fall_25pct_ms"), got, 5.1e-5)
	}
}
