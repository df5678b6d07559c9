package command

import (
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"example.org/tankhand/diagnostics"
	"example.org/tankhand/faulttree/survey"
	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel"
	"example.org/tankhand/livelevel/port"
)

// A port is listened to for a minute: as long as the quickest rules of the complaints need. A rig
// runs at once, so it may show its slow faults too.
const (
	surveyPort = time.Minute
	surveyRig  = time.Hour
)

func (p *Program) survey() *cobra.Command {
	var s source
	var length time.Duration
	var asJSON bool
	var between string
	c := &cobra.Command{
		Use:   "survey",
		Short: "Listen to a feed, check it, print what was found, exit",
		Long: "survey listens to a feed, runs all automatic checks and prints one page, the worst first.\n" +
			"Exit status: 0 nothing failed; 1 at least one check failed; 2 it could not run; 3 nothing failed,\n" +
			"but the feed cannot be judged or no check could pass.",
		Example: "  tankhand survey --port /dev/ttyUSB0 --site tank.yaml\n  tankhand survey --file night.log --json\n  tankhand survey --rig face-wet",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			var hours diagnostics.Hours
			if between != "" {
				var err error
				if hours, err = diagnostics.ParseHours(between); err != nil {
					return fmt.Errorf("--between %w", err)
				}
			}
			return p.runSurvey(c.Context(), &s, length, hours, asJSON)
		},
	}
	s.flags(c)
	c.Flags().DurationVar(&length, "for", 0, "how long to listen, in the feed's time (default: a port 1m, a rig 1h, a log to its end)")
	c.Flags().StringVar(&between, "between", "", "look only at these hours of the day by the feed's clock, as in 22:00-06:00")
	c.Flags().BoolVar(&asJSON, "json", false, "print the document tankhand/survey/1")
	return c
}

func (p *Program) surveyHealthyRig(ctx context.Context) error {
	return p.runSurvey(ctx, &source{rig: "healthy", seed: 1}, 0, diagnostics.Hours{}, false)
}

func (p *Program) runSurvey(ctx context.Context, s *source, length time.Duration, hours diagnostics.Hours, asJSON bool) error {
	if length == 0 && s.file == "" {
		length = surveyPort
		if s.rig != "" || !s.given() {
			length = surveyRig
		}
	}
	sitting, err := p.sit(ctx, ask{source: s, rate: port.AtOnce, lossless: true, limit: length, between: hours})
	if err != nil {
		return err
	}
	defer sitting.Close()
	snap, err := p.listen(ctx, sitting, length)
	if err != nil {
		return err
	}
	if from := snap.Feed.From; hours != (diagnostics.Hours{}) && snap.Feed.Readings > 0 && from.Year() <= 1971 && !showsClock(&snap) {
		return fmt.Errorf("looking at %s of %s: the feed carries no time of day, only a count from its own start", hours, s.words())
	}
	refused := snap.State == visit.Refused && snap.Feed.Bytes == 0
	if refused {
		fmt.Fprintln(p.Err, "tankhand:", snap.Why)
	}
	if refused && !asJSON {
		return exit{int(survey.CouldNot)}
	}
	if asJSON {
		err = survey.WriteJSON(p.Out, sitting.base, &snap)
	} else {
		err = survey.Page{Base: sitting.base, Units: p.system(), FeedWords: s.words()}.Write(p.Out, &snap)
	}
	if err != nil {
		return fmt.Errorf("writing the survey: %w", err)
	}
	if refused {
		return exit{int(survey.CouldNot)}
	}
	return done(survey.Status(snap.Findings))
}

// showsClock tells whether the feed has a clock of its own; one that shows the time of day alone is dated 1970.
func showsClock(snap *visit.Snapshot) bool {
	for _, c := range snap.Columns {
		if c.Role == livelevel.Clock {
			return true
		}
	}
	return false
}
