package hydraulics

import "math"

// Horsepower in watts.
const Horsepower = 745.7

// starts is a row of NEMA MG 10, table 2-3: greatest starts an hour and least rest in seconds, for
// 2, 4 and 6 poles.
type starts struct {
	hp   float64
	most [3]float64
	rest [3]float64
}

var nemaStarts = [...]starts{
	{1, [3]float64{15, 30, 34}, [3]float64{75, 38, 33}},
	{1.5, [3]float64{12.9, 25.7, 29.1}, [3]float64{76, 38, 34}},
	{2, [3]float64{11.5, 23, 26.1}, [3]float64{77, 39, 35}},
	{3, [3]float64{9.9, 19.8, 22.4}, [3]float64{80, 40, 36}},
	{5, [3]float64{8.1, 16.3, 18.4}, [3]float64{83, 42, 37}},
	{7.5, [3]float64{7.0, 13.9, 15.8}, [3]float64{88, 44, 39}},
	{10, [3]float64{6.2, 12.5, 14.2}, [3]float64{92, 46, 41}},
	{15, [3]float64{5.4, 10.7, 12.1}, [3]float64{100, 50, 44}},
	{20, [3]float64{4.8, 9.6, 10.9}, [3]float64{110, 55, 48}},
	{25, [3]float64{4.4, 8.8, 10.0}, [3]float64{115, 58, 51}},
}

// plateRounding lets a plate in kilowatts (0.75, 1.5 kW) count as the horsepower it stands for.
const plateRounding = 1.02

// MotorStarts is how often an hour a three-phase motor of design A or B may start, and how long it
// must rest between, s (NEMA MG 10, table 2-3; between its rows the stricter, below 1 hp that of 1 hp).
// ok is false for a motor outside the table.
func MotorStarts(watts float64, poles int) (perHour, rest float64, ok bool) {
	column := poles/2 - 1
	if column < 0 || column > 2 || poles%2 != 0 || !(watts > 0) {
		return math.NaN(), math.NaN(), false
	}
	for _, r := range nemaStarts {
		if watts <= r.hp*Horsepower*plateRounding {
			return r.most[column], r.rest[column], true
		}
	}
	return math.NaN(), math.NaN(), false
}

// SmallPumpStarts is the usual limit of starts an hour, evenly spaced, for single-phase, submersible
// and other small pumps whose maker says nothing. Common practice (10 to 20), no source.
const SmallPumpStarts = 15.0

// motorAmps is a row of NEC table 430.248: full-load current of single-phase motors at 115 V.
type motorAmps struct{ hp, at115 float64 }

var singlePhase = [...]motorAmps{{1.0 / 6, 4.4}, {0.25, 5.8}, {1.0 / 3, 7.2}, {0.5, 9.8}, {0.75, 13.8}, {1, 16}, {1.5, 20}, {2, 24}, {3, 34}, {5, 56}}

// LockedRotor is how many times its full-load current a motor takes at the moment it starts (NEC table
// 430.251(A) has six times).
const LockedRotor = 6.0

// SinglePhaseCurrent is the full-load current of a single-phase motor, A: NEC table 430.248, a
// conservative figure for sizing, in proportion between its rows and by voltage. NaN outside the table.
func SinglePhaseCurrent(watts, volts float64) float64 {
	hp := watts / Horsepower
	last := singlePhase[len(singlePhase)-1]
	if !(hp > 0) || !(volts > 0) || hp > last.hp*1.005 {
		return math.NaN()
	}
	amps := singlePhase[0].at115 * min(1, hp/singlePhase[0].hp)
	for i := 1; i < len(singlePhase); i++ {
		a, b := singlePhase[i-1], singlePhase[i]
		if hp > a.hp {
			amps = a.at115 + (b.at115-a.at115)*min(1, (hp-a.hp)/(b.hp-a.hp))
		}
	}
	return amps * 115 / volts
}
