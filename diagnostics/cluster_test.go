package diagnostics

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/site"
)

// nights plays some days of a feed, a reading a minute, and loses so many echoes in a stretch of the day, 70 of
// them between 22:10 and 05:40 of each night, and some at noon.
func nights(days int, zone *time.Location, uptime bool) *Monitor {
	sheet := &site.Sheet{}
	m, g := NewMonitor(sheet, 0), livelevel.NewGauge(sheet)
	start := time.Date(2026, 5, 4, 12, 0, 0, 0, zone)
	if uptime {
		start = time.Unix(0, 0).UTC()
	}
	for i := range days * 1440 {
		r := livelevel.Reading{Time: start.Add(time.Duration(i) * time.Minute), Kind: livelevel.Report}
		minute := (i + 12*60) % 1440
		inside := minute >= 22*60+10 || minute < 5*60+40
		if inside && i%6 == 0 || i == 1 || i == 200 {
			r.EchoLost = true
		} else {
			r.Set(livelevel.Ullage, 1+0.001*float64(i%3))
		}
		l := g.Add(r)
		m.Add(&l)
	}
	return m
}

func echoes(m *Monitor) Finding { return m.Findings(time.Time{})[1] }

func TestMostlyAtNight(t *testing.T) {
	east, err := time.LoadLocation("Asia/Kolkata")
	require.NoError(t, err)
	for _, zone := range []*time.Location{time.UTC, east, time.FixedZone("west", -7*3600)} {
		for _, days := range []int{1, 3, 21} {
			f := echoes(nights(days, zone, false))
			require.NotNil(t, f.Mostly, f.Why)
			assert.Equal(t, "22:10", f.Mostly.From)
			assert.Equal(t, "05:40", f.Mostly.To)
			assert.Equal(t, f.Mostly.Of-2, f.Mostly.In)
			assert.Contains(t, f.Why, "between 22:10 and 05:40")
		}
	}
	assert.Nil(t, echoes(nights(3, time.UTC, true)).Mostly, "an uptime tells no time of day")
}

// Chance makes clusters too: of a thousand days with a few events at any time hardly one may be called a cluster.
func TestNoClusterByLuck(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	found := 0
	for range 1000 {
		var c dayCounts
		for slot := range slotsOfDay {
			c.add(int16(slot), 0, 60)
		}
		for range 8 + rng.IntN(30) {
			c.add(int16(rng.IntN(slotsOfDay)), 1, 0)
		}
		if c.cluster() != nil {
			found++
		}
	}
	assert.LessOrEqual(t, found, 1)
}

// A feed that covers only the hours of the events shows no cluster; nor do a handful of events.
func TestNoClusterWhereThereIsNothingToCompare(t *testing.T) {
	var c dayCounts
	for slot := range int16(6) {
		c.add(slot, 20, 20)
	}
	assert.Nil(t, c.cluster())
	var few dayCounts
	for slot := range int16(slotsOfDay) {
		few.add(slot, 0, 60)
	}
	few.add(3, fewestClustered-1, 0)
	assert.Nil(t, few.cluster())
	few.add(3, 1, 0)
	assert.Equal(t, "8 of 8 between 00:30 and 00:40", few.cluster().String())
	few.add(noSlot, 100, 1)
	assert.Equal(t, 8, few.cluster().Of)
}

// The worked value of the likelihood ratio: 71 of 74 events where a third of the chances lie.
func TestLikelihoodRatio(t *testing.T) {
	assert.InDelta(t, 66.66316, likelihoodRatio(71, 74, 1.0/3), 1e-3) // 71 ln(71/24.667) + 3 ln(3/49.333)
	assert.Zero(t, likelihoodRatio(10, 74, 1.0/3))
}
