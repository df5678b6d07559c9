package command

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"time"

	"github.com/google/uuid"

	"example.org/tankhand/faulttree/drill"
	"example.org/tankhand/faulttree/knowledge"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/livelevel/site"
)

// drilling is a drill under way with what it needs closed afterwards. It is a session for the bench and
// for the plain walk.
type drilling struct {
	*drill.Session
	opt   drill.Options
	exam  string // id of the exam that it is part of
	id    string // of its visit
	base  *knowledge.Base
	store visit.Store
	rig   *lessonRig
	desk  *desk // where an instructor may knock; nil: there is none
	data  string

	once    sync.Once
	err     error
	debrief *drill.Debrief // once it has ended, where there is something to tell
	path    string
}

// drillName stands for the fault in the record of a drill: it must not tell it.
const drillName = "drill"

// beginDrill sets the installation up and lets it run for the lesson's time.
func (p *Program) beginDrill(ctx context.Context, opt drill.Options, exam string) (d *drilling, err error) {
	d = &drilling{opt: opt, exam: exam, base: opt.Base}
	if d.rig, err = newLessonRig(opt.Lesson); err != nil {
		return nil, err
	}
	text := d.rig.rig.SheetText()
	sheet, err := site.Parse("practice rig", []byte(text))
	if err != nil {
		return nil, err
	}
	if d.data, err = p.dataFolder(); err != nil {
		return nil, err
	}
	if d.store, err = p.keepRecord(ctx); err != nil {
		return nil, err
	}
	opener := port.Simulated(practiceName+drillName, d.rig, 1, 0)
	f := feed.Start(ctx, opener, feed.Options{Sheet: sheet, Lossless: true})
	in, err := visit.Begin(ctx, visit.Config{Store: d.store, Sheet: sheet, SheetText: text, Base: opt.Base, Feed: f, Info: opener.Info(),
		Window: benchWindow, Invented: true, Program: p.Version, Technician: opt.Trainee,
		Hands: func(string) time.Time { return rigTime(opener) }}) // the drill itself does the deeds, just before
	if err != nil {
		return nil, errors.Join(err, f.Close(), d.store.Close())
	}
	d.id = in.Visit()
	d.Session = drill.Begin(in, d.rig, opt)
	if d.desk, err = openDesk(d); err != nil {
		fmt.Fprintf(p.Err, "no instructor can look in: %v\n", err)
	}
	return d, nil
}

// Close ends the drill, makes its debrief and puts it on the record; a drill that was left before it was
// closed tells nothing, but for an exam.
func (d *drilling) Close() error {
	d.once.Do(func() {
		d.err = errors.Join(d.desk.close(), d.Session.Close(), d.conclude(), d.store.Close())
	})
	return d.err
}

func (d *drilling) conclude() error {
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	events, err := d.store.Events(ctx, d.id)
	if err != nil || len(events) == 0 {
		return err
	}
	out, err := drill.Ended(events, d.Log(), d.opt)
	if err != nil {
		return err
	}
	if out.Outcome == "" && d.exam == "" {
		return nil
	}
	d.debrief = &out
	body := out.Body(d.exam)
	e, err := visit.New(body)
	if err != nil {
		return err
	}
	if err := d.store.Append(ctx, e.Stamp(uuid.NewString(), d.id, events[len(events)-1].Seq+1, time.Now())); err != nil {
		return fmt.Errorf("keeping the debrief: %w", err)
	}
	d.path, err = keepDebrief(d.data, d.id, &out)
	return err
}

// keepDebrief writes the debrief as text and as Markdown, and returns the path of the text.
func keepDebrief(data, id string, out *drill.Debrief) (path string, err error) {
	name := out.Lesson.ID + "-" + id[:min(8, len(id))]
	if _, err := keepResult(data, name+".md", out.Markdown()); err != nil {
		return "", err
	}
	return keepResult(data, name+".txt", out.Text())
}

// keepResult writes a debrief or a result sheet beside the store.
func keepResult(data, name, text string) (path string, err error) {
	folder := filepath.Join(data, "debriefs")
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", fmt.Errorf("keeping %s: %w", name, err)
	}
	path = filepath.Join(folder, name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		return "", fmt.Errorf("keeping %s: %w", name, err)
	}
	return path, nil
}

// Debrief is what to show after the drill.
func (d *drilling) Debrief() (text, path string) {
	if d.debrief == nil {
		return "", ""
	}
	return d.debrief.Text(), d.path
}
