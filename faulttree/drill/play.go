package drill

import (
	"context"
	"errors"
	"time"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/faulttree/visit"
)

// Player works a drill without a screen.
type Player interface {
	// Turn is what the player does next; last is why the command before was refused. nil leaves the drill
	// where it stands.
	Turn(ctx context.Context, now visit.Snapshot, last error) (visit.Command, error)
}

// mostTurns ends a play that would not end.
const mostTurns = 400

// Play lets a player work the drill from the customer's words until the visit is closed or left.
func Play(ctx context.Context, s *Session, p Player) error {
	if err := s.Listened(ctx); err != nil {
		return err
	}
	l := s.opt.Lesson
	if err := s.Do(ctx, visit.SetComplaint{ID: l.Complaint, Words: l.Story}); err != nil {
		return err
	}
	var last error
	for range mostTurns {
		now, err := s.Settled(ctx)
		if err != nil {
			return err
		}
		c, err := p.Turn(ctx, now, last)
		if err != nil || c == nil {
			return err
		}
		last = s.Do(ctx, c)
		if _, closes := c.(visit.CloseVisit); closes && last == nil {
			return nil
		}
	}
	return errors.New("the drill does not come to an end")
}

// Settled waits while the feed can answer the offered step by itself.
func (s *Session) Settled(ctx context.Context) (visit.Snapshot, error) {
	err := s.until(ctx, func(n visit.Snapshot) bool {
		if n.Walk == nil || n.Walk.Offer.Probe == nil || n.Walk.Offer.Probe.Kind != "watch" {
			return true
		}
		s.mu.Lock()
		defer s.mu.Unlock()
		return s.watch.times >= mostWaits && !n.Now.Before(s.watch.until)
	})
	return s.newest(), err
}

// Passed is how much simulated time has gone by in the drill.
func (s *Session) Passed() time.Duration {
	s.mu.Lock()
	defer s.mu.Unlock()
	return minutes(s.log.Minutes + s.log.Waited)
}

// CannotTell passes over the offered step.
func CannotTell(reason string) visit.Command {
	return visit.SkipStep{How: faulttree.CannotTell, Reason: reason}
}
