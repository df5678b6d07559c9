package diagnostics

import (
	"math"

	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/site"
	"example.org/tankhand/livelevel/sound"
)

const (
	howEmpty    = "measure from the sensor's face down to the water at the empty mark, or teach it anew and note it"
	howFull     = "measure from the sensor's face down to the water at the full mark, or teach it anew and note it"
	howBlanking = "the sensor's data sheet, or the shortest distance it shows with a board held nearer and nearer"
	howFace     = "tape from the sensor's face to the tank's bottom, inside to inside"
)

// farthest is the greatest distance to the water that there can be: to the bottom, else to the empty mark.
func farthest(d *desk, s *site.Sheet) float64 {
	if s.Sensor.FaceHeight.Known() {
		return d.use("sensor.face_height", s.Sensor.FaceHeight)
	}
	if s.Marks.Empty.Known() {
		return d.use("marks.empty", s.Marks.Empty)
	}
	d.lacks("sensor.face_height", howFace)
	return math.NaN()
}

// lowest is the distance to the lowest water that matters: the empty mark, else the bottom.
func lowest(d *desk, s *site.Sheet) float64 {
	if s.Marks.Empty.Known() {
		return d.use("marks.empty", s.Marks.Empty)
	}
	return farthest(d, s)
}

// speedHere is the speed of sound at the sheet's temperature and humidity, else at 20 degC, 50 %.
func speedHere(s *site.Sheet) float64 {
	return sound.Air{Temperature: s.Sensor.AirTemperature.Or(20), Humidity: s.Sensor.AirHumidity.Or(0.5)}.Speed()
}

func beamClearance(d *desk, s *site.Sheet) {
	far := lowest(d, s)
	angle := d.need("sensor.beam_half_angle", s.Sensor.BeamHalfAngle, "the sensor's data sheet; ask whether it gives the full or the half angle")
	wall := d.need("sensor.wall_distance", s.Sensor.WallDistance, "tape from the beam's axis to the nearest wall, ladder or inlet stream")
	radius := sound.Footprint(far, angle)
	d.figure("footprint_radius_m", radius, "m")
	d.figure("wall_distance_m", wall, "m")
	d.figure("clear_down_to_m", wall/math.Tan(angle), "m")
	d.limit("geometry: distance times the tangent of the half-angle; to keep that clear is "+practice,
		"wall no nearer to the axis than the beam's radius at the lowest water")
	if d.short() {
		return
	}
	if radius <= wall {
		d.verdict(true, "the beam is %s wide to each side at %s, the wall is %s away", d.metres(radius), d.metres(far), d.metres(wall))
		return
	}
	d.verdict(false, "the beam meets the wall %s below the sensor; the lowest water is at %s", d.metres(wall/math.Tan(angle)), d.metres(far))
	d.change("move the sensor to %s or more from the wall, or take one with a half-angle of at most %s, or fit a stilling pipe",
		d.metres(radius), d.show(math.Atan(wall/far), quantity.Angle))
}

// leastBlanking keeps ripples out of the blanking distance.
const leastBlanking = 0.02

func blankingMargin(d *desk, s *site.Sheet) {
	full := d.need("marks.full", s.Marks.Full, howFull)
	blank := d.need("sensor.blanking", s.Sensor.Blanking, howBlanking)
	margin := full - blank
	d.figure("margin_m", margin, "m")
	d.figure("full_m", full, "m")
	d.figure("blanking_m", blank, "m")
	d.limit(practice, "full mark at least %s farther than the blanking distance", d.metres(leastBlanking))
	if d.short() {
		return
	}
	if margin >= leastBlanking {
		d.verdict(true, "the full mark is %s beyond the blanking distance", d.metres(margin))
		return
	}
	d.verdict(false, "the full mark is at %s, nothing nearer than %s is measured: near full the echo is lost or doubled", d.metres(full), d.metres(blank))
	d.change("raise the sensor by %s, or teach full at %s", d.metres(leastBlanking-margin), d.metres(blank+leastBlanking))
}

// rangeReserve is how much farther than the lowest water a sensor should reach: ripples, foam and a
// damp face cost echo.
const rangeReserve = 1.1

