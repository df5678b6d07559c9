package diagnostics

type pending struct{ passive }

func (p pending) finding(now float64) Finding { return Finding{Check: p.id} }

func newPending(s setup) observer { return &pending{passive{s}} }

func (p *pending) x() {}

var (
	stuckReading    = &kind{id: "stuck-reading", make: newPending}
	pumpNoise       = &kind{id: "pump-noise", make: newPending}
	thresholdMargin = &kind{id: "threshold-margin", make: newPending}
	supplySag       = &kind{id: "supply-sag", make: newPending}
	driftCheck      = &kind{id: "drift", make: newPending}
	marksCheck      = &kind{id: "marks", make: newPending}
	obeysSettings   = &kind{id: "obeys-settings", make: newPending}
	inputsCheck     = &kind{id: "inputs", make: newPending}
)
