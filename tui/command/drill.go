package command

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"example.org/tankhand/faulttree/drill"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/tui"
	"example.org/tankhand/tui/plain"
	"example.org/tankhand/tui/start"
)

// drillWords are what the drill command was told.
type drillWords struct {
	lesson, trainee string
	level           int
	seed            uint64
	plain, list     bool
}

func (p *Program) drill() *cobra.Command {
	var w drillWords
	c := &cobra.Command{
		Use:   "drill",
		Short: "Train without a tank: find a hidden fault on the practice rig",
		Long: "drill gives the customer's words and a running installation with a hidden fault (invented data). You work the\n" +
			"real bench; x looks or measures, and the minutes of a step pass at once. Hints (z) cost minutes. When the visit is\n" +
			"handed over, the debrief shows each step beside what the program would have done. What was missed comes back\n" +
			"sooner; without --lesson the next lesson is chosen so.",
		Example: "  tankhand drill --trainee ana\n  tankhand drill --lesson brownout --plain\n  tankhand drill --list --level 3",
		Args:    cobra.NoArgs,
		RunE:    func(c *cobra.Command, _ []string) error { return p.runDrill(c.Context(), &w) },
	}
	f := c.Flags()
	f.StringVar(&w.lesson, "lesson", "", "this lesson; its name may tell the fault")
	f.IntVar(&w.level, "level", 0, "only lessons of this difficulty, 1 to 3")
	f.BoolVar(&w.list, "list", false, "list the lessons with how the trainee stands (tells the faults)")
	w.common(c)
	c.AddCommand(p.drillProgress(), p.drillExam(), p.drillFault(), p.drillWatch())
	return c
}

func (w *drillWords) common(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&w.trainee, "trainee", "trainee", "who is trained, for the progress")
	f.Uint64Var(&w.seed, "seed", 0, "draw the same lessons again (0: by the clock)")
	f.BoolVar(&w.plain, "plain", false, "on a plain terminal, line by line, without the screen")
}

// chance is the seed given, or one of the clock.
func (w *drillWords) chance() uint64 {
	if w.seed != 0 {
		return w.seed
	}
	return rand.Uint64()
}

func (p *Program) runDrill(ctx context.Context, w *drillWords) error {
	if w.level < 0 || w.level > drill.Hardest {
		return fmt.Errorf("--level %d: the difficulties are 1 to %d", w.level, drill.Hardest)
	}
	if w.list {
		lessons, err := drill.Lessons()
		if err != nil {
			return err
		}
		progress, err := p.progress(ctx, w.trainee, lessons)
		if err != nil {
			return err
		}
		return p.listLessons(&progress, w.level)
	}
	l, err := p.nextLesson(ctx, w)
	if err != nil {
		return err
	}
	_, err = p.drillOn(ctx, w, l, "")
	return err
}

// nextLesson is the one that was named, or that the trainee should do next.
func (p *Program) nextLesson(ctx context.Context, w *drillWords) (*drill.Lesson, error) {
	lessons, err := drill.Lessons()
	if err != nil {
		return nil, err
	}
	if w.lesson != "" {
		l := drill.Find(lessons, w.lesson)
		if l == nil {
			return nil, fmt.Errorf("there is no lesson %q: tankhand drill --list names them", w.lesson)
		}
		return l, nil
	}
	progress, err := p.progress(ctx, w.trainee, lessons)
	return progress.Next(w.level, w.chance(), time.Now()), err
}

// drillOn works one lesson to its end and tells the debrief; nil where there is nothing to tell.
func (p *Program) drillOn(ctx context.Context, w *drillWords, l *drill.Lesson, exam string) (*drill.Debrief, error) {
	base, err := loadKnowledge()
	if err != nil {
		return nil, err
	}
	opt := drill.Options{Lesson: l, Trainee: w.trainee, Base: base, Exam: exam != ""}
	if w.plain || !p.onTerminal() {
		return p.drillPlain(ctx, opt, exam)
	}
	var d *drilling
	item := start.Item{ID: "drill", Name: "drill, level " + fmt.Sprint(l.Difficulty)}
	err = p.screens(ctx, &item, func(ctx context.Context, _ start.Item) (tui.Session, error) {
		var err error
		if d, err = p.beginDrill(ctx, opt, exam); err != nil {
			return nil, err
		}
		if err := d.toldComplaint(ctx); err != nil {
			return nil, fmt.Errorf("%w (closing: %v)", err, d.Close())
		}
		return d, nil
	})
	if err != nil || d == nil {
		return nil, err
	}
	return d.debrief, nil
}

