package command

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os/signal"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"example.org/tankhand/livelevel/feed"
	"example.org/tankhand/livelevel/port"
)

func (p *Program) record() *cobra.Command {
	var s source
	var length time.Duration
	c := &cobra.Command{
		Use:   "record",
		Short: "Only keep the bytes of a feed: goes on over a cut link and an unplug, says where the file is",
		Long: "record writes all that a feed sends to a raw capture, with the time of arrival, and nothing else.\n" +
			"It goes on when the terminal goes away; end it with ctrl-c, with kill, or with --for.",
		Example: "  tankhand record --port /dev/ttyUSB0 --for 14h",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			if !s.given() {
				return errors.New("record needs a feed: give --port, --net, --file or --rig")
			}
			// A cut SSH link must not end a recording that is to run all night.
			signal.Ignore(syscall.SIGHUP)
			return p.runRecord(c.Context(), &s, length)
		},
	}
	s.flags(c)
	c.Flags().DurationVar(&length, "for", 0, "how long to record, in the feed's time (default: until it is ended)")
	return c
}

func (p *Program) runRecord(ctx context.Context, s *source, length time.Duration) error {
	o, err := s.open(1)
	if err != nil {
		return err
	}
	folder, err := p.captures()
	if err != nil {
		return err
	}
	opener := o.opener
	if length > 0 {
		opener = port.Limited(opener, length)
	}
	p.warn(o)
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	f := feed.Start(ctx, opener, feed.Options{Capture: folder, Sheet: o.sheet, Dialect: o.dialect, Lossless: true, RawOnly: true})
	told := ""
	for b := range f.Batches() {
		if path := b.Stats.CapturePath; path != told {
			fmt.Fprintln(p.Err, "recording to", path)
			told = path
		}
		if b.Stats.CaptureError != "" {
			stop() // nothing more can be kept: whoever waits for the night's bytes must hear of it now
		}
		if b.End != nil {
			return p.recorded(b)
		}
	}
	return nil
}

// recorded says how a recording ended and where it is.
func (p *Program) recorded(b feed.Batch) error {
	if b.Stats.CapturePath != "" {
		fmt.Fprintln(p.Out, b.Stats.CapturePath)
	}
	fmt.Fprintf(p.Err, "%d bytes, %d lines\n", b.Stats.Bytes, b.Stats.Lines)
	if b.Stats.CaptureError != "" {
		return fmt.Errorf("recording stopped, what came before is kept: %s (make room, or name another folder with --data)", b.Stats.CaptureError)
	}
	if b.Stats.CapturePath == "" && b.Stats.Bytes > 0 {
		return errors.New("nothing was recorded: a log without times of arrival is its own record already")
	}
	if errors.Is(b.End, io.EOF) || errors.Is(b.End, port.ErrClosed) {
		return nil
	}
	return fmt.Errorf("recording: %w", b.End)
}
