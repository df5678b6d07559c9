package survey

import (
	"example.org/tankhand/diagnostics"
)

// Exit is the status a survey or a desk check ends with.
type Exit int

// The statuses that scripts rely on.
const (
	Good       Exit = 0 // nothing failed
	Failed     Exit = 1 // at least one check failed
	CouldNot   Exit = 2 // it could not run
	CannotTell Exit = 3 // nothing failed, but the feed cannot be judged or no check could pass
)

// Status judges findings: of a feed, or of a site sheet.
func Status(findings []diagnostics.Finding) Exit {
	passed, feedUnknown := false, false
	for _, f := range findings {
		switch {
		case f.Verdict == diagnostics.Fail:
			return Failed
		case f.Verdict == diagnostics.Pass:
			passed = true
		case f.Check == "feed-health":
			feedUnknown = true
		}
	}
	if feedUnknown || !passed {
		return CannotTell
	}
	return Good
}