// toldComplaint lets the installation run for the lesson's time, and says what the customer says.
func (d *drilling) toldComplaint(ctx context.Context) error {
	if err := d.Listened(ctx); err != nil {
		return err
	}
	return d.Do(ctx, visit.SetComplaint{ID: d.opt.Lesson.Complaint, Words: d.opt.Lesson.Story})
}

// asideHelp are the replies that only a drill on a plain terminal has.
const asideHelp = `  look          carry the question out: see or measure it on the practice rig
  hint          a hint; it costs minutes
`

// drillPlain works a lesson line by line.
func (p *Program) drillPlain(ctx context.Context, opt drill.Options, exam string) (*drill.Debrief, error) {
	fmt.Fprintf(p.Out, "Drill, level %d, invented data. The customer says: %q\nlook sees or measures on the rig, hint helps at a price, ? lists all replies.\n\n",
		opt.Lesson.Difficulty, opt.Lesson.Story)
	d, err := p.beginDrill(ctx, opt, exam)
	if err != nil {
		return nil, err
	}
	asker := plain.NewAsker(p.In, p.Out, d.base)
	asker.Aside, asker.AsideHelp = d.aside, asideHelp
	walk := &plain.Walk{Session: d, Base: d.base, Complaint: opt.Lesson.Complaint, Words: opt.Lesson.Story, Answerer: asker,
		Listen: opt.Lesson.Listen - time.Second, Out: p.Out}
	_, err = walk.Run(ctx)
	if e := d.Close(); err == nil {
		err = e
	}
	if err != nil {
		return nil, err
	}
	if text, path := d.Debrief(); text != "" {
		fmt.Fprintf(p.Out, "\n%s\nThe debrief is in %s.\n", text, path)
	}
	return d.debrief, nil
}

func (d *drilling) aside(ctx context.Context, text string) (said string, ok bool) {
	var err error
	switch text {
	case "look":
		said, err = d.Look(ctx)
	case "hint":
		said, err = d.Hint(ctx)
	default:
		return "", false
	}
	if err != nil {
		said = err.Error()
	}
	return said, true
}

// progress is how a trainee stands by the record.
func (p *Program) progress(ctx context.Context, trainee string, lessons []*drill.Lesson) (drill.Progress, error) {
	all, err := p.debriefs(ctx)
	return drill.ProgressOf(trainee, lessons, all), err
}

// debriefs are those of all drills on record.
func (p *Program) debriefs(ctx context.Context) (out []visit.DrillAt, err error) {
	path, err := p.storePath()
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(path); err != nil {
		return nil, nil //nolint:nilerr // nothing was ever recorded
	}
	store, err := visit.OpenRead(path)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	byKind, ok := store.(interface {
		EventsOf(ctx context.Context, kind visit.Kind) ([]visit.Event, error)
	})
	if !ok {
		return nil, nil
	}
	events, err := byKind.EventsOf(ctx, visit.DrillEnded)
	if err != nil {
		return nil, err
	}
	for _, e := range events {
		if body, err := visit.Decode(e); err == nil {
			if b, ok := body.(visit.DrillBody); ok {
				out = append(out, visit.DrillAt{At: e.At, DrillBody: b})
			}
		}
	}
	return out, nil
}

