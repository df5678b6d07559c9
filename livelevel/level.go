package livelevel

// How says how the ullage of a Level was got.
type How uint8

// The ways. The zero value is the honest one.
const (
	Unknown  How = iota // no reading yet, or none for too long: there is no level
	Measured            // this reading, as it came
	Smoothed            // this reading weighed with its neighbours
	Coasting            // no usable reading now: carried on from the last good ones
	Chosen              // two populations were there; this one was chosen, Why says how
)

// Level is the estimate at a time, from a Reading and the site sheet. Lengths in metres, volume in
// cubic metres. A field that cannot be known is NaN (no tank: no volume; no marks: no percent).
type Level struct {
	Reading Reading
	How     How
	// Ullage is the distance from the sensor's face to the water.
	Ullage float64
	// RawUllage is this reading's own distance, speed of sound put right, before any smoothing or
	// choice; NaN where the reading has none. Checks judge this one.
	RawUllage float64
	Height    float64 // of the water above the tank's bottom
	Percent   float64 // of the height between the taught marks, 0..100, not clamped
	Volume    float64
	Rate      float64 // m/s, of the height: positive when the tank fills
	RateU     float64 // standard uncertainty of Rate
	U         float64 // standard uncertainty of Height (and of Ullage without the mounting)
	UVolume   float64
	// Second is the ullage of a second population of readings when there is one, else NaN.
	Second      float64
	SecondShare float64
	// Why says in a few words how an estimate was chosen or what it rests on.
	Why string
}
