package command

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/tui/plain"
)

// typist is a person at a plain terminal: whenever the program asks, reply says what is typed.
type typist struct {
	mu    sync.Mutex
	all   bytes.Buffer
	since int // where the present question began
	in    *io.PipeWriter
	reply func(asked string) string
}

// Write hears the program; what ends in a prompt is answered.
func (p *typist) Write(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.all.Write(b)
	asked := p.all.String()[p.since:]
	if strings.HasSuffix(asked, "help): ") {
		p.since = p.all.Len()
		answer := p.reply(asked) + "\n"
		go func() { _, _ = io.WriteString(p.in, answer) }()
	}
	return len(b), nil
}

// talk lets a technician walk at a plain terminal, and returns all that was said.
func talk(t *testing.T, reply func(asked string) string, args ...string) (said string, status int) {
	t.Helper()
	in, typed := io.Pipe()
	person := &typist{in: typed, reply: reply}
	var errs bytes.Buffer
	p := &Program{In: in, Out: person, Err: &errs, Version: "test"}
	status = p.Run(args)
	require.NotEqual(t, 2, status, errs.String())
	return person.all.String(), status
}

// rule is what a typist answers to a question that holds some words; the first that fits is used, once.
type rule struct{ asked, reply string }

// byRules answers by rules, those that fit every step last; what no rule fits ends the walk.
func byRules(rules []rule) func(asked string) string {
	used := make([]bool, len(rules))
	return func(asked string) string {
		for i, r := range rules {
			if !used[i] && strings.Contains(asked, r.asked) {
				used[i] = true
				return r.reply
			}
		}
		return "q"
	}
}

// TestThePlainWalkWatchesThePromptedProbes holds the board under a deaf sensor of the practice rig: the
// feed's own answer is taken by Enter, and the technician may overrule it, on the record.
func TestThePlainWalkWatchesThePromptedProbes(t *testing.T) {
	for name, tc := range map[string]struct{ typed, answer, reason string }{
		"taken":     {"", "no echo", "the feed shows it: 100 % of the pings lost"},
		"overruled": {"3", "jumps", `overrules the feed, which showed \"no echo\"`},
	} {
		t.Run(name, func(t *testing.T) {
			data := t.TempDir()
			said, status := talk(t, byRules([]rule{
				{"understood?", "y"},
				{"Enter begins it, and the feed is watched", ""},
				{"Enter takes", tc.typed},
				{"> looked", "a board-test"},
			}), "walk", "no-echo", "--rig", "trigger-open", "--clock-rate", "60", "--listen", "90s", "--data", data)
			assert.Equal(t, 1, status, "closed without a cause")
			assert.Contains(t, said, "! from the feed:")
			assert.Regexp(t, `\d+ s left +no echo`, said)
			assert.Contains(t, said, "the feed shows: no echo (100 % of the pings lost (limit 50 %))")
			record, errs, status := run(t, "visits", "report", "1", "--format", "json", "--data", data)
			require.Zero(t, status, errs)
			assert.Contains(t, record, `"answer": "`+tc.answer+`"`)
			assert.Contains(t, record, tc.reason)
		})
	}
}

// TestAFileOfAnswersLetsTheFeedTell: "watch" has the probe done when it is offered, and takes what the feed shows.
func TestAFileOfAnswersLetsTheFeedTell(t *testing.T) {
	file := filepath.Join(t.TempDir(), "answers.yaml")
	require.NoError(t, os.WriteFile(file, []byte("answers: {board-test: watch}\n"), 0o600))
	out, errs, status := run(t, "walk", "no-echo", "--rig", "trigger-open", "--clock-rate", "60", "--listen", "90s", "--answers", file,
		"--json", "--data", t.TempDir())
	require.NotEqual(t, 2, status, errs)
	var walk plain.Result
	require.NoError(t, json.Unmarshal([]byte(out), &walk), out)
	i := slices.IndexFunc(walk.Steps, func(l plain.Line) bool { return l.Probe == "board-test" })
	require.GreaterOrEqual(t, i, 0, out)
	assert.Equal(t, "no echo", walk.Steps[i].Answer)
	assert.Contains(t, walk.Steps[i].Reason, "the feed shows it")
}