func rangeMargin(d *desk, s *site.Sheet) {
	far := farthest(d, s)
	reach := d.need("sensor.range", s.Sensor.Range, "the sensor's data sheet")
	d.figure("margin_m", reach-far, "m")
	d.figure("farthest_m", far, "m")
	d.figure("range_m", reach, "m")
	spread, absorbed := sound.EchoLoss(far, sound.Air{Temperature: s.Sensor.AirTemperature.Or(20), Humidity: s.Sensor.AirHumidity.Or(0.5)}, sound.Frequency)
	d.figure("echo_loss_db", spread+absorbed, "dB")
	d.limit(practice, "range at least %.1f times the greatest distance", rangeReserve)
	if d.short() {
		return
	}
	ok := reach >= rangeReserve*far
	d.verdict(ok, "the sensor reaches %s, the farthest water is at %s", d.metres(reach), d.metres(far))
	if !ok {
		d.change("lower the sensor to at most %s above the bottom (blanking permitting), or take one with a range of %s",
			d.metres(reach/rangeReserve), d.metres(far*rangeReserve))
	}
}

// ringDown is how long a transducer rings on when the sheet's blanking distance does not say.
const ringDown = 0.0015

func pingInterval(d *desk, s *site.Sheet) {
	every := d.need("sensor.ping_interval", s.Sensor.PingInterval, "the firmware's settings, or a scope on the trigger line")
	var far float64
	if s.Sensor.Range.Known() {
		far = d.use("sensor.range", s.Sensor.Range)
	} else {
		far = farthest(d, s)
	}
	c := speedHere(s)
	ring := ringDown
	if s.Sensor.Blanking.Known() {
		ring = sound.EchoTime(s.Sensor.Blanking.V, c)
	}
	least := sound.PingInterval(far, ring, c)
	d.figure("interval_s", every, "s")
	d.figure("least_s", least, "s")
	d.limit("echo time there and back from the range, plus ringing; 60 ms is "+practice, "between pings at least the echo time from the farthest target plus ringing")
	if d.short() {
		return
	}
	ok := every >= least
	d.verdict(ok, "it pings every %s, an echo from %s needs %s", d.show(every, quantity.Time), d.metres(far), d.show(least, quantity.Time))
	if !ok {
		d.change("ping every %s or more seldom: a late echo then cannot pass for the next one", d.show(max(least, sound.UsualPing), quantity.Time))
	}
}

// notAssumed makes a fact unknown that is only a preset: a guess of the temperature says nothing about
// an error by temperature.
func notAssumed(f site.Fact) site.Fact {
	if f.Origin == site.Assumed {
		return site.Fact{}
	}
	return f
}

// temperatureSwing is how much the air over a tank changes between a cold and a hot day.
const temperatureSwing = 10.0

func temperatureEffect(d *desk, s *site.Sheet) {
	far := lowest(d, s)
	assumed := d.need("sensor.assumed_speed", s.Sensor.AssumedSpeed,
		"the firmware's settings (dividing by 58 us/cm is 344.8 m/s); when it corrects by temperature, nothing is to be done")
	t := d.need("sensor.air_temperature", notAssumed(s.Sensor.AirTemperature), "a thermometer beside the sensor, in the shade")
	perTen := far * temperatureSwing / (2 * (s.Sensor.AirTemperature.Or(20) + 273.15))
	c := speedHere(s)
	now := far * (assumed/c - 1)
	d.figure("effect_10k_m", perTen, "m")
	d.figure("error_now_m", now, "m")
	d.figure("speed_m_per_s", c, "m/s")
	allowed := 0.02
	if s.Marks.Full.Known() && s.Marks.Empty.Known() {
		allowed = max(0.005, 0.02*math.Abs(s.Marks.Empty.V-s.Marks.Full.V))
	}
	d.limit("speed of sound after J. Acoust. Soc. Am. 93:2510 (1993); 2 % of the distance between the marks is "+practice,
		"at most %s wrong at the lowest water", d.metres(allowed))
	if d.short() {
		return
	}
	ok := math.Abs(now) <= allowed
	d.verdict(ok, "at %s the firmware's fixed speed makes %s read %s; each 10 K is %s", d.show(t, quantity.Temperature), d.metres(far), d.metres(far+now), d.metres(perTen))
	if !ok {
		d.change("divide by %s at this temperature, or fit a temperature sensor and correct", d.show(c, quantity.Speed))
	}
}
