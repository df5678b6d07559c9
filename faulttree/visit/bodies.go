package visit

import (
	"time"

	"example.org/tankhand/faulttree"
	"example.org/tankhand/livelevel/feed"
)

// Body is what an event says; every Kind has one type of its own.
type Body interface{ kind() Kind }

// The words of an outcome.
const (
	MendedProven = "mended and proven"
	MendedOnly   = "mended, not proven"
	HandedOn     = "handed on"
	NoFaultFound = "no fault found"
	NotSafeToday = "not safe today"
)

// Outcomes lists the words of an outcome in the order in which they are offered.
func Outcomes() []string {
	return []string{MendedProven, MendedOnly, HandedOn, NoFaultFound, NotSafeToday}
}

// The two findings of calibration practice that are kept side by side.
const (
	AsFound = "as found"
	AsLeft  = "as left"
)

type (
	// BegunBody opens a visit.
	BegunBody struct {
		Site       string `json:"site,omitempty"`
		Asset      string `json:"asset,omitempty"`
		Technician string `json:"technician,omitempty"`
		Customer   string `json:"customer,omitempty"`
		Program    string `json:"program,omitempty"` // version that wrote it
	}
	// OpenedBody says where the bytes come from and by what facts they are judged. Sheet and dialect
	// are whole texts, so that an old visit folds to what it was.
	OpenedBody struct {
		Source      string `json:"source"`
		Baud        int    `json:"baud,omitempty"`
		Invented    bool   `json:"invented,omitempty"` // a practice rig, no real installation
		SheetName   string `json:"sheet_name,omitempty"`
		Sheet       string `json:"sheet,omitempty"`
		DialectName string `json:"dialect_name,omitempty"`
		Dialect     string `json:"dialect,omitempty"`
	}
	// DialectBody is how the lines of the feed are read from here on: the text of a dialect file.
	DialectBody struct {
		Name       string  `json:"name,omitempty"`
		Dialect    string  `json:"dialect"`
		Confidence float64 `json:"confidence,omitempty"`
	}
	// EndedBody closes a feed and cites its capture.
	EndedBody struct {
		Why     string         `json:"why"`
		Capture *feed.Citation `json:"capture,omitempty"`
	}
	// ComplaintBody starts the walk, with all that the reasoning rests on.
	ComplaintBody struct {
		ID        string             `json:"id"`
		Title     string             `json:"title,omitempty"`
		Words     string             `json:"words,omitempty"` // the customer's own
		Knowledge string             `json:"knowledge"`       // hash
		Priors    map[string]float64 `json:"priors,omitempty"`
	}
	// FindingsBody is what the checks said; When is AsFound, AsLeft or empty (in between).
	FindingsBody struct {
		When     string          `json:"when,omitempty"`
		Level    *LevelRecord    `json:"level,omitempty"`
		Findings []FindingRecord `json:"findings,omitempty"`
		Desk     []FindingRecord `json:"desk,omitempty"`
		Capture  *feed.Citation  `json:"capture,omitempty"`
	}
	// ShownBody is the step that was offered.
	ShownBody struct {
		Probe    string             `json:"probe,omitempty"`
		Remedy   string             `json:"remedy,omitempty"`
		Proof    bool               `json:"proof,omitempty"`
		HandOn   bool               `json:"hand_on,omitempty"`
		Title    string             `json:"title"`
		Why      string             `json:"why,omitempty"`
		Minutes  float64            `json:"minutes,omitempty"`
		Suspects map[string]float64 `json:"suspects,omitempty"`
	}
	// CautionBody records that cautions were read and acknowledged before a step.
	CautionBody struct {
		Step     string          `json:"step,omitempty"` // probe or cause
		Cautions []CautionRecord `json:"cautions"`
	}
	// CautionRecord is one hazard class with the text that was shown.
	CautionRecord struct {
		Hazard string `json:"hazard"`
		Text   string `json:"text"`
	}
	// StepBody wraps what happened on the walk and adds the words a reader needs.
	StepBody struct {
		faulttree.Step
		Title      string   `json:"title,omitempty"` // the question, or the remedy
		From       string   `json:"from,omitempty"`  // from the feed, measured, looked, prompted
		Unit       string   `json:"unit,omitempty"`  // of Value, SI
		Limit      string   `json:"limit,omitempty"`
		CauseTitle string   `json:"cause_title,omitempty"`
		Parts      []string `json:"parts,omitempty"`
		Proven     bool     `json:"proven,omitempty"` // a proof that lasted long enough
	}
	// UndoBody takes back an earlier event of the visit.
	UndoBody struct {
		Event  string `json:"event"`
		Reason string `json:"reason,omitempty"`
	}
	// NoteBody is a note, with files cited by path and hash.
	NoteBody struct {
		Text  string       `json:"text"`
		Files []Attachment `json:"files,omitempty"`
	}
	// Attachment cites a photo or another file; the file itself stays where it is.
	Attachment struct {
		Path   string `json:"path"`
		Length int64  `json:"length"`
		SHA256 string `json:"sha256"`
	}
	// OutcomeBody closes the visit. What the technician believes cured it and what a proof showed
	// are kept apart: a disturbed joint cures many things.
	OutcomeBody struct {
		Outcome  string `json:"outcome"`
		Cause    string `json:"cause,omitempty"` // named by the walk
		Title    string `json:"title,omitempty"` // of the cause
		Believed string `json:"believed,omitempty"`
		Proven   string `json:"proven,omitempty"`
		// Because is what did the damage, where that was found and mended, too.
		Because      string  `json:"because,omitempty"`
		BecauseTitle string  `json:"because_title,omitempty"`
		FollowUp     string  `json:"follow_up,omitempty"`
		Minutes      float64 `json:"minutes,omitempty"`
		// Prior and Belief of the cause: shipped or learned before, and at the end.
		Prior  *float64 `json:"prior,omitempty"`
		Belief *float64 `json:"belief,omitempty"`
		// Suspects are all beliefs at the end, for what a firm learns from its visits; a practice rig
		// teaches nothing.
		Suspects map[string]float64 `json:"suspects,omitempty"`
		Invented bool               `json:"invented,omitempty"`
	}
	// ReopenedBody takes a closed visit up again.
	ReopenedBody struct {
		Why string `json:"why,omitempty"`
	}
	// CorrectionBody puts one fact right: site, asset, technician, customer, words or follow-up.
	CorrectionBody struct {
		Field  string `json:"field"`
		Value  string `json:"value"`
		Reason string `json:"reason,omitempty"`
	}
)

