package drill

import (
	"fmt"
	"strings"
	"time"

	"example.org/tankhand/faulttree/visit"
)

// Adults read English silently at about 238 words a minute (Brysbaert 2019, a meta-analysis of 190
// studies; from memory). Who acknowledges a caution in less than a quarter of that time has not read
// it; the quarter is engineering judgement, in favour of the trainee.
const (
	wordsAMinute = 238.0
	hastyShare   = 0.25
)

// unread are the cautions that were acknowledged faster than they can be read. A text that was read
// before in this visit need not be read again.
func unread(events []visit.Event) (out []Lapse) {
	var shown visit.ShownBody
	var since time.Time
	read := map[string]bool{}
	for _, e := range events {
		body, err := visit.Decode(e)
		if err != nil {
			continue
		}
		switch b := body.(type) {
		case visit.ShownBody:
			shown, since = b, e.At
		case visit.CautionBody:
			fresh, hazards := 0, []string(nil)
			for _, c := range b.Cautions {
				if !read[c.Text] {
					fresh += len(strings.Fields(c.Text))
					hazards = append(hazards, c.Hazard)
				}
				read[c.Text] = true
			}
			need := time.Duration(float64(fresh) / wordsAMinute * hastyShare * float64(time.Minute))
			if took := e.At.Sub(since); fresh > 0 && took < need {
				out = append(out, Lapse{Step: shown.Title, Hazards: hazards,
					How: fmt.Sprintf("acknowledged after %.1f s; it takes %.0f s to read", took.Seconds(), float64(fresh)/wordsAMinute*60)})
			}
		}
	}
	return out
}
