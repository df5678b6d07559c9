// Package faulttree reasons from a complaint and evidence to suspects and to the next step: what is
// likely, what to do next and why.
package faulttree

import (
	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/livelevel/site"
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
}

// Suspect is one cause with its probability now and what moved it.
type Suspect struct {
	Cause       string
	Title       string
	Probability float64
	Prior       float64
	Cured       bool
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
	With     float64   // expected minutes left with this step
	Swap     float64   // expected minutes left when one starts swapping now
}

// Caution is one hazard class and its text.
type Caution struct{ Hazard, Text string }

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

// Options of a walk.
type Options struct {
	Sheet  *site.Sheet        // limits of measured probes, lid and mains
	Priors map[string]float64 // learned, by cause; nil: the shipped ones
	// NoFeed: watch and feed-prompted probes are not to be had.
	NoFeed bool
}

// Walk is a value: Apply returns the next walk and leaves this one as it was.
type Walk struct {
	Complaint *knowledge.Complaint
	steps     []Step
}

// Start begins a walk from a complaint.
func Start(base *knowledge.Base, complaint string, opt Options) (Walk, error) { return Walk{}, nil }

// Apply takes one step and returns the next walk.
func (w Walk) Apply(s Step) (Walk, error) { return w, nil }

// Undo drops the last step of the technician (evidence of the feed stays); ok is false when there is none.
func (w Walk) Undo() (next Walk, ok bool) { return w, false }

// Steps are all steps so far.
func (w Walk) Steps() []Step { return w.steps }

// Path is the steps as lines of the tree.
func (w Walk) Path() []Taken { return nil }

// Grades turns the findings of the checks into the answers of this complaint's watch probes; what
// cannot be told is left out.
func (w Walk) Grades(findings []diagnostics.Finding) map[string]string { return nil }

// Suspects are all causes, Unlisted included, most likely first.
func (w Walk) Suspects() []Suspect { return nil }

// Next is the step the walk offers.
func (w Walk) Next() Offer { return Offer{} }

// Classify turns a meter reading in SI into a probe's answer by the limits of the sheet; ok is
// false where a limit cannot be computed.
func (w Walk) Classify(probe string, v float64) (answer string, ok bool) { return "", false }

// Seen tells which complaints the findings show, and by which checks.
func Seen(base *knowledge.Base, findings []diagnostics.Finding) []Sighting { return nil }

// Sighting is one complaint and whether the checks show it. All complaints are always listed.
type Sighting struct {
	Complaint string
	Seen      bool
	Because   []string // checks
	TooShort  bool     // some rule needs a longer feed than there was
}
