package dialect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// moment is a healthy board at one report: a tank that is filled and drawn from.
type moment struct {
	i, up                   int
	dist, pct, flow, amps   float64
	volts, temp             float64
	pump                    bool
	clock                   time.Time
	moved, restarted, first bool
}

const healthyLines = 2000

// healthyBoard runs it; the sensor is moved once, and the board restarts once.
func healthyBoard(seed uint64) []moment {
	r := rand.New(rand.NewPCG(seed, 3))
	var out []moment
	d, pump, offset, flow, up := 1.21, false, 0.0, 0.0, 4294_400_000 // the counter of milliseconds begins anew soon
	clock := time.Date(2026, 3, 14, 23, 50, 0, 0, time.UTC)
	for i := range healthyLines {
		m := moment{i: i, first: i == 0, moved: i == 1200, restarted: i == 1500}
		if pct := 100 * (1.70 - d) / 1.35; pct < 38 {
			pump = true
		} else if pct > 94 {
			pump = false
		}
		if d += 0.0021; pump {
			d -= 0.0064
		}
		if m.moved {
			offset = -0.13
		}
		target := 0.0
		if pump {
			target = 36 + 0.5*r.NormFloat64()
			m.amps = 2.7 + 0.05*r.NormFloat64()
		}
		flow += (target - flow) * 0.4
		if up += 995 + r.IntN(11); m.restarted {
			up = 1200
		}
		m.up, m.clock = up%(1<<32), clock
		clock = clock.Add(time.Second)
		m.dist = d + offset + 0.0015*r.NormFloat64()
		m.pct, m.flow, m.pump = 100*(1.70-m.dist)/1.35, math.Max(0, flow), pump
		m.volts, m.temp = 4.97+0.008*r.NormFloat64(), 21+3*math.Sin(float64(i)/400)+0.03*r.NormFloat64()
		if pump {
			m.volts -= 0.04
		}
		out = append(out, m)
	}
	return out
}

func (m moment) motor(on, off string) string {
	if m.pump {
		return on
	}
	return off
}

// shortest is a number as programs print it that leave out zeros at the end.
func shortest(v float64, decimals int) string {
	p := math.Pow(10, float64(decimals))
	return strconv.FormatFloat(math.Round(v*p)/p, 'f', -1, 64)
}

// pythonic keeps one decimal of them.
func pythonic(v float64, decimals int) string {
	s := shortest(v, decimals)
	if v == math.Trunc(v) || !containsByte(s, '.') {
		return s + ".0"
	}
	return s
}

func containsByte(s string, c byte) bool {
	for i := range len(s) {
		if s[i] == c {
			return true
		}
	}
	return false
}

// healthyFeeds are formats whose lines are not all of one look, though nothing is wrong with them.
var healthyFeeds = map[string]func(m moment) string{
	"zeros-left-out": func(m moment) string {
		return fmt.Sprintf(`{"dist":%s,"pct":%s,"pump":%t,"amps":%s,"v":%s}`, shortest(m.dist, 3), shortest(m.pct, 1), m.pump, shortest(m.amps, 2), shortest(m.volts, 2))
	},
	"one-decimal-kept": func(m moment) string {
		return fmt.Sprintf("dist=%s pct=%s pump=%s amps=%s", pythonic(m.dist, 3), pythonic(m.pct, 1), m.motor("True", "False"), pythonic(m.amps, 2))
	},
	"padded-with-blanks": func(m moment) string {
		return fmt.Sprintf("Dist %6.1f cm  Level %5.1f %%  Flow %5.1f l/min  Pump %-3s", m.dist*100, m.pct, m.flow, m.motor("ON", "OFF"))
	},
	"padded-with-zeros": func(m moment) string { return fmt.Sprintf("R%04.0f", m.dist*1000) },
	"bar":               func(m moment) string { return barOf(m) },
	"alarm-names": func(m moment) string {
		return fmt.Sprintf("dist=%.0fmm level=%.0f%% pump=%s alarm=%s", m.dist*1000, m.pct, m.motor("on", "off"), alarmOf(m))
	},
	"optional": func(m moment) string {
		s := fmt.Sprintf("dist=%.1fcm level=%.0f%% pump=%s", m.dist*100, m.pct, m.motor("on", "off"))
		if m.pump {
			s += fmt.Sprintf(" flow=%.1fl/min", m.flow)
		}
		if m.i%10 == 0 {
			s += fmt.Sprintf(" temp=%.1fC", m.temp)
		}
		return s
	},
	"clock": func(m moment) string {
		return fmt.Sprintf("%s;%.0f;%.1f;%d", m.clock.Format("15:04:05"), m.dist*1000, m.pct, one(m.pump))
	},
	"date": func(m moment) string {
		return fmt.Sprintf("[%s] distance: %.1f cm, level: %.1f %%, pump: %s", m.clock.Format("2006-01-02 15:04:05"), m.dist*100, m.pct, m.motor("ON", "OFF"))
	},
	"counter-wraps": func(m moment) string {
		return fmt.Sprintf("up=%d dist=%.1fcm pump=%d temp=%.1f", m.up, m.dist*100, one(m.pump), m.temp)
	},
	"csv": func(m moment) string {
		return fmt.Sprintf("%d,%.1f,%.1f,%d,%.2f,%.2f", m.up, m.dist*100, m.pct, one(m.pump), m.amps, m.volts)
	},
	"bare": func(m moment) string { return fmt.Sprintf("%.0f", m.dist*1000) },
}