func (BegunBody) kind() Kind      { return VisitBegun }
func (OpenedBody) kind() Kind     { return FeedOpened }
func (DialectBody) kind() Kind    { return DialectUsed }
func (EndedBody) kind() Kind      { return FeedEnded }
func (ComplaintBody) kind() Kind  { return ComplaintSet }
func (FindingsBody) kind() Kind   { return FindingsMade }
func (ShownBody) kind() Kind      { return StepShown }
func (CautionBody) kind() Kind    { return CautionAck }
func (StepBody) kind() Kind       { return StepTaken }
func (UndoBody) kind() Kind       { return StepUndone }
func (NoteBody) kind() Kind       { return NoteMade }
func (OutcomeBody) kind() Kind    { return OutcomeMade }
func (ReopenedBody) kind() Kind   { return VisitReopened }
func (CorrectionBody) kind() Kind { return Corrected }

// LevelRecord is a level in plain numbers, SI; what was unknown is absent.
type LevelRecord struct {
	At      time.Time `json:"at"`
	How     string    `json:"how,omitempty"`
	Ullage  *float64  `json:"ullage_m,omitempty"`
	Height  *float64  `json:"level_m,omitempty"`
	Percent *float64  `json:"level_percent,omitempty"`
	Volume  *float64  `json:"volume_m3,omitempty"`
	Rate    *float64  `json:"rate_m_per_s,omitempty"`
	U       *float64  `json:"u_level_m,omitempty"`
}

// FindingRecord is a finding in plain words and numbers.
type FindingRecord struct {
	Check    string          `json:"check"`
	Verdict  string          `json:"verdict"`
	Grades   []GradeRecord   `json:"grades,omitempty"`
	Figures  []FigureRecord  `json:"figures,omitempty"`
	Limit    string          `json:"limit,omitempty"`
	Why      string          `json:"why,omitempty"`
	Source   string          `json:"source,omitempty"`
	Missing  string          `json:"missing,omitempty"`
	Change   string          `json:"change,omitempty"`
	From     time.Time       `json:"from,omitzero"`
	To       time.Time       `json:"to,omitzero"`
	Episodes []EpisodeRecord `json:"episodes,omitempty"`
}

// GradeRecord is the word an aspect showed.
type GradeRecord struct {
	Aspect string `json:"aspect"`
	Word   string `json:"word"`
}

// FigureRecord is one number; a nil Value was unknown.
type FigureRecord struct {
	Name  string   `json:"name"`
	Value *float64 `json:"value"`
	Unit  string   `json:"unit,omitempty"`
}

// EpisodeRecord is a stretch in which a check failed.
type EpisodeRecord struct {
	From    time.Time      `json:"from"`
	To      time.Time      `json:"to"`
	Figures []FigureRecord `json:"figures,omitempty"`
}
