package command

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/survey"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/tui/plain"
)

// rigPace runs a practice rig fast, but slow enough that a walk meets it alive: what is done to it
// shows in what it sends afterwards.
const rigPace = 120

// rigProof is how long a practice rig may take by the clock to show that it stays mended.
const rigProof = 10 * time.Second

func (p *Program) walk() *cobra.Command {
	var s source
	var answers, words, resume string
	var asJSON, rigAnswers bool
	var listen time.Duration
	c := &cobra.Command{
		Use:   "walk COMPLAINT",
		Short: "The guided walk without the screen: on a plain terminal, or from a file of answers",
		Long: "walk leads from a complaint to the cause: the feed's evidence first, then one step at a time.\n" +
			"With --answers it takes the technician's answers from a file; without, it asks line by line.\n" +
			"Exit status: 0 a cause is named; 1 handed on; 2 it could not run.",
		Example: "  tankhand walk no-echo --port /dev/ttyUSB0 --site tank.yaml\n  tankhand walk relay-chatter --file night.log --answers answers.yaml --json",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			sit := ask{source: &s, rate: rigPace, keep: true, window: benchWindow, lossless: true, visit: resume}
			if s.file != "" {
				sit.rate, sit.window = port.AtOnce, 0
				if !s.follow && !c.Flags().Changed("listen") {
					listen = math.MaxInt64 // to the log's end
				}
			}
			w := &walker{p: p, ask: sit, complaint: args[0], words: words, answers: answers, rigAnswers: rigAnswers, listen: listen, json: asJSON}
			return w.run(c)
		},
	}
	s.flags(c)
	s.people(c)
	f := c.Flags()
	f.StringVar(&answers, "answers", "", "file of answers (YAML)")
	f.BoolVar(&rigAnswers, "rig-answers", false, "let the practice rig answer the probes")
	f.BoolVar(&asJSON, "json", false, "print the document tankhand/walk/1")
	f.DurationVar(&listen, "listen", time.Minute, "how much feed to hear before the first step (a log: all)")
	f.StringVar(&words, "words", "", "the customer's own words, for the record")
	f.StringVar(&resume, "visit", "", "take up this visit again")
	return c
}

// walker is one run of the walk command.
type walker struct {
	p                         *Program
	ask                       ask
	complaint, words, answers string
	rigAnswers, json          bool
	listen                    time.Duration
}

func (w *walker) run(c *cobra.Command) (err error) {
	base, err := loadKnowledge()
	if err != nil {
		return err
	}
	if err = knownComplaint(base, w.complaint); err != nil {
		return err
	}
	w.ask.source.none = true // a real visit must not be mixed with a rig that nobody asked for
	if !w.ask.source.given() && w.answers == "" {
		fmt.Fprintln(w.p.Err, "No feed is named: only what is looked at, measured and asked. --port, --net, --file or --rig gives one.")
	}
	// The answers are read before the port is opened: a slip in a file must not restart a board.
	var fromFile *plain.Answers
	if w.answers != "" {
		if fromFile, err = plain.ReadAnswers(w.answers, base); err != nil {
			return err
		}
		w.ask.source.byHand = fromFile.Watched(base)
	}
	sitting, err := w.p.sit(c.Context(), w.ask)
	if err != nil {
		return err
	}
	defer func() {
		if e := sitting.Close(); e != nil {
			err = e // what could not be kept is worse news than any outcome
		}
	}()
	answerer, err := w.answerer(sitting, fromFile)
	if err != nil {
		return err
	}
	walk := &plain.Walk{Session: sitting, Base: sitting.base, Complaint: w.complaint, Words: w.words, Answerer: answerer, Listen: w.listen, Out: w.tellTo(), Level: w.level, TakenUp: w.ask.visit != ""}
	if !w.ask.source.given() {
		walk.Level = nil
	}
	if w.rigAnswers {
		walk.Wait = rigProof
	}
	result, err := walk.Run(c.Context())
	if err != nil {
		return err
	}
	return w.report(result, sitting.base)
}

// tellTo is where the steps are told: a document on standard output must stay alone there.
func (w *walker) tellTo() io.Writer {
	if w.json {
		return io.Discard
	}
	return w.p.Out
}

func (w *walker) answerer(s *sitting, fromFile *plain.Answers) (plain.Answerer, error) {
	switch {
	case fromFile != nil:
		return fromFile, nil
	case w.rigAnswers && s.rig == nil:
		return nil, fmt.Errorf("--rig-answers needs a practice rig: give --rig")
	case w.rigAnswers:
		return &rigAnswers{rig: s.rig}, nil
	}
	return plain.NewAsker(w.p.In, w.p.Out, s.base), nil
}

// level is the level in one line, as a survey says it.
func (w *walker) level(snap *visit.Snapshot) string {
	return survey.Page{Units: w.p.system()}.LevelWords(snap)
}

func (w *walker) report(r plain.Result, base *knowledge.Base) error {
	if w.json {
		if err := r.WriteJSON(w.p.Out); err != nil {
			return fmt.Errorf("writing the walk: %w", err)
		}
	} else {
		w.tellEnd(r, base)
	}
	if r.Outcome != "named" {
		return exit{1}
	}
	return nil
}

func (w *walker) tellEnd(r plain.Result, base *knowledge.Base) {
	out := w.p.Out
	fmt.Fprintln(out)
	switch {
	case r.LeftOpen():
		fmt.Fprintf(out, "Left open; take it up again with: tankhand walk %s --visit %s\n", r.Complaint, short(r.Visit))
		return
	case r.Cause != nil:
		title := *r.Cause
		if c := base.Causes[*r.Cause]; c != nil {
			title = c.Title
		}
		fmt.Fprintf(out, "Cause named: %s (%s)\n", title, *r.Cause)
	default:
		fmt.Fprintln(out, "Handed on. Suspects in this order:")
		for i, s := range r.Suspects {
			if i == 5 {
				break
			}
			fmt.Fprintf(out, "  %3.0f %%  %s\n", 100*s.Probability, s.Cause)
		}
	}
	fmt.Fprintf(out, "Closed as: %s\n", r.ClosedAs())
	fmt.Fprintf(out, "Recorded as visit %s; read it with: tankhand visits show %s\n", r.Visit, short(r.Visit))
}

// short is enough of an id to find it again.
func short(id string) string {
	if len(id) > 8 {
		return id[:8]
	}
	return id
}

func knownComplaint(base *knowledge.Base, id string) error {
	var ids []string
	for _, c := range base.Complaints {
		if c.ID == id {
			return nil
		}
		ids = append(ids, c.ID)
	}
	return fmt.Errorf("no complaint %q; there are %s", id, strings.Join(ids, ", "))
}
