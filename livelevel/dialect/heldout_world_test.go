package dialect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"

	"example.org/tankhand/livelevel"
)

// plant is one report's truth: what the invented installation was like when the line was printed.
type plant struct {
	i                         int
	s                         float64 // since the start of the board
	ullage, height, percent   float64 // m, m, percent between the marks
	litres, flow              float64 // flow in m3/h
	pump, auto, lost          bool
	temp, humid               float64
	volts, battery, amps      float64
	signal, errors, low, high int
	full, empty               float64 // the marks, m from the face
}

// site gives an installation its size and its pace; the zero value is the house's example.
type scene struct {
	face  float64 // m from the face to the bottom, 1.75
	step  float64 // s between reports, 1
	quiet bool    // the water hardly moves while we listen
	deaf  float64 // share of lost echoes, 0.03; negative: none
}

const heldOutReports = 320

// plants lets the installation run.
func (sc scene) plants(seed uint64) []plant {
	r := rand.New(rand.NewPCG(seed, 99))
	face, step, deaf := sc.face, sc.step, sc.deaf
	if face == 0 {
		face = 1.75
	}
	if step == 0 {
		step = 1
	}
	if deaf == 0 {
		deaf = 0.03
	}
	full, empty := 0.2*face, 0.97*face
	u, up, pump := full+(0.3+0.3*r.Float64())*(empty-full), 10+400*r.Float64(), false
	rise := (empty - full) / 110
	if sc.quiet {
		rise /= 40
	}
	area := 0.95 * face * face / 3
	lostFor := 0
	out := make([]plant, heldOutReports)
	for i := range out {
		if pump {
			u -= rise * 1.3
		} else {
			u += rise * (0.6 + 0.3*math.Sin(float64(i)/17))
		}
		if p := 100 * (empty - u) / (empty - full); p < 40 {
			pump = true
		} else if p > 95 {
			pump = false
		}
		if sc.quiet && i%90 > 60 {
			pump = true
		} else if sc.quiet {
			pump = false
		}
		if lostFor--; lostFor < 0 && r.Float64() < deaf/2 {
			lostFor = 1 + r.IntN(3)
		}
		seen := u + 0.0008*r.NormFloat64()
		w := plant{i: i, s: up + float64(i)*step, ullage: seen, height: face - seen, pump: pump, auto: i < 200 || i > 230,
			percent: 100 * (empty - seen) / (empty - full), lost: lostFor >= 0 && deaf > 0,
			temp: 19 + 3*math.Sin(float64(i)/150) + 0.05*r.NormFloat64(), humid: 78 + 6*math.Cos(float64(i)/120) + 0.3*r.NormFloat64(),
			volts: 5.02 + 0.01*r.NormFloat64(), battery: 12.6 + 0.02*r.NormFloat64(), signal: 60 + r.IntN(30), errors: i / 70,
			low: 40, high: 95, full: full, empty: empty}
		w.litres = 1000 * area * w.height
		if pump {
			w.volts -= 0.12
			w.amps = 1.9 + 0.03*r.NormFloat64()
			w.flow = 2.3 + 0.03*r.NormFloat64()
		}
		out[i] = w
	}
	return out
}

// value is what a role ought to say, and how far off is still right: the rounding of the coarsest line.
func (w plant) value(role livelevel.Role) (v, within float64) {
	flag := func(b bool) (float64, float64) {
		if b {
			return 1, 0
		}
		return 0, 0
	}
	switch role {
	case livelevel.Ullage, livelevel.UllageRaw:
		return w.ullage, 0.0061
	case livelevel.LevelHeight:
		return w.height, 0.0061
	case livelevel.LevelPercent:
		return w.percent, 0.61
	case livelevel.VolumeRole:
		return w.litres / 1000, 0.0061
	case livelevel.Echo:
		return w.ullage * 2 / 343, 0.0061 * 2 / 343
	case livelevel.Pump:
		return flag(w.pump)
	case livelevel.Mode:
		return flag(w.auto)
	case livelevel.Supply:
		return w.volts, 0.06
	case livelevel.MotorCurrent:
		return w.amps, 0.06
	case livelevel.FlowRole:
		return w.flow / 3600, 0.06 / 3600
	case livelevel.AirTemperature:
		return w.temp, 0.6
	case livelevel.Humidity:
		return w.humid, 0.6
	case livelevel.Uptime:
		return w.s, 1.1
	case livelevel.Clock:
		return float64(w.clock().UnixMilli()) / 1000, 1.1
	case livelevel.EchoQuality:
		return float64(w.signal), 0.6
	case livelevel.LowSet:
		return float64(w.low), 0.6
	case livelevel.FullSet:
		return float64(w.high), 0.6
	case livelevel.FullMark:
		return w.full, 0.0061
	case livelevel.EmptyMark:
		return w.empty, 0.0061
	}
	return math.NaN(), 0
}

func (w plant) clock() time.Time {
	return time.Date(2026, 5, 4, 7, 31, 0, 0, time.UTC).Add(time.Duration(w.s * float64(time.Second)))
}

func (w plant) ms() int { return int(math.Round(w.s * 1000)) }

// measured prints a figure, or what the controller sends instead of it when it heard nothing.
func (w plant) measured(format string, v float64, lost string) string {
	if w.lost {
		return lost
	}
	return fmt.Sprintf(format, v)
}

func (w plant) mm(lost string) string { return w.measured("%.0f", w.ullage*1000, lost) }
func (w plant) cm(lost string) string { return w.measured("%.1f", w.ullage*100, lost) }
func (w plant) m(lost string) string  { return w.measured("%.3f", w.ullage, lost) }
func (w plant) in(lost string) string { return w.measured("%.1f", w.ullage/0.0254, lost) }
func (w plant) us(lost string) string { return w.measured("%.0f", w.ullage*2/343*1e6, lost) }
func (w plant) ft(lost string) string { return w.measured("%.2f", w.ullage/0.3048, lost) }

// motor is the pump in two words.
func (w plant) motor(on, off string) string {
	if w.pump {
		return on
	}
	return off
}

func (w plant) say(yes bool, on, off string) string {
	if yes {
		return on
	}
	return off
}

func (w plant) hms() string {
	s := int(w.s)
	return fmt.Sprintf("%02d:%02d:%02d", s/3600, s/60%60, s%60)
}

func decimalComma(s string) string { return strings.ReplaceAll(s, ".", ",") }

// checked frames an NMEA 0183 sentence.
func checked(body string) string {
	var sum byte
	for i := range len(body) {
		sum ^= body[i]
	}
	return fmt.Sprintf("$%s*%02X", body, sum)
}
