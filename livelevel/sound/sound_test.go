package sound

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"example.org/tankhand/testdata/reference"
)

// ISO 9613-1:1993, and the equation for humid air with no humidity beside the equation of state.
func TestSpeedInDryAir(t *testing.T) {
	for _, c := range reference.Table(t, "sound_speed_dry.csv") {
		assert.InDelta(t, c.Number("c_iso_m_s"), DrySpeed(c.Number("t_C")), 5.1e-5, "%v", c)
		humid := Air{Temperature: c.Number("t_C")}.Speed()
		assert.InDelta(t, c.Number("c_humid_eq_m_s"), humid, 5.1e-5, "%v", c)
		if c.Number("t_C") >= 0 {
			assert.InDelta(t, c.Number("c_eos_m_s"), humid, 0.00017*humid, "%v", c)
		}
	}
}

// J. Acoust. Soc. Am. 93:2510 (1993), eq. (15); c_eos is the independent IAPWS equation of state.
func TestSpeedInHumidAir(t *testing.T) {
	for _, c := range reference.Table(t, "sound_speed_humid.csv") {
		a := Air{c.Number("t_C"), c.Number("rh_pct") / 100, c.Number("p_Pa")}
		assert.InDelta(t, c.Number("x_w"), a.WaterFraction(), 5.1e-8, "%v", c)
		got := speed(a.Temperature, a.WaterFraction(), a.Pressure, c.Number("x_co2"))
		assert.InDelta(t, c.Number("c_humid_eq_m_s"), got, 5.1e-5, "%v", c)
		if !math.IsNaN(c.Number("c_eos_m_s")) {
			assert.InDelta(t, c.Number("c_eos_m_s"), got, 0.0002*got, "%v", c)
		}
		if c.Number("x_co2") == carbonDioxide {
			assert.Equal(t, got, a.Speed())
			assert.Equal(t, c.Number("in_range") == 1, a.InRange(), "%v", c)
		}
	}
}

// IEC 61094-2:2009, table F.1, to the last printed digit; and the reference value of the paper.
func TestSpeedAgreesWithTheStandardForMicrophones(t *testing.T) {
	for _, c := range []struct{ t, rh, p, want float64 }{{23, 50, 101325, 345.86652}, {20, 65, 80000, 344.38267}} {
		a := Air{c.t, c.rh / 100, c.p}
		assert.InDelta(t, c.want, a.Speed(), 5e-6)
	}
	assert.InDelta(t, 331.45, speed(0, 0, 101325, 0.000314), 0.01)
}

// ISO 9613-1:1993, table 1: the printed values, within 1 %.
func TestAbsorptionAgreesWithTheStandard(t *testing.T) {
	for _, c := range reference.Table(t, "absorption_iso_table1.csv") {
		got := 1000 * Air{Temperature: c.Number("t_C"), Humidity: c.Number("rh_pct") / 100}.Absorption(c.Number("f_exact_Hz"))
		assert.InEpsilon(t, c.Number("alpha_published_dB_per_km"), got, 0.01, "%v", c)
		assert.InEpsilon(t, c.Number("alpha_computed_dB_per_km"), got, 1e-5, "%v", c)
	}
}

func TestAbsorptionAtUltrasound(t *testing.T) {
	for _, c := range reference.Table(t, "absorption_40khz.csv") {
		a := Air{c.Number("t_C"), c.Number("rh_pct") / 100, c.Number("p_Pa")}
		assert.InDelta(t, c.Number("alpha_dB_per_m"), a.Absorption(c.Number("f_Hz")), 5.1e-6, "%v", c)
	}
}

func TestEchoLoss(t *testing.T) {
	for _, c := range reference.Table(t, "echo_loss_budget.csv") {
		spreading, absorption := EchoLoss(c.Number("d_m"), Air{Temperature: c.Number("t_C"), Humidity: c.Number("rh_pct") / 100}, Frequency)
		assert.InDelta(t, c.Number("spreading_dB"), spreading, 5.1e-4, "%v", c)
		assert.InDelta(t, c.Number("absorption_dB"), absorption, 5.1e-4, "%v", c)
		assert.InDelta(t, c.Number("total_dB"), spreading+absorption, 1.1e-3, "%v", c)
	}
}

func TestEchoTimeAndTheRuleOf58(t *testing.T) {
	for _, c := range reference.Table(t, "echo_time.csv") {
		v := DrySpeed(c.Number("t_C"))
		assert.InDelta(t, c.Number("echo_us")*1e-6, EchoTime(c.Number("d_m"), v), 5.1e-9, "%v", c)
		assert.InDelta(t, c.Number("d_m"), Distance(EchoTime(c.Number("d_m"), v), v), 1e-12, "%v", c)
		shown := Distance(EchoTime(c.Number("d_m"), v), Rule58)
		assert.InDelta(t, c.Number("d_rule58_m"), shown, 5.1e-6, "%v", c)
		assert.InDelta(t, c.Number("d_m"), Correct(shown, Rule58, v), 1e-12, "%v", c)
		assert.InDelta(t, c.Number("rule58_error_mm"), 1000*(shown-c.Number("d_m")), 5.1e-3, "%v", c)
	}
}

func TestFootprint(t *testing.T) {
	for _, c := range reference.Table(t, "beam_footprint.csv") {
		assert.InDelta(t, c.Number("radius_m"), Footprint(c.Number("d_m"), c.Number("half_angle_deg")*math.Pi/180), 5.1e-6, "%v", c)
	}
}

func TestPiston(t *testing.T) {
	deg := func(rad float64) float64 { return rad * 180 / math.Pi }
	for _, c := range reference.Table(t, "piston_beam.csv") {
		p := PistonAt(c.Number("D_m"), Frequency, 343.2)
		assert.InDelta(t, c.Number("lambda_m"), p.Wavelength, 1e-9, "%v", c)
		assert.InDelta(t, c.Number("half_angle_3dB_deg"), deg(p.HalfAngle3dB()), 2e-3, "%v", c)
		assert.InDelta(t, c.Number("half_angle_6dB_deg"), deg(p.HalfAngle6dB()), 2e-3, "%v", c)
		assert.InDelta(t, c.Number("half_angle_null_deg"), deg(p.NullAngle()), 2e-3, "%v", c)
		assert.InDelta(t, c.Number("near_field_m"), p.NearField(), 5.1e-6, "%v", c)
	}
}

// Worked figures: a ring-down of 1 ms blanks 0.172 m, eight cycles of 40 kHz 34 mm; a target at 5 m
// needs 29.1 ms between pings, and 60 ms cover one at 10.3 m (20 degC). Computed.
func TestBlankingAndPingInterval(t *testing.T) {
	c := DrySpeed(20)
	assert.InDelta(t, 0.172, Blanking(1e-3, c), 5e-4)
	assert.InDelta(t, 0.034, Blanking(8/Frequency, c), 5e-4)
	assert.InDelta(t, 29.1e-3, PingInterval(5, 0, c), 5e-5)
	assert.InDelta(t, 10.3, Distance(UsualPing, c), 0.05)
}
