package command

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"example.org/tankhand/faulttree/visit"
	"example.org/tankhand/livelevel/dip"
	"example.org/tankhand/livelevel/quantity"
	"example.org/tankhand/livelevel/sheet"
)

func (p *Program) dip() *cobra.Command {
	d := &dipping{p: p}
	c := &cobra.Command{
		Use:   "dip [F]",
		Short: "A dip-tape series against the gauge, as found or as left",
		Long: "dip compares levels taken with a dip tape, rising and falling, with what the gauge says, in the terms of\n" +
			"IEC 61298: offset, span, hysteresis, non-repeatability, non-linearity; and proposes a two-point correction.\n" +
			"F is a file: a list under \"series\", each {tape: 0.50 m, gauge: 0.512 m, way: up}. Without a file it asks\n" +
			"line by line; with a feed the gauge's side is read from it at that moment.\n" +
			"Lean over no open hatch; keep the tape clean where the water is for drinking.",
		Example: "  tankhand dip series.yaml --when found --visit 3\n  tankhand dip --port /dev/ttyUSB0 --site tank.yaml",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 1 {
				d.file = args[0]
			}
			return d.run(c.Context())
		},
	}
	d.source.flags(c)
	c.Flags().StringVar(&d.when, "when", "found", "found or left: before or after the adjustment")
	c.Flags().StringVar(&d.visit, "visit", "", "keep the series on the record of this visit")
	return c
}

// dipping is one run of the dip command.
type dipping struct {
	p           *Program
	source      source
	file        string
	when, visit string
}

func (d *dipping) run(ctx context.Context) error {
	when, ok := map[string]string{"found": visit.AsFound, "left": visit.AsLeft}[d.when]
	if !ok {
		return fmt.Errorf("--when %q: it is found or left", d.when)
	}
	points, err := d.points(ctx)
	if err != nil {
		return err
	}
	report, err := dip.Compare(points)
	if err != nil {
		return err
	}
	d.tell(when, points, report)
	if d.visit == "" {
		fmt.Fprintln(d.p.Err, "not kept: name a visit with --visit to keep it on the record")
		return nil
	}
	return d.p.withStore(func(ctx context.Context, s visit.Store) error {
		return addEvent(ctx, s, d.visit, visit.RecordDip(when, points, report))
	})(commandWith(ctx), nil)
}

func (d *dipping) points(ctx context.Context) ([]dip.Point, error) {
	if d.file != "" {
		return readDips(d.file)
	}
	gauge := func() (float64, error) { return math.NaN(), nil }
	if d.source.given() {
		sitting, err := d.p.sit(ctx, ask{source: &d.source, rate: 1, window: benchWindow})
		if err != nil {
			return nil, err
		}
		defer sitting.Close()
		gauge = levelNow(sitting)
	}
	return d.askPoints(gauge)
}

// levelNow reads the newest level of a running feed.
func levelNow(s *sitting) func() (float64, error) {
	return func() (float64, error) {
		late := time.After(20 * time.Second)
		for {
			select {
			case snap, ok := <-s.Snapshots():
				switch {
				case !ok || snap.Ended:
					return 0, errors.New("the feed has ended: no level to compare with")
				case !math.IsNaN(snap.Level.Height) && snap.Settled:
					return snap.Level.Height, nil
				}
			case <-late:
				return 0, errors.New("the feed has brought no level for 20 s; see tankhand survey for why")
			}
		}
	}
}

