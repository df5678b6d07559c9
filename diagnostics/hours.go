package diagnostics

import (
	"fmt"
	"strings"
	"time"
)

// Hours is a stretch of the day by the feed's own clock, as 22:00-06:00; it may pass midnight. The zero
// value is the whole day.
type Hours struct{ from, to time.Duration }

// ParseHours reads "22:00-06:00".
func ParseHours(text string) (Hours, error) {
	from, to, ok := strings.Cut(text, "-")
	var h Hours
	var err error
	if ok {
		if h.from, err = timeOfDay(from); err == nil {
			h.to, err = timeOfDay(to)
		}
	}
	if !ok || err != nil || h.from == h.to {
		return Hours{}, fmt.Errorf("%q is no stretch of the day: give two times, as in 22:00-06:00", text)
	}
	return h, nil
}

// timeOfDay reads 22:00 or 6:00; 24:00 is the midnight that ends the day.
func timeOfDay(text string) (time.Duration, error) {
	text = strings.TrimSpace(text)
	if text == "24:00" {
		return 24 * time.Hour, nil
	}
	t, err := time.Parse("15:04", text)
	if err != nil {
		return 0, err
	}
	return sinceMidnight(t), nil
}

func sinceMidnight(t time.Time) time.Duration {
	return time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute + time.Duration(t.Second())*time.Second
}

// Holds tells whether a time lies in the stretch: its first minute does, the one at its end does not.
func (h Hours) Holds(t time.Time) bool {
	at := sinceMidnight(t)
	switch {
	case h == Hours{}:
		return true
	case h.from < h.to:
		return at >= h.from && at < h.to
	}
	return at >= h.from || at < h.to
}

// String is the range as a clock shows it: 22:00-06:00.
func (h Hours) String() string {
	if h == (Hours{}) {
		return "the whole day"
	}
	return clockTime(h.from) + "-" + clockTime(h.to)
}

func clockTime(d time.Duration) string {
	return fmt.Sprintf("%02d:%02d", int(d.Hours()), int(d.Minutes())%60)
}
