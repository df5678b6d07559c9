// Package command is the command line: each command reads its words and hands over to a room.
package command

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"sync"
	"syscall"

	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"

	"example.org/tankhand/faulttree/survey"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/tui/settings"
)

// Program is one run of the command line.
type Program struct {
	In      io.Reader
	Out     io.Writer
	Err     io.Writer
	Version string

	data, store string
	units       string
	ascii, slow bool

	onScreen      bool       // the screen has the terminal: nothing may be printed
	mu            sync.Mutex // of settings, units and sheetInUse, once a screen runs
	sheetInUse    string     // the file of the site sheet at the bench, "" without one
	settings      settings.Settings
	settingsWrong error // what is wrong with their file
}

// exit carries a status through cobra without a message: what there was to say has been said.
type exit struct{ status int }

func (e exit) Error() string { return fmt.Sprintf("exit status %d", e.status) }

// done is nil for status 0.
func done(status survey.Exit) error {
	if status == survey.Good {
		return nil
	}
	return exit{int(status)}
}

// Run runs the command that args name and returns the exit status.
func (p *Program) Run(args []string) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	root := p.root()
	root.SetArgs(args)
	err := root.ExecuteContext(ctx)
	var e exit
	switch {
	case err == nil:
		return 0
	case errors.As(err, &e):
		return e.status
	}
	fmt.Fprintln(p.Err, "tankhand:", err)
	return int(survey.CouldNot)
}

func (p *Program) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "tankhand",
		Short: "The service technician's hand at the tank: live level, checks, guided fault finding, the record",
		Long: "tankhand listens to a tank-level controller over its serial port, shows the level live, and walks\n" +
			"a technician from the complaint to the proven repair, on the record. Without a command it opens\n" +
			"the start screen; without a terminal it prints a survey of the built-in practice rig.",
		Args:          cobra.NoArgs,
		SilenceUsage:  true,
		SilenceErrors: true,
		Version:       p.Version,
		RunE: func(c *cobra.Command, _ []string) error {
			if !p.onTerminal() {
				return p.surveyHealthyRig(c.Context())
			}
			return p.startScreen(c.Context())
		},
	}
	root.SetIn(p.In)
	root.SetOut(p.Out)
	root.SetErr(p.Err)
	flags := root.PersistentFlags()
	flags.StringVar(&p.data, "data", "", "folder of visits and captures (default: the user's data folder)")
	flags.StringVar(&p.store, "store", "", "where visits are kept (default: visits.db in the data folder)")
	flags.StringVar(&p.units, "units", "metric", "units to show: metric or us")
	flags.BoolVar(&p.ascii, "ascii", false, "draw with ASCII characters only")
	flags.BoolVar(&p.slow, "slow-link", underSSH(), "repaint sparingly; on by itself in an SSH session")
	root.PersistentPreRunE = func(c *cobra.Command, _ []string) error {
		p.readSettings(c.Flags())
		if p.units != "metric" && p.units != "us" {
			return fmt.Errorf("--units %q: the units are metric or us", p.units)
		}
		return nil
	}
	root.AddCommand(p.bench(), p.survey(), p.record(), p.walk(), p.tree(), p.dialect(), p.site(), p.dip(), p.rig(), p.drill(), p.visits(), p.ports(), p.manual())
	return root
}

func underSSH() bool { return os.Getenv("SSH_CONNECTION") != "" || os.Getenv("SSH_TTY") != "" }

func (p *Program) system() quantity.System {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.units == "us" {
		return quantity.US
	}
	return quantity.Metric
}

// onTerminal tells whether there is a screen to draw on and a keyboard to hear.
func (p *Program) onTerminal() bool { return isTerminal(p.In) && isTerminal(p.Out) }

func isTerminal(x any) bool {
	f, ok := x.(*os.File)
	return ok && isatty.IsTerminal(f.Fd())
}