func one(b bool) int {
	if b {
		return 1
	}
	return 0
}

func barOf(m moment) string {
	const full = "##########"
	n := min(max(int(m.pct/10), 0), 10)
	return fmt.Sprintf("Distance: %.1f cm | Level: %.1f%% [%-10s] | Pump: %s", m.dist*100, m.pct, full[:n], m.motor("ON", "OFF"))
}

func alarmOf(m moment) string {
	switch {
	case m.pct < 39:
		return "low level"
	case m.pct > 93:
		return "tank full"
	}
	return "none"
}

// TestHealthyVarietyLosesNothing plays healthy boards whose lines vary: each line is a reading, for the dialect that
// was learned at its beginning as for the one learned from much of it.
func TestHealthyVarietyLosesNothing(t *testing.T) {
	for name, format := range healthyFeeds {
		for _, learned := range []int{40, 400} {
			t.Run(fmt.Sprint(name, "/", learned), func(t *testing.T) {
				board := healthyBoard(uint64(len(name)))
				var lines []sent
				for _, m := range board {
					lines = append(lines, sent{format(m), m.clock})
				}
				p := study(lines[:learned], nil)
				if !p.Settled && learned < 100 {
					return // it asks
				}
				require.True(t, p.Settled, p.Why)
				counts, why := map[livelevel.Kind]int{}, map[string]int{}
				for _, r := range hear(t, p.Dialect, lines) {
					if counts[r.Kind]++; r.Kind == livelevel.Rejected {
						why[r.Text]++
					}
					assert.False(t, r.EchoLost, "no echo is lost")
				}
				late := 0 // lines until a field that none of the first lines lacked is known to be left out at times
				if name == "optional" && learned < 100 {
					late = silent - 1
				}
				assert.Equal(t, len(lines)-late, counts[livelevel.Report], "%v\n%s", why, Format(p.Dialect))
				assert.Equal(t, late, counts[livelevel.Rejected], why)
			})
		}
	}
}

// sensorFaults are what a sensor makes of the water; the lines are sound.
var sensorFaults = map[string]func(r *rand.Rand, m moment) float64{
	"spikes": func(r *rand.Rand, m moment) float64 {
		if r.IntN(25) == 0 {
			return 0.05 + 2.2*r.Float64()
		}
		return m.dist
	},
	"many-spikes": func(r *rand.Rand, m moment) float64 {
		if r.IntN(6) == 0 {
			return 0.05 + 2.2*r.Float64()
		}
		return m.dist
	},
	"rare-spikes": func(r *rand.Rand, m moment) float64 {
		if r.IntN(400) == 0 {
			return 0.05 + 2.2*r.Float64()
		}
		return m.dist
	},
	"scatter": func(r *rand.Rand, m moment) float64 {
		if m.pump {
			return math.Abs(m.dist + 0.07*r.NormFloat64())
		}
		return m.dist
	},
	"second-bounce": func(r *rand.Rand, m moment) float64 {
		if r.IntN(5) == 0 {
			return 2*m.dist + 0.02
		}
		return m.dist
	},
	"false-echo": func(r *rand.Rand, m moment) float64 {
		if r.IntN(3) == 0 {
			return 0.412 + 0.001*r.NormFloat64()
		}
		return m.dist
	},
}

// TestAFaultySensorIsNoDamage: a reading that jumps is for the checks to judge. Hardly one of its lines may be taken for
// damage, be the level computed from the distance as measured or from the mean of the last ones.
func TestAFaultySensorIsNoDamage(t *testing.T) {
	for name, format := range healthyFeeds {
		for fault, measure := range sensorFaults {
			for _, smooth := range []bool{false, true} {
				t.Run(fmt.Sprint(name, "/", fault, "/", smooth), func(t *testing.T) {
					r := rand.New(rand.NewPCG(uint64(len(name)), 11))
					var lines []sent
					mean := math.NaN()
					for _, m := range healthyBoard(uint64(len(name))) {
						m.dist = measure(r, m)
						if !smooth || math.IsNaN(mean) {
							mean = m.dist
						}
						mean += (m.dist - mean) / 8
						m.pct = min(max(100*(1.70-mean)/1.35, 0), 100)
						lines = append(lines, sent{format(m), m.clock})
					}
					p := study(lines[:400], nil)
					if !p.Settled && smooth && fault == "false-echo" && (name == "csv" || name == "clock") {
						return // it asks: no column is named, and neither of the two goes with the other
					}
					require.True(t, p.Settled, p.Why)
					refused, why := 0, map[string]int{}
					for _, got := range hear(t, p.Dialect, lines) {
						if got.Kind == livelevel.Rejected {
							refused++
							why[got.Text]++
						}
					}
					assert.LessOrEqual(t, refused*80, len(lines), why)
				})
			}
		}
	}
}

