// Package faulttree reasons from a complaint and evidence to suspects and to the next step: what is
// likely, what to do next and why.
//
// A complaint has causes with priors, one of them always something unlisted; exactly one is taken to be
// there (two are met one after the other: see FollowUp, Pairs, and what conclude does with a cure that
// did not end the complaint). A probe has answers, and a row says how often each comes up under a cause;
// answers are independent given the cause. Belief is Bayes' rule over the answers that count, folded anew
// from the list of steps each time, so it does not depend on their order and undo is free.
//
// The next step is the one that leaves the fewest expected minutes, looking two steps ahead and then
// falling back on repairs by falling chance per minute, with handing on always open (troubleshooting by
// decision theory: Breese and Heckerman 1996, arXiv 1302.3563; order of repairs: Kadane and Simon 1977, as
// cited in arXiv 1203.3502; set-ups paid once: the cost clusters of the same; conflict: Jensen, Chamberlain,
// Nordahl and Jensen 1990). Minutes are weighed by hazard, so that a step near live mains must be worth
// twice its time. All priors, rows, minutes and weights of the knowledge are engineering judgement, no
// published source.
package faulttree

import (
	"example.org/tankhand/faulttree/knowledge"
)

// Unlisted is the cause that is always there: none of the listed.
const Unlisted = "unlisted"

// Act is what a Step does.
type Act string

// The acts of a walk; visit events store these words.
const (
	Evidence   Act = "evidence"    // watch probes read from the feed (the program's own act)
	Answered   Act = "answer"      // a probe's answer
	Skipped    Act = "skip"        // not asked today
	CannotTell Act = "cannot-tell" // tried, no answer
	NotSafe    Act = "not-safe"    // refused for safety
	BringBack  Act = "bring-back"  // a skipped probe is open again
	Remedied   Act = "remedy"      // the remedy of Cause was done; its proofs are next
	PutBack    Act = "put-back"    // the remedy of Cause was undone
	ProofRun   Act = "proof"       // a proof probe answered after a remedy
	FollowedUp Act = "follow-up"   // after a proven cure of damage: what did the damage is asked
	Finished   Act = "finish"      // outcome named or handed on
)

// Step is one thing that happened on a walk; the walk is the fold of its steps.
type Step struct {
	Act    Act    `json:"act"`
	Probe  string `json:"probe,omitempty"`
	Cause  string `json:"cause,omitempty"`
	Answer string `json:"answer,omitempty"`
	// Value is the meter's reading in SI, when there was one.
	Value   *float64 `json:"value,omitempty"`
	Minutes float64  `json:"minutes,omitempty"`
	Reason  string   `json:"reason,omitempty"`
	// Grades are the watch answers by probe, for Act evidence.
	Grades map[string]string `json:"grades,omitempty"`
	// Outcome of Act finish: named or handed-on.
	Outcome string `json:"outcome,omitempty"`
	// Why is the reason that was shown with the offered step.
	Why string `json:"why,omitempty"`
	// Notes say for Act evidence, by probe, what the check saw: "41 starts an hour (limit 15)".
	Notes map[string]string `json:"notes,omitempty"`
}

// Suspect is one cause with its probability now and what moved it.
type Suspect struct {
	Cause       string
	Title       string
	Probability float64
	Prior       float64
	Cured       bool
	// Shown: the answers speak for it, and not just as well for an installation in good order.
	Shown bool
	// Moved lists the evidence that spoke for (Bits > 0) or against it, strongest first.
	Moved []Weight
}

// Weight is what one answer did to a suspect: log2 of the likelihood ratio against the mean.
type Weight struct {
	Probe, Answer string
	Bits          float64
}

// Offer is the next step: exactly one of Probe, Remedy, HandOn, Done is set.
type Offer struct {
	Probe  *knowledge.Probe
	Remedy *knowledge.Cause
	// Proof: the probe is asked to prove the remedy of Cured; Want is the answer that proves it.
	Proof  bool
	Cured  string
	Want   string
	HandOn bool
	Done   bool // cured and proven

	Title    string // one line: what to do
	Why      string // one plain sentence with its numbers
	Minutes  float64
	Cautions []Caution // to be acknowledged before
	Have     []string  // what to have in hand
	Branches []Branch  // where each answer would lead
	Limits   []float64 // measured: the bands computed from the sheet, SI; nil: pick by hand
	Good     string    // measured: "above 4.75 V (95 % of 5 V)", else ""
	Missing  []string  // measured: facts that the site sheet lacks for the limits
	With     float64   // expected minutes left with this step
	Swap     float64   // expected minutes left when one starts swapping now
	First    []string  // remedies: what must be done before the new part runs
	Then     []string  // remedies and Done: what to look at so that it does not come back
	Proven   bool      // Done: both proofs passed; else "mended, not proven"
	// Further is what may be asked beyond a Done: what killed the part (Act follow-up); "" when nothing.
	Further string
}

// Caution is one hazard class and its text.
type Caution struct {
	Hazard string `json:"hazard"`
	Text   string `json:"text"`
}

// Branch is where one answer would lead.
type Branch struct {
	Answer      string
	Probability float64
	// Leads names the leading suspects or the next step after that answer.
	Leads []string
}

// Taken is one line of the path so far, for the tree on the screen.
type Taken struct {
	Step  Step
	Title string // "relay switches 41 an hour (limit 15)" or the probe's question
	From  string // "from the feed", "measured", "looked", "prompted"
	Mark  rune   // + good, ! bad, ? cannot tell
	Stale bool   // from before a cure; no longer counted
}
