package livelevel

import "math"

func speedOfSound(t, humidity float64) float64 {
	return 343.2 * math.Sqrt((t+273.15)/293.15) * (1 + 0.0000355*humidity)
}