// TestALostEchoWrittenInAnotherWay: the round end of the range comes without the decimals and the unit that values
// have, long after the dialect was learned. Each such line is a lost echo, and 50.0 without its point is none.
func TestALostEchoWrittenInAnotherWay(t *testing.T) {
	for name, format := range map[string]func(mm int) string{
		"unit": func(mm int) string { return fmt.Sprintf("tank ctl[12]: dist %.1f cm; motor on", float64(mm)/10) },
		"bare": func(mm int) string { return fmt.Sprintf("%.1f", float64(mm)/10) },
	} {
		t.Run(name, func(t *testing.T) {
			var lines []string
			for i := range 400 {
				lines = append(lines, format(742+i%5))
			}
			p := Learn(lines, nil)
			if !p.Settled {
				p.Dialect.Fields[0].Unit = "cm"
			}
			dec, err := NewDecoder(p.Dialect)
			require.NoError(t, err)
			for _, l := range lines {
				dec.Decode(nil, []byte(l), time.Time{})
			}
			lost, refused := 0, 0
			for i := range 200 {
				l := format(742 + i%5)
				if i%2 == 1 {
					l = map[string]string{"unit": "tank ctl[12]: dist 500; motor on", "bare": "500"}[name]
				}
				for _, r := range dec.Decode(nil, []byte(l), time.Time{}) {
					if r.EchoLost {
						lost++
					}
					if r.Kind == livelevel.Rejected {
						refused++
					}
				}
			}
			assert.Equal(t, 100, lost)
			assert.Zero(t, refused)
		})
	}
	var plain []string
	for i := range 400 {
		plain = append(plain, fmt.Sprintf("dist=%.1fcm pump=ON", 50+float64(i%5)/10))
	}
	dec, err := NewDecoder(Learn(plain, nil).Dialect)
	require.NoError(t, err)
	for _, l := range plain {
		dec.Decode(nil, []byte(l), time.Time{})
	}
	for _, r := range dec.Decode(nil, []byte("dist=500cm pump=ON"), time.Time{}) {
		assert.Equal(t, livelevel.Rejected, r.Kind, "a lost point is damage")
	}
}

// TestASecondBounceIsNoExtraDigit: 99.5 and 199.5 look like a digit lost or added, and are one ping heard twice.
func TestASecondBounceIsNoExtraDigit(t *testing.T) {
	g := figure{last: 995, now: 1995, known: true, fresh: true}
	assert.False(t, g.damaged(false, nil))
	assert.True(t, g.damaged(true, nil), "where other lines are damaged it is likelier")
	g.now = 3995
	assert.True(t, g.damaged(false, nil), "four times is no bounce")
}

// TestTheUnitOfABareDistanceByTheSheet: a spike far beyond the tank does not speak against centimetres, and what would
// put the water below the bottom or over the overflow is not the unit.
func TestTheUnitOfABareDistanceByTheSheet(t *testing.T) {
	sheet, err := site.Parse("sheet", []byte("sheet: tankhand/site/1\ntank: {shape: vertical cylinder, diameter: 1.3 m, height: 2.4 m, overflow: 2.32 m}\n"+
		"sensor: {face_height: 2.53 m, blanking: 30 mm, range: 4.5 m}\n"))
	require.NoError(t, err)
	var lines []string
	for i := range 400 {
		v := 106.8 + 0.3*float64(i%4)
		if i%12 == 7 {
			v = 20 + float64(i)
		}
		lines = append(lines, fmt.Sprintf("%.1f", v))
	}
	p := Learn(lines, sheet)
	require.True(t, p.Settled, p.Why)
	assert.Equal(t, "cm", p.Dialect.Fields[0].Unit)
	assert.False(t, Learn(lines, nil).Settled, "without a sheet it may be millimetres")

	above := &features{n: 400, lo: 0.1, med: 0.106, usual: 0.11, hi: 0.2}
	assert.Less(t, onSite(livelevel.Ullage, above.med, above.usual, sheet), 0.1, "the overflow is 21 cm below the face")
	assert.Equal(t, 1.0, onSite(livelevel.Ullage, 0.21, 0.3, sheet))
}
