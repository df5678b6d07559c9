// Package knowledge holds what the program knows of faults: complaints, causes, probes and
// remedies as embedded YAML, with its loader and linter.
package knowledge

import "time"

// Base is all knowledge, checked.
type Base struct {
	Complaints []*Complaint // in the order in which they are offered
	Causes     map[string]*Cause
	Probes     map[string]*Probe
	// Hash identifies the knowledge; a visit's complaint event carries it.
	Hash string
}

// Complaint is what the customer says.
type Complaint struct {
	ID, Title, Opening string
	// First is what must be done before anything else, while water or pump do harm; may be empty.
	First    string
	Seen     []Seen
	Unlisted float64
	Priors   map[string]float64 // scaled: with Unlisted they sum to 1
	Causes   []string           // of Priors, in file order
	Probes   []string
	Proof    Proof
	Usual    map[string][]float64            // probe -> row, given this complaint
	Rows     map[string]map[string][]float64 // probe -> cause -> row, given this complaint
}

// Seen is one rule by which a survey notices a complaint: the aspect shows one of the words for that long.
type Seen struct {
	Check, Aspect string
	Any           []string
	For           time.Duration
}

// Proof is the answer of a probe that shows a cure.
type Proof struct{ Probe, Want string }

// Cause is something that can be wrong, with its remedy.
type Cause struct {
	ID, Title, Remedy string
	// About is a short text for a learner: how it comes about, how it shows, how it is proven.
	About   string
	Parts   []string
	Minutes float64
	Works   float64
	Hazards []string
	Proof   Proof
	Because []string
	Also    []Also
}

// Also is something to do with a cure, so that the trouble does not come back.
type Also struct {
	Probe, Note string
	Before      bool
}

// Probe is what the fault tree asks.
type Probe struct {
	ID, Kind      string // watch | prompted | measured | looked
	Check, Aspect string // watch only
	Sees          []string
	Ask, Caution  string
	Drawing       string // a small text drawing, may be empty
	Unit          string // measured: unit of the reading in the YAML's words; its bands are SI
	Bands         []string
	Needs         []string
	Window        time.Duration
	Minutes       float64
	Hazards       []string
	After         []string
	NotAfter      map[string][]string
	Answers       []string
	Usual         []float64
	Rows          map[string][]float64
	// Trial names how the tool watches the feed for a prompted probe's answer; empty: it cannot.
	Trial string
}
