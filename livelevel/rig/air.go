package rig

import (
	"math"
	"time"
)

// air is what stands in the tank top. It is warmest in the afternoon and coldest before dawn.
type air struct {
	start    float64 // hour of the day at time zero
	celsius  float64
	humidity float64 // %
	speed    float64 // m/s
	loss     float64 // dB/m at 40 kHz
	until    float64 // the figures hold until then: they move slowly
}

const (
	meanAir  = 24.0 // degC
	swingAir = 6.0  // K between mean and extreme over the day
)

func newAir(start time.Time) air {
	a := air{start: 10}
	if !start.IsZero() {
		a.start = float64(start.Hour()) + float64(start.Minute())/60
	}
	a.step(0)
	return a
}

// step works the air out anew every two seconds.
func (a *air) step(now float64) {
	if now < a.until {
		return
	}
	a.until = now + 2
	hour := a.start + now/3600
	a.celsius = meanAir + swingAir*math.Sin(2*math.Pi*(hour-10)/24)
	a.humidity = 90
	a.speed = soundSpeed(a.celsius, a.humidity)
	a.loss = absorption(a.celsius, a.humidity)
}

// dew is 1 before dawn, when what can be damp is dampest, and 0 from mid-morning to the evening.
func (a *air) dew(now float64) float64 {
	return math.Max(math.Cos(2*math.Pi*(a.hourOfDay(now)-4)/24), 0)
}

// hourOfDay at a time of the simulation.
func (a *air) hourOfDay(now float64) float64 { return math.Mod(a.start+now/3600, 24) }

// vapourShare is the mole fraction of water vapour in saturated air times the humidity (CIPM-81/91,
// Metrologia 29:67, 1992) at 101.325 kPa.
func vapourShare(celsius, humidity float64) float64 {
	const p = 101325.0
	k := celsius + 273.15
	psv := math.Exp(1.2378847e-5*k*k - 1.9121316e-2*k + 33.93711047 - 6343.1645/k)
	f := 1.00062 + 3.14e-8*p + 5.6e-7*celsius*celsius
	return humidity / 100 * f * psv / p
}

// soundSpeed is that of moist air from the ideal gas law with the mole mass and heat capacity of the
// mixture: c = sqrt(gamma R T / M). Within 0.1 % of the reference table between 0 and 40 degC.
func soundSpeed(celsius, humidity float64) float64 {
	const gas, dryMole, vapourMole = 8.314462618, 0.0289652, 0.01801528
	xw := vapourShare(celsius, humidity)
	gamma := ((1-xw)*3.5 + xw*4.04) / ((1-xw)*2.5 + xw*3.04)
	return math.Sqrt(gamma * gas * (celsius + 273.15) / ((1-xw)*dryMole + xw*vapourMole))
}

// absorption in dB/m at 40 kHz and 101.325 kPa: ISO 9613-1:1993, equations (3) to (5) and annex B.
func absorption(celsius, humidity float64) float64 {
	const f, t0, t01 = 40e3, 293.15, 273.16
	t := celsius + 273.15
	h := humidity * math.Pow(10, -6.8346*math.Pow(t01/t, 1.261)+4.6151)
	oxygen := 24 + 4.04e4*h*(0.02+h)/(0.391+h)
	nitrogen := math.Pow(t/t0, -0.5) * (9 + 280*h*math.Exp(-4.170*(math.Pow(t/t0, -1.0/3)-1)))
	relax := 0.01275*math.Exp(-2239.1/t)/(oxygen+f*f/oxygen) + 0.1068*math.Exp(-3352.0/t)/(nitrogen+f*f/nitrogen)
	return 8.686 * f * f * (1.84e-11*math.Sqrt(t/t0) + math.Pow(t/t0, -2.5)*relax)
}
