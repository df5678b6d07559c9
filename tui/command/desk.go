package command

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"example.org/tankhand/faulttree/visit"
)

// desk is where an instructor at a second terminal switches faults in and watches the trainee's steps: a
// local socket in the data folder, for the same user only. One line asks, lines answer; the last of them
// begins with a full stop.
type desk struct {
	drill    *drilling
	listener net.Listener
	stop     context.CancelFunc
	open     sync.WaitGroup
}

// deskPath is where the desk of the drill that runs with a data folder is.
func deskPath(data string) string { return filepath.Join(data, "drill.sock") }

// openDesk begins to listen; a socket that nobody listens at any more is one of a drill that was killed.
func openDesk(d *drilling) (*desk, error) {
	path := deskPath(d.data)
	if c, err := net.DialTimeout("unix", path, time.Second); err == nil {
		_ = c.Close()
		return nil, errors.New("another drill runs with this data folder (give this one another --data)")
	}
	_ = os.Remove(path)
	l, err := net.Listen("unix", path)
	if err != nil {
		return nil, fmt.Errorf("opening %s: %w", path, err)
	}
	if err := os.Chmod(path, 0o600); err != nil {
		return nil, errors.Join(err, l.Close())
	}
	ctx, stop := context.WithCancel(context.Background())
	k := &desk{drill: d, listener: l, stop: stop}
	k.open.Add(1)
	go k.serve(ctx)
	return k, nil
}

func (k *desk) close() error {
	if k == nil {
		return nil
	}
	k.stop()
	err := k.listener.Close()
	k.open.Wait()
	return err
}

func (k *desk) serve(ctx context.Context) {
	defer k.open.Done()
	for {
		c, err := k.listener.Accept()
		if err != nil {
			return
		}
		k.open.Add(1)
		go func() {
			defer k.open.Done()
			defer c.Close()
			k.answer(ctx, c)
		}()
	}
}

// longestWish bounds what an instructor may send in one line.
const longestWish = 200

func (k *desk) answer(ctx context.Context, c net.Conn) {
	_ = c.SetReadDeadline(time.Now().Add(5 * time.Second))
	line, err := bufio.NewReaderSize(c, longestWish).ReadSlice('\n')
	if err != nil {
		return
	}
	what, about, _ := strings.Cut(strings.TrimSpace(string(line)), " ")
	switch what {
	case "fault":
		cause, err := k.drill.rig.switchIn(about)
		if err != nil {
			fmt.Fprintf(c, "! %s\n.\n", safe(err.Error()))
			return
		}
		k.drill.SwitchIn(cause)
		fmt.Fprintf(c, "+ %s is switched in, unseen by the trainee; it counts as a fault to be found\n.\n", cause)
	case "watch":
		k.watch(ctx, c)
	default:
		fmt.Fprintf(c, "! %q is no wish: fault CAUSE or watch\n.\n", safe(what))
	}
}

// watch tells the trainee's steps as they come on record, until the drill or the watcher ends.
func (k *desk) watch(ctx context.Context, c net.Conn) {
	o := k.drill.opt
	fmt.Fprintf(c, "%s drills on %s (level %d): %s\n", safe(o.Trainee), o.Lesson.ID, o.Lesson.Difficulty, o.Lesson.Title)
	tick := time.NewTicker(300 * time.Millisecond)
	defer tick.Stop()
	told := int64(0)
	for {
		events, err := k.drill.store.Events(ctx, k.drill.id)
		if err != nil {
			break
		}
		for _, e := range events {
			if e.Seq <= told {
				continue
			}
			told = e.Seq
			if _, err := fmt.Fprintf(c, "%s  %-14s %s\n", e.At.Local().Format("15:04:05"), e.Kind, safe(visit.Line(e))); err != nil {
				return
			}
		}
		select {
		case <-ctx.Done():
			fmt.Fprintln(c, ".")
			return
		case <-tick.C:
		}
	}
	fmt.Fprintln(c, ".")
}

// knock sends an instructor's wish to the drill that runs, and hands each line of the answer on.
func knock(ctx context.Context, data, wish string, tell func(line string)) error {
	var dialer net.Dialer
	c, err := dialer.DialContext(ctx, "unix", deskPath(data))
	if err != nil {
		return fmt.Errorf("no drill runs with the data folder %s (start one there with tankhand drill): %w", data, err)
	}
	defer c.Close()
	defer context.AfterFunc(ctx, func() { _ = c.Close() })()
	if _, err := fmt.Fprintln(c, wish); err != nil {
		return fmt.Errorf("asking the drill: %w", err)
	}
	for s := bufio.NewScanner(c); s.Scan(); {
		switch line := s.Text(); {
		case line == ".":
			return nil
		case strings.HasPrefix(line, "! "):
			return errors.New(line[2:])
		default:
			tell(line)
		}
	}
	return ctx.Err()
}
