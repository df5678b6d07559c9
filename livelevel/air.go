package livelevel

import (
	"math"

	"example.org/tankhand/livelevel/sound"
)

// air is the air over the water as known now, with the speed of sound in it. It is worked out anew
// only when the temperature or the humidity changes.
type air struct {
	temp, humidity   float64 // degC (NaN: not known), percent
	tempU, humidityU float64
	speed            float64 // m/s; at 20 degC when the temperature is not known
	relU             float64 // relative standard uncertainty of the speed
	relTemp, relHum  float64 // its two parts
}

// breathe takes temperature and humidity from a reading; what no air can have is left out.
func (g *Gauge) breathe(r *Reading) {
	a := &g.air
	changed := a.speed == 0
	if v, ok := r.Get(AirTemperature); ok && v > -40 && v < 70 && v != a.temp {
		a.temp, a.tempU, changed = v, feedTempHalf/root3, true
	}
	if v, ok := r.Get(Humidity); ok && v >= 0 && v <= 100 && v != a.humidity {
		a.humidity, a.humidityU, changed = v, feedHumidityHalf/root3, true
	}
	if changed {
		*a = airAt(a.temp, a.tempU, a.humidity, a.humidityU)
	}
}

func airAt(t, tu, h, hu float64) air {
	a := air{temp: t, humidity: h, tempU: tu, humidityU: hu}
	at := t
	if math.IsNaN(t) {
		at, a.tempU = 20, noTempHalf/root3
	}
	a.speed = speedOfSound(at, h)
	a.relTemp = a.tempU / (2 * (at + 273.15))
	a.relHum = (speedOfSound(at, 100) - speedOfSound(at, 0)) / a.speed * hu / 100
	a.relU = math.Hypot(a.relTemp, a.relHum)
	return a
}

// speedOfSound takes the humidity in percent, as feeds carry it.
func speedOfSound(t, humidity float64) float64 {
	return sound.Air{Temperature: t, Humidity: humidity / 100}.Speed()
}