// TestThePlainWalkTakesItsReplies says what every step takes, leaves, and takes the visit up again where it stood.
func TestThePlainWalkTakesItsReplies(t *testing.T) {
	data, asked := t.TempDir(), 0
	typed := []string{"gibberish", "?", "w", "w blanking", "w no-such", "a", "o", "r", "n the lid was open", "s no time", "o", "u", "l"}
	args := []string{"walk", "no-echo", "--rig", "trigger-open", "--clock-rate", "60", "--listen", "90s", "--data", data}
	said, _ := talk(t, func(string) string { asked++; return typed[min(asked, len(typed))-1] }, args...)
	for _, want := range []string{
		`"gibberish" is no reply`, "not safe today", "for: ", "against: ", `"no-such" is no suspect`,
		" bit ", "nothing was passed over", "noted", "skipped (no time)", "Left open; take it up again",
	} {
		assert.Contains(t, said, want)
	}
	again, _ := talk(t, func(string) string { return "q not safe today" }, append(args, "--visit", "1")...)
	assert.Contains(t, again, "\n> ")
	assert.Contains(t, again, "Closed as: not safe today")
	record, _, _ := run(t, "visits", "show", "1", "--data", data)
	assert.Equal(t, 1, strings.Count(record, "complaint"), "it goes on, it does not begin again")
	assert.Contains(t, record, "not safe today")
}

// TestWhatIfISwapItNow looks at a remedy that the walk would not offer, and goes back without having done it.
func TestWhatIfISwapItNow(t *testing.T) {
	data, asked := t.TempDir(), 0
	typed := []string{"r input-dead", "y", "r input-dead", "u", "s", "u", "l"}
	said, _ := talk(t, func(string) string { asked++; return typed[min(asked, len(typed))-1] }, "walk", "no-echo", "--data", data)
	assert.Regexp(t, `chosen by the technician: input dead stands at \d+ %; \d+ min expected with it, \d+ with the step that the walk offers`, said)
	assert.Contains(t, said, "that is the offered step: y when it is done, u to go back")
	assert.NotContains(t, said, "nothing to take back")
	record, _, _ := run(t, "visits", "report", "1", "--format", "json", "--data", data)
	assert.NotContains(t, record, `"act": "remedy"`, "it was looked at, not done")
}

// TestAWalkWithoutAFeed: where none is named there is none, and no rig takes its place. A reading whose limits need a fact that
// no site sheet gives is kept, and tells nothing.
func TestAWalkWithoutAFeed(t *testing.T) {
	file := filepath.Join(t.TempDir(), "answers.yaml")
	text := "answers: {sensor-volts: \"3,9 V\", joint-look: Wet, when-bad: after rain or storm, lost-echoes: some}\n"
	require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	out, errs, status := run(t, "walk", "no-echo", "--answers", file, "--json", "--data", t.TempDir())
	require.NotEqual(t, 2, status, errs)
	var walk plain.Result
	require.NoError(t, json.Unmarshal([]byte(out), &walk), out)
	said := map[string]string{}
	for _, l := range walk.Steps {
		if l.Probe != "" && l.Answer != "skip" {
			said[l.Probe] = l.Answer
		}
		if l.Probe == "sensor-volts" {
			assert.Contains(t, l.Reason, "3,9 V; the site sheet lacks sensor.supply_voltage")
		}
	}
	assert.Equal(t, map[string]string{"sensor-volts": "cannot-tell", "joint-look": "wet", "when-bad": "after rain or storm", "lost-echoes": "some"}, said)
	assert.Equal(t, "joint-wet", walk.Suspects[0].Cause)
}

// TestWhatKilledThePartIsAskedAndReported mends a dead input, goes beyond the proven cure with "b", finds the 5 V
// that killed it, and reads both in the report.
func TestWhatKilledThePartIsAskedAndReported(t *testing.T) {
	data, first, beyond := t.TempDir(), true, false
	said, status := talk(t, func(text string) string {
		switch {
		case strings.Contains(text, "understood?"), strings.Contains(text, "done? ("):
			return "y"
		case strings.Contains(text, "find out what killed the part"):
			beyond = true
			return "b"
		case strings.Contains(text, "Enter closes"):
			return ""
		case strings.Contains(text, "> looked") && strings.Contains(text, "Divider or level shifter"):
			return "missing"
		case strings.Contains(text, "> proof") && strings.Contains(text, "Height of the echo pulse"):
			return "inside the input rating"
		case first:
			first = false
			return "r input-dead"
		case beyond:
			beyond = false
			return "a divider-look"
		}
		return "s"
	}, "walk", "no-echo", "--rig", "healthy", "--clock-rate", "400", "--listen", "2m", "--data", data)
	require.Zero(t, status, said)
	report, errs, status := run(t, "visits", "report", "1", "--format", "markdown", "--data", data)
	require.Zero(t, status, errs)
	assert.Contains(t, report, "What did the damage: 5 V echo", said)
	assert.Contains(t, report, "Cause: Echo input of the controller damaged", said)
}
