package sound

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// reference reads the numbers of a table of testdata/reference, whose first line names its source;
// an empty cell is NaN.
func reference(t *testing.T, name string) []map[string]float64 {
	t.Helper()
	f, err := os.Open("../../testdata/reference/" + name)
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 1)
	var out []map[string]float64
	for _, row := range rows[1:] {
		m := map[string]float64{}
		for i, key := range rows[0] {
			m[key] = math.NaN()
			if row[i] != "" {
				m[key], err = strconv.ParseFloat(row[i], 64)
				require.NoError(t, err)
			}
		}
		out = append(out, m)
	}
	return out
}

func near(t *testing.T, want, got, tolerance float64, row any) {
	t.Helper()
	if math.IsNaN(want) {
		assert.True(t, math.IsNaN(got), "%v", row)
		return
	}
	assert.InDelta(t, want, got, tolerance, "%v", row)
}

// ISO 9613-1:1993, and the equation for humid air with no humidity beside the equation of state.
func TestSpeedInDryAir(t *testing.T) {
	for _, c := range reference(t, "sound_speed_dry.csv") {
		near(t, c["c_iso_m_s"], DrySpeed(c["t_C"]), 5.1e-5, c)
		humid := Air{Temperature: c["t_C"]}.Speed()
		near(t, c["c_humid_eq_m_s"], humid, 5.1e-5, c)
		if c["t_C"] >= 0 {
			near(t, c["c_eos_m_s"], humid, 0.00017*humid, c)
		}
	}
}

// J. Acoust. Soc. Am. 93:2510 (1993), eq. (15); c_eos is the independent IAPWS equation of state.
func TestSpeedInHumidAir(t *testing.T) {
	for _, c := range reference(t, "sound_speed_humid.csv") {
		a := Air{c["t_C"], c["rh_pct"] / 100, c["p_Pa"]}
		near(t, c["x_w"], a.WaterFraction(), 5.1e-8, c)
		got := speed(a.Temperature, a.WaterFraction(), a.Pressure, c["x_co2"])
		near(t, c["c_humid_eq_m_s"], got, 5.1e-5, c)
		if !math.IsNaN(c["c_eos_m_s"]) {
			near(t, c["c_eos_m_s"], got, 0.0002*got, c)
		}
		if c["x_co2"] == carbonDioxide {
			assert.Equal(t, got, a.Speed())
			assert.Equal(t, c["in_range"] == 1, a.InRange(), "%v", c)
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
	for _, c := range reference(t, "absorption_iso_table1.csv") {
		got := 1000 * Air{Temperature: c["t_C"], Humidity: c["rh_pct"] / 100}.Absorption(c["f_exact_Hz"])
		assert.InEpsilon(t, c["alpha_published_dB_per_km"], got, 0.01, "%v", c)
		assert.InEpsilon(t, c["alpha_computed_dB_per_km"], got, 1e-5, "%v", c)
	}
}

func TestAbsorptionAtUltrasound(t *testing.T) {
	for _, c := range reference(t, "absorption_40khz.csv") {
		a := Air{c["t_C"], c["rh_pct"] / 100, c["p_Pa"]}
		near(t, c["alpha_dB_per_m"], a.Absorption(c["f_Hz"]), 5.1e-6, c)
	}
}

func TestEchoLoss(t *testing.T) {
	for _, c := range reference(t, "echo_loss_budget.csv") {
		spreading, absorption := EchoLoss(c["d_m"], Air{Temperature: c["t_C"], Humidity: c["rh_pct"] / 100}, Frequency)
		near(t, c["spreading_dB"], spreading, 5.1e-4, c)
		near(t, c["absorption_dB"], absorption, 5.1e-4, c)
		near(t, c["total_dB"], spreading+absorption, 1.1e-3, c)
	}
}

func TestEchoTimeAndTheRuleOf58(t *testing.T) {
	for _, c := range reference(t, "echo_time.csv") {
		v := DrySpeed(c["t_C"])
		near(t, c["echo_us"]*1e-6, EchoTime(c["d_m"], v), 5.1e-9, c)
		near(t, c["d_m"], Distance(EchoTime(c["d_m"], v), v), 1e-12, c)
		shown := Distance(EchoTime(c["d_m"], v), Rule58)
		near(t, c["d_rule58_m"], shown, 5.1e-6, c)
		near(t, c["d_m"], Correct(shown, Rule58, v), 1e-12, c)
		near(t, c["rule58_error_mm"], 1000*(shown-c["d_m"]), 5.1e-3, c)
	}
}

func TestFootprint(t *testing.T) {
	for _, c := range reference(t, "beam_footprint.csv") {
		near(t, c["radius_m"], Footprint(c["d_m"], c["half_angle_deg"]*math.Pi/180), 5.1e-6, c)
	}
}

func TestPiston(t *testing.T) {
	deg := func(rad float64) float64 { return rad * 180 / math.Pi }
	for _, c := range reference(t, "piston_beam.csv") {
		p := PistonAt(c["D_m"], Frequency, 343.2)
		near(t, c["lambda_m"], p.Wavelength, 1e-9, c)
		near(t, c["half_angle_3dB_deg"], deg(p.HalfAngle3dB()), 2e-3, c)
		near(t, c["half_angle_6dB_deg"], deg(p.HalfAngle6dB()), 2e-3, c)
		near(t, c["half_angle_null_deg"], deg(p.NullAngle()), 2e-3, c)
		near(t, c["near_field_m"], p.NearField(), 5.1e-6, c)
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