// askPoints takes a level a line until an empty line.
func (d *dipping) askPoints(gauge func() (float64, error)) ([]dip.Point, error) {
	in := bufio.NewScanner(d.p.In)
	var points []dip.Point
	last := math.NaN()
	for {
		fmt.Fprintf(d.p.Err, "level %d by the tape%s (empty line: done): ", len(points)+1, d.alsoGauge())
		if !in.Scan() || strings.TrimSpace(in.Text()) == "" {
			fmt.Fprintln(d.p.Err)
			return points, in.Err()
		}
		pt, err := dipLine(in.Text(), gauge)
		if err != nil {
			fmt.Fprintln(d.p.Err, " ", err)
			continue
		}
		pt.Down = pt.Tape < last
		last = pt.Tape
		points = append(points, pt)
		fmt.Fprintf(d.p.Err, "  tape %.3f m, gauge %.3f m, error %+.1f mm\n", pt.Tape, pt.Gauge, 1000*pt.Error())
	}
}

func (d *dipping) alsoGauge() string {
	if d.source.given() {
		return ""
	}
	return ", then a comma and the gauge"
}

// dipLine is "0.50 m" with a live gauge, or "0.50 m, 0.512 m".
func dipLine(text string, gauge func() (float64, error)) (dip.Point, error) {
	tape, other, typed := strings.Cut(text, ",")
	q, err := quantity.ParseAny(strings.TrimSpace(tape), "m")
	if err != nil {
		return dip.Point{}, err
	}
	if typed {
		g, err := quantity.ParseAny(strings.TrimSpace(other), "m")
		return dip.Point{Tape: q.V, Gauge: g.V}, err
	}
	g, err := gauge()
	if err == nil && math.IsNaN(g) {
		err = errors.New("give both, as in: 0.50 m, 0.512 m")
	}
	return dip.Point{Tape: q.V, Gauge: g}, err
}

// readDips reads a file of a series; without "way" a level lower than the one before was taken falling.
func readDips(path string) ([]dip.Point, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("reading the dip series: %w", err)
	}
	doc, err := sheet.Parse(path, data)
	if err != nil {
		return nil, err
	}
	m := doc.Map()
	m.Need("series")
	var points []dip.Point
	for _, e := range m.Maps("series") {
		e.Need("tape", "gauge")
		pt := dip.Point{Tape: length(e, "tape"), Gauge: length(e, "gauge")}
		switch e.Word("way", "up", "down") {
		case "down":
			pt.Down = true
		case "":
			pt.Down = len(points) > 0 && pt.Tape < points[len(points)-1].Tape
		}
		e.Done()
		points = append(points, pt)
	}
	m.Done()
	return points, doc.Err()
}

func length(m *sheet.Map, key string) float64 {
	q, err := quantity.Parse(m.Text(key), quantity.Length)
	if err != nil && m.Has(key) {
		m.Problem(key, "%v", err)
	}
	return q.V
}

func (d *dipping) tell(when string, points []dip.Point, r dip.Report) {
	out := d.p.Out
	fmt.Fprintf(out, "dip tape against the gauge, %s, %d levels from %.3f m to %.3f m\n", when, r.N, r.Low, r.High)
	for _, pt := range points {
		way := "rising"
		if pt.Down {
			way = "falling"
		}
		fmt.Fprintf(out, "  tape %.3f m  gauge %.3f m  error %+7.1f mm  %s\n", pt.Tape, pt.Gauge, 1000*pt.Error(), way)
	}
	mm := func(name string, v float64, lacking string) {
		if math.IsNaN(v) {
			fmt.Fprintf(out, "%-18s ? cannot tell: %s\n", name, lacking)
			return
		}
		fmt.Fprintf(out, "%-18s %+.1f mm\n", name, 1000*v)
	}
	mm("offset", r.Offset, "")
	fmt.Fprintf(out, "%-18s %+.2f %%\n", "span", 100*r.Span)
	mm("greatest error", r.Inaccuracy, "")
	mm("hysteresis", r.Hysteresis, "take levels rising and falling")
	mm("non-repeatability", r.NonRepeatability, "take a level twice the same way")
	mm("non-linearity", r.NonLinearity, "take three levels or more")
	fmt.Fprintf(out, "two-point correction: true level = %.5g x gauge %+.1f mm\n", r.Proposed.Slope, 1000*r.Proposed.Intercept)
}
