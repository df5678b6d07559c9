package command

import (
	"context"
	"fmt"
	"io"
	"math"
	"net"
	"time"

	"github.com/spf13/cobra"

	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/livelevel/rig"
)

func (p *Program) rig() *cobra.Command {
	r := &rigRun{p: p}
	c := &cobra.Command{
		Use:     "rig",
		Short:   "The practice rig: an installation one can break, speaking over a pseudo-terminal or the network",
		Example: "  tankhand rig --list\n  tankhand rig --fault brownout --pty\n  tankhand rig --fault face-wet@120s:0.4 --listen 127.0.0.1:7000",
		Args:    cobra.NoArgs,
		RunE:    func(c *cobra.Command, _ []string) error { return r.run(c.Context()) },
	}
	f := c.Flags()
	f.BoolVar(&r.list, "list", false, "list the faults that can be switched in")
	f.StringArrayVar(&r.faults, "fault", nil, "switch a fault in: ID[@START][:SEVERITY]; may be given again")
	f.BoolVar(&r.pty, "pty", false, "speak over a pseudo-terminal and print its name")
	f.StringVar(&r.listen, "listen", "", "speak to who connects to this address; loopback unless an address is given")
	f.BoolVar(&r.stdout, "stdout", false, "write the feed to standard output")
	f.StringVar(&r.clockRate, "clock-rate", "1", "run so many times as fast as the clock, or max")
	f.DurationVar(&r.length, "for", 0, "stop after this much of the rig's own time")
	f.Uint64Var(&r.seed, "seed", 1, "seed of everything that is random")
	f.StringVar(&r.dialect, "dialect", "", "text dialect that the board speaks")
	f.BoolVar(&r.sheet, "sheet", false, "print the site sheet of the rig's installation")
	c.MarkFlagsMutuallyExclusive("pty", "listen", "stdout", "list", "sheet")
	return c
}

// rigRun is one run of the rig command.
type rigRun struct {
	p                 *Program
	list, pty, stdout bool
	sheet             bool
	listen, clockRate string
	dialect           string
	faults            []string
	seed              uint64
	length            time.Duration
}

func (r *rigRun) run(ctx context.Context) error {
	if r.list {
		for _, f := range rig.Faults() {
			fmt.Fprintf(r.p.Out, "%-24s %s\n", f.ID, f.What)
		}
		return nil
	}
	rate, err := (&source{clockRate: r.clockRate}).rate(1)
	if err != nil {
		return err
	}
	installation, err := r.build()
	if err != nil {
		return err
	}
	switch {
	case r.sheet:
		_, err = io.WriteString(r.p.Out, installation.SheetText())
		return err
	case r.pty:
		return r.overTerminal(ctx, installation, rate)
	case r.listen != "":
		return r.overNetwork(ctx, installation, rate)
	case r.stdout:
		return r.speak(ctx, installation, rate, r.p.Out)
	}
	return fmt.Errorf("the rig needs somewhere to speak: give --pty, --listen ADDR or --stdout (or --list, --sheet)")
}

func (r *rigRun) build() (*rig.Installation, error) {
	options := rig.Options{Seed: r.seed, Dialect: r.dialect}
	for _, text := range r.faults {
		if text == "healthy" {
			continue
		}
		f, err := rig.ParseFault(text)
		if err != nil {
			return nil, err
		}
		options.Faults = append(options.Faults, f)
	}
	return rig.New(options)
}

func (r *rigRun) overTerminal(ctx context.Context, i *rig.Installation, rate float64) error {
	pair, err := port.Terminal()
	if err != nil {
		return err
	}
	defer pair.Close()
	fmt.Fprintln(r.p.Out, pair.Name())
	return r.speak(ctx, i, rate, pair)
}

// overNetwork speaks to one caller at a time; the installation goes on while nobody listens.
func (r *rigRun) overNetwork(ctx context.Context, i *rig.Installation, rate float64) error {
	host, port, err := net.SplitHostPort(r.listen)
	if err != nil {
		return fmt.Errorf("--listen %s: %w (give an address as in 127.0.0.1:7000)", r.listen, err)
	}
	if host == "" {
		host = "127.0.0.1"
	}
	l, err := net.Listen("tcp", net.JoinHostPort(host, port))
	if err != nil {
		return fmt.Errorf("listening for callers: %w", err)
	}
	defer l.Close()
	fmt.Fprintln(r.p.Out, l.Addr())
	callers := &callers{}
	go callers.accept(l)
	defer callers.hangUp()
	return r.speak(ctx, i, rate, callers)
}

// rigStep is how far the installation moves at once.
const rigStep = 50 * time.Millisecond

// speak moves the installation on at its pace and writes what it sends.
func (r *rigRun) speak(ctx context.Context, i *rig.Installation, rate float64, out io.Writer) error {
	if err := i.Connect(); err != nil {
		return err
	}
	began, watched := time.Now(), isTerminal(r.p.Err)
	for at := time.Duration(0); r.length == 0 || at < r.length; at += rigStep {
		if !math.IsInf(rate, 1) && !until(ctx, began.Add(time.Duration(float64(at)/rate))) || ctx.Err() != nil {
			return nil
		}
		if data := i.Advance(rigStep); len(data) > 0 {
			if _, err := out.Write(data); err != nil {
				return fmt.Errorf("the rig speaking: %w", err)
			}
		}
		if watched && at%time.Second == 0 {
			fmt.Fprintf(r.p.Err, "\r\033[K%s", i.Status())
		}
	}
	return nil
}

// until waits for a moment; false when the run was ended first.
func until(ctx context.Context, at time.Time) bool {
	d := time.Until(at)
	if d <= 0 {
		return ctx.Err() == nil
	}
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return true
	case <-ctx.Done():
		return false
	}
}
