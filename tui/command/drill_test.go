package command

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"example.org/tankhand/faulttree/drill"
)

// trainee works a drill on a plain terminal: it looks before it answers, and does what is offered.
type trainee struct {
	mu    sync.Mutex
	told  bytes.Buffer
	fresh int // where the part not answered yet begins
	in    *io.PipeWriter
	looks bool
	turns int
}

// found is what a look said.
var found = regexp.MustCompile(`(?:What you find|What happens|You measure|The meter shows): ?(.*)\.\n|The meter shows (.*)\.\n`)

func (w *trainee) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.told.Write(p)
	if part := w.told.String()[w.fresh:]; strings.HasSuffix(part, "): ") {
		w.fresh = w.told.Len()
		reply := w.reply(part)
		go func() { _, _ = io.WriteString(w.in, reply+"\n") }()
	}
	return len(p), nil
}

func (w *trainee) reply(part string) string {
	prompt := part[strings.LastIndexByte(part, '\n')+1:]
	w.turns++
	switch {
	case w.turns > 150:
		return "q no fault found" // for it does not come to an end
	case strings.Contains(prompt, "cautions"), strings.HasPrefix(prompt, "done?"):
		return "y"
	case strings.Contains(prompt, "closes the visit"), strings.Contains(prompt, "overrules the feed"):
		return ""
	case !w.looks:
		w.looks = true
		return "look"
	}
	w.looks = false
	if m := found.FindStringSubmatch(part); m != nil {
		return m[1] + m[2]
	}
	return "c"
}

func (w *trainee) text() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.told.String()
}

// drilled works a drill and returns what was told.
func drilled(t *testing.T, args ...string) (out string, status int) {
	t.Helper()
	r, in := io.Pipe()
	w := &trainee{in: in}
	var errs bytes.Buffer
	p := &Program{In: r, Out: w, Err: &errs, Version: "test"}
	status = p.Run(args)
	_ = in.Close()
	return w.text() + errs.String(), status
}

func TestADrillOnAPlainTerminal(t *testing.T) {
	data := t.TempDir()
	out, status := drilled(t, "drill", "--lesson", "brownout", "--plain", "--trainee", "ana", "--data", data)
	require.Zero(t, status, out)
	assert.Contains(t, out, "The relay clicks every few seconds", "the customer's words")
	assert.Contains(t, out, "Right: Supply dips when the relay pulls in and the board restarts, mended and\nproven.")
	assert.Contains(t, out, "To read up")
	assert.Contains(t, out, "the program would have done the same")

	files, err := filepath.Glob(filepath.Join(data, "debriefs", "brownout-*"))
	require.NoError(t, err)
	require.Len(t, files, 2, "as text and as Markdown")
	out, _, status = run(t, "drill", "progress", "--trainee", "ana", "--data", data)
	require.Zero(t, status)
	assert.Contains(t, out, "Progress of ana: 1 drills")
	assert.Contains(t, out, "brownout (", "a caution was passed over in no time, so it comes back")
	out, _, _ = run(t, "drill", "--list", "--data", data, "--trainee", "ana")
	assert.Regexp(t, `brownout +1 +relay-chatter +1 +1 +comes back on`, out)
	out, _, _ = run(t, "drill", "progress", "--trainee", "ben", "--data", data)
	assert.Contains(t, out, "Progress of ben: 0 drills", "each trainee has a progress of their own")
	out, _, _ = run(t, "visits", "show", "1", "--data", data)
	assert.Contains(t, out, "drill-ended")
}

func TestAnExamHasTenLessonsAndOneSheet(t *testing.T) {
	if testing.Short() {
		t.Skip("ten lessons take a while under the race detector")
	}
	data := t.TempDir()
	lessons, err := drill.Lessons()
	require.NoError(t, err)
	r, in := io.Pipe()
	go func() { // a trainee that always closes at once
		for range 500 {
			if _, err := io.WriteString(in, "q no fault found\n"); err != nil {
				return
			}
		}
	}()
	var out, errs bytes.Buffer
	p := &Program{In: r, Out: &out, Err: &errs, Version: "test"}
	status := p.Run([]string{"drill", "exam", "--seed", "7", "--trainee", "ana", "--plain", "--data", data})
	_ = in.Close()
	assert.Equal(t, 1, status, "not passed: %s", errs.String())
	drawn := drill.Draw(lessons, 7)
	require.Len(t, drawn, drill.Questions)
	assert.Contains(t, out.String(), "Result sheet of ana")
	assert.Contains(t, out.String(), "Not passed")
	files, err := filepath.Glob(filepath.Join(data, "debriefs", "exam-7-*.txt"))
	require.NoError(t, err)
	require.Len(t, files, 1)
	sheet, err := os.ReadFile(files[0])
	require.NoError(t, err)
	assert.Contains(t, string(sheet), "of 10 right")
}

// TestAnInstructorLooksIn switches a second fault in while the trainee works, and watches the steps.
func TestAnInstructorLooksIn(t *testing.T) {
	data := t.TempDir()
	r, in := io.Pipe()
	var out bytes.Buffer
	var mu sync.Mutex
	p := &Program{In: r, Out: writer(func(b []byte) { mu.Lock(); out.Write(b); mu.Unlock() }), Err: io.Discard, Version: "test"}
	ended := make(chan int, 1)
	go func() {
		ended <- p.Run([]string{"drill", "--lesson", "brownout", "--plain", "--trainee", "ana", "--data", data})
	}()
	said := func() string { mu.Lock(); defer mu.Unlock(); return out.String() }
	require.Eventually(t, func() bool { return strings.Contains(said(), "answer (? help)") }, 60*time.Second, 20*time.Millisecond)

	told, errs, status := run(t, "drill", "fault", "no-such-cause", "--data", data)
	assert.Equal(t, 2, status)
	assert.Contains(t, errs, "no cause is called")
	assert.Empty(t, told)
	told, errs, status = run(t, "drill", "fault", "trigger-open", "--data", data)
	require.Zero(t, status, errs)
	assert.Contains(t, told, "trigger-open is switched in")

	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	var seen []string
	_ = knock(ctx, data, "watch", func(line string) {
		seen = append(seen, line)
		if strings.Contains(line, "complaint") {
			cancel()
		}
	})
	require.NotEmpty(t, seen)
	assert.Contains(t, seen[0], "ana drills on brownout")
	assert.NotContains(t, said(), "trigger-open", "unseen by the trainee")

	_, err := io.WriteString(in, "q no fault found\n")
	require.NoError(t, err)
	require.Zero(t, <-ended)
	assert.Contains(t, said(), "Trigger or echo conductor open", "it counts as a fault to be found")
	_, errs, status = run(t, "drill", "watch", "--data", data)
	assert.Equal(t, 2, status)
	assert.Contains(t, errs, "no drill runs")
}

type writer func([]byte)

func (w writer) Write(p []byte) (int, error) {
	w(p)
	return len(p), nil
}
