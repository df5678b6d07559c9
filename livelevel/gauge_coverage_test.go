package livelevel

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/signal"
	"example.org/tankhand/livelevel/site"
	"example.org/tankhand/livelevel/sound"
	"example.org/tankhand/livelevel/tank"
)

func fact(v, u float64, dim quantity.Dim) site.Fact {
	return site.Fact{Quantity: quantity.Quantity{V: v, U: u, Dim: dim}, Origin: site.Measured}
}

// installation draws what is true at one site from what its sheet says, and what its feed shows.
type installation struct {
	sheet    *site.Sheet
	height   float64 // true, m
	volume   float64
	readings []Reading
}

// rectangle draws from within a half-width, as a stated "± half" means.
func rectangle(rng *rand.Rand, half float64) float64 { return half * (2*rng.Float64() - 1) }

func drawInstallation(rng *rand.Rand) installation {
	const half, tilt = 0.006, 2 * math.Pi / 180
	diameter := 0.8 + rng.Float64()
	face := 1.2 + 1.5*rng.Float64()
	temp := 5 + 30*rng.Float64()
	humid := 0.5 + 0.4*rng.Float64()
	tempHalf := 1 + 4*rng.Float64()
	s := &site.Sheet{}
	s.Tank.Shape, _ = tank.VerticalCylinder(diameter, face)
	s.Tank.Diameter = fact(diameter, 0.004/math.Sqrt(3), quantity.Length)
	s.Sensor.FaceHeight = fact(face, half/math.Sqrt(3), quantity.Length)
	s.Sensor.AirTemperature = fact(temp, tempHalf/math.Sqrt(3), quantity.Temperature)
	s.Sensor.AirHumidity = fact(humid, 0.1/math.Sqrt(3), quantity.Ratio)
	s.Sensor.AssumedSpeed = fact(343, 0, quantity.Speed)
	in := installation{sheet: s}
	trueFace := face + rectangle(rng, half)
	trueDiameter := diameter + rectangle(rng, 0.004)
	in.height = (0.1 + 0.7*rng.Float64()) * face
	in.volume = math.Pi / 4 * trueDiameter * trueDiameter * in.height
	air := sound.Air{Temperature: temp + rectangle(rng, tempHalf), Humidity: min(1, humid+rectangle(rng, 0.1))}
	lean := rectangle(rng, tilt)
	slant := (trueFace - in.height) * (1 + (1 - math.Cos(lean)))
	echo := sound.EchoTime(slant, air.Speed())
	noise := 0.001 + 0.004*rng.Float64()
	digits := [...]float64{0.001, 0.005, 0.01}[rng.IntN(3)]
	at := 0.0
	for range 80 {
		at += 0.1
		shown := digits * math.Round((343*echo/2+noise*rng.NormFloat64())/digits)
		r := Reading{Time: feedStart.Add(time.Duration(at * float64(time.Second)))}
		r.Set(Ullage, shown)
		in.readings = append(in.readings, r)
	}
	return in
}

// TestCoverage draws installations from the uncertainties that their own sheets state, one instant
// each: the 95 % interval must hold the truth in 93 to 97 % (JCGM 100:2008, 6.2).
func TestCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(2026, 5))
	const n = 3000
	var level, volume int
	for range n {
		in := drawInstallation(rng)
		g := NewGauge(in.sheet)
		var l Level
		for _, r := range in.readings {
			l = g.Add(r)
		}
		require.Equal(t, Smoothed, l.How)
		if math.Abs(l.Height-in.height) <= signal.Z95*l.U {
			level++
		}
		if math.Abs(l.Volume-in.volume) <= signal.Z95*l.UVolume {
			volume++
		}
	}
	fmt.Printf("coverage of the 95 %% interval over %d installations: level %.1f %%, volume %.1f %%\n", n, 100*float64(level)/n, 100*float64(volume)/n)
	assert.InDelta(t, 0.95, float64(level)/n, 0.02)
	assert.InDelta(t, 0.95, float64(volume)/n, 0.02)
}
