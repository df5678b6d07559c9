package visit

import (
	"fmt"
	"time"
)

const (
	// proofCycles of the pump since the remedy make a proof last: the trouble has had two chances.
	proofCycles = 2
	// proofAtLeast is the least time a proof lasts where no two cycles come: as long as the trouble had
	// been watched before, but not shorter than this.
	proofAtLeast = 10 * time.Minute
)

// ProofTooShort says that a cure was not watched for long enough to call it proven.
type ProofTooShort struct {
	Cycles       int
	Watched, Due time.Duration
}

// Error says what is still to be waited for.
func (e *ProofTooShort) Error() string {
	return fmt.Sprintf("the proof has lasted %d of %d pump cycles, %s of %s: let it run on, or close the visit as %q with a follow-up",
		e.Cycles, proofCycles, e.Watched.Round(time.Second), e.Due.Round(time.Second), MendedOnly)
}

// mending is since when the installation runs as mended.
type mending struct {
	at     time.Time // feed time of the last remedy
	starts int       // of the pump until then
}

// lasted tells whether a proof counts: it has seen two cycles of the pump, or as much feed as the trouble
// had been watched in.
func (r *running) lasted() error {
	if r.mended.at.IsZero() {
		return nil
	}
	e := &ProofTooShort{Cycles: r.live.starts - r.mended.starts, Watched: r.now.Sub(r.mended.at),
		Due: max(proofAtLeast, r.mended.at.Sub(r.live.began))}
	if e.Cycles >= proofCycles || e.Watched >= e.Due {
		return nil
	}
	return e
}