func (p *Program) listLessons(progress *drill.Progress, level int) error {
	w := tabwriter.NewWriter(p.Out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "lesson\tlevel\tcomplaint\ttried\tright\t")
	for _, c := range progress.Cards {
		if level != 0 && c.Lesson.Difficulty != level {
			continue
		}
		fmt.Fprintf(w, "%s\t%d\t%s\t%d\t%d\t%s\n", c.Lesson.ID, c.Lesson.Difficulty, c.Lesson.Complaint, c.Tries, c.Right, standing(&c))
	}
	return w.Flush()
}

func standing(c *drill.Card) string {
	switch {
	case c.Tries == 0:
		return ""
	case c.Mastered():
		return "mastered"
	case !c.Due.After(time.Now()):
		return "due"
	}
	return "comes back on " + c.Due.Local().Format("2006-01-02")
}

func (p *Program) drillProgress() *cobra.Command {
	var trainee string
	c := &cobra.Command{Use: "progress", Short: "How a trainee stands: what is mastered, what comes back", Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			lessons, err := drill.Lessons()
			if err != nil {
				return err
			}
			progress, err := p.progress(c.Context(), trainee, lessons)
			if err != nil {
				return err
			}
			_, err = fmt.Fprint(p.Out, progress.Text(time.Now()))
			return err
		}}
	c.Flags().StringVar(&trainee, "trainee", "trainee", "whose progress")
	return c
}

func (p *Program) drillFault() *cobra.Command {
	return &cobra.Command{Use: "fault CAUSE", Short: "For an instructor: switch a fault into the drill that runs, unseen by the trainee", Args: cobra.ExactArgs(1),
		Example: "  tankhand drill fault loose-joint/60s,15s", RunE: func(c *cobra.Command, args []string) error {
			return p.knock(c.Context(), "fault "+args[0])
		}}
}

func (p *Program) drillWatch() *cobra.Command {
	return &cobra.Command{Use: "watch", Short: "For an instructor: watch the trainee's steps in the drill that runs", Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error { return p.knock(c.Context(), "watch") }}
}

func (p *Program) knock(ctx context.Context, wish string) error {
	data, err := p.dataFolder()
	if err != nil {
		return err
	}
	return knock(ctx, data, wish, func(line string) { fmt.Fprintln(p.Out, safe(line)) })
}

func (p *Program) drillExam() *cobra.Command {
	var w drillWords
	c := &cobra.Command{Use: "exam", Short: fmt.Sprintf("An exam: %d lessons drawn by seed, no hints, one result sheet", drill.Questions), Args: cobra.NoArgs,
		Example: "  tankhand drill exam --trainee ana --seed 7",
		RunE:    func(c *cobra.Command, _ []string) error { return p.runExam(c.Context(), &w) }}
	w.common(c)
	return c
}

// runExam works the lessons one after the other and writes the result sheet.
func (p *Program) runExam(ctx context.Context, w *drillWords) error {
	lessons, err := drill.Lessons()
	if err != nil {
		return err
	}
	seed := w.chance()
	sheet := drill.Sheet{Trainee: w.trainee, Seed: seed, At: time.Now()}
	exam := fmt.Sprintf("%d-%s", seed, sheet.At.UTC().Format("20060102T150405"))
	for i, l := range drill.Draw(lessons, seed) {
		fmt.Fprintf(p.Out, "Exam of %s, lesson %d of %d\n", safe(w.trainee), i+1, drill.Questions)
		d, err := p.drillOn(ctx, w, l, exam)
		if err != nil {
			return err
		}
		sheet.Lessons = append(sheet.Lessons, drill.Mark{Lesson: l, Debrief: d})
		if ctx.Err() != nil {
			break
		}
	}
	text := sheet.Text()
	data, err := p.dataFolder()
	if err != nil {
		return err
	}
	path, err := keepResult(data, "exam-"+exam+".txt", text)
	if err != nil {
		return err
	}
	fmt.Fprintf(p.Out, "\n%s\nThe result sheet is in %s.\n", text, path)
	if slices.ContainsFunc(sheet.Lessons, func(m drill.Mark) bool { return m.Debrief == nil || !m.Debrief.Right }) {
		return exit{1}
	}
	return nil
}
