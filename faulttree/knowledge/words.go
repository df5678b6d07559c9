package knowledge

// Aspects are the grade words of the automatic checks by CHECK.ASPECT: a watch probe's answers are
// exactly these, in this order. The checks hold the limits behind the words; a test compares.
var Aspects = map[string][]string{
	"feed-health.state":       {"clean", "damaged", "unreadable", "boot-only", "stops", "silent", "no-port", "busy", "no-right"},
	"echo-dropouts.amount":    {"few", "some", "nearly-all"},
	"echo-dropouts.when":      {"any-time", "near-full", "near-empty", "with-pump", "comes-and-goes", "certain-hours"},
	"reading-spread.amount":   {"small", "medium", "large"},
	"reading-shape.shape":     {"quiet", "spikes", "fixed-second", "double-second", "ghost", "wanders"},
	"stuck-reading.motion":    {"follows", "frozen-near", "frozen-elsewhere"},
	"pump-noise.sync":         {"same", "worse-on", "only-on"},
	"relay-switching.amount":  {"rare", "several", "many"},
	"relay-switching.spacing": {"near-a-mark", "even-and-quick", "after-restarts", "at-any-level"},
	"relay-switching.rest":    {"kept", "short"},
	"threshold-margin.band":   {"far-too-small", "tight", "wide"},
	"restarts.when":           {"none", "relay-pulls-in", "relay-drops-out", "other-times", "as-we-opened"},
	"restarts.cause":          {"not-given", "power", "program", "port"},
	"supply-sag.dip":          {"slight", "marked", "deep"},
	"fill-rate.rise":          {"falls", "none", "slow", "as-expected"},
	"fill-rate.course":        {"same", "fades", "none-from-start"},
	"fill-rate.runs":          {"alike", "weaker"},
	"draw-rate.trend":         {"falls", "steady", "rises", "rises-past-full"},
	"drift.drift":             {"none", "with-temperature", "steady"},
	"marks.state":             {"agree", "differ", "swapped", "low-above-full", "full-in-blanking", "full-above-overflow", "blank"},
	"obeys-settings.mode":     {"auto", "manual"},
	"obeys-settings.obeys":    {"as-set", "starts-wrong", "stops-wrong"},
	"inputs.state":            {"quiet", "presses", "held"},
}

// Order is that of the complaints, shipped ones first.
var Order = []string{"no-echo", "erratic-reading", "relay-chatter", "pump-runs-dry", "wrong-reading", "pump-wont-start", "pump-wont-stop",
	"controller-silent"}

// Hazards are the words of hazards, from light to grave.
var Hazards = []string{"elv", "drinking-water", "height", "mains-dead", "rotating", "running-pump", "capacitor", "dry-run", "mains-live",
	"tank-entry"}

// Needs are the words of set-ups.
var Needs = []string{"lid", "top", "isolated", "pump-held", "water", "scope", "fast-hold", "insulation-tester", "meter", "clamp", "feed",
	"override", "spare-sensor"}
