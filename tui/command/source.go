package command

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"example.org/tankhand/livelevel/dialect"
	"example.org/tankhand/livelevel/port"
	"example.org/tankhand/livelevel/rig"
	"example.org/tankhand/livelevel/site"
)

// source is where a feed comes from, as the command line says it.
type source struct {
	port, baud, net, file, rig string
	rfc2217, follow            bool
	interval                   time.Duration
	clockRate                  string
	seed                       uint64
	sheetPath, dialectPath     string
	sheetName, sheetText       string // a sheet that is in no file
	technician, customer       string
	where                      string
	noMains, noLearning        bool
	byHand                     []string // probes of the feed that somebody answers by hand
	none                       bool     // no feed, rather than the practice rig, where none is named
}

// flags declares the words of a feed.
func (s *source) flags(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&s.port, "port", "", "serial port of the controller, as in /dev/ttyUSB0")
	f.StringVar(&s.baud, "baud", "115200", "rate of the serial port, or auto to try the usual ones")
	f.StringVar(&s.net, "net", "", "HOST:PORT of a serial port on the network")
	f.BoolVar(&s.rfc2217, "rfc2217", false, "the network port speaks RFC 2217: set its rate and format")
	f.StringVar(&s.file, "file", "", "a raw log or a capture; - is standard input")
	f.BoolVar(&s.follow, "follow", false, "go on reading a log that another program writes")
	f.DurationVar(&s.interval, "interval", 0, "time between readings of a log without any clock")
	f.StringVar(&s.rig, "rig", "", "the built-in practice rig: healthy, or a cause, as in face-wet@120s:0.4; several with commas")
	f.StringVar(&s.clockRate, "clock-rate", "", "run a rig or a capture so many times as fast as the clock, or max")
	f.Uint64Var(&s.seed, "seed", 1, "seed of the practice rig")
	f.StringVar(&s.sheetPath, "site", "", "site sheet of the installation")
	f.StringVar(&s.dialectPath, "dialect", "", "dialect file, or the name of a built-in dialect; worked out when not given")
}

// people declares the words for the record of who was there.
func (s *source) people(c *cobra.Command) {
	c.Flags().StringVar(&s.technician, "technician", "", "who does the work, for the record")
	c.Flags().StringVar(&s.customer, "customer", "", "for whom, for the record")
	c.Flags().StringVar(&s.where, "where", "", "offer only what can be done at-the-tank, at-the-board or remote; everywhere takes that of the settings back")
	c.Flags().BoolVar(&s.noMains, "no-mains", false, "no licence for mains: offer nothing behind the lids of mains enclosures")
	c.Flags().BoolVar(&s.noLearning, "no-learning", false, "use the shipped priors, not those learned from this firm's visits")
}

// given tells whether any feed was named.
func (s *source) given() bool { return s.port != "" || s.net != "" || s.file != "" || s.rig != "" }

// words open this feed again, for the advice at the end of a survey.
func (s *source) words() string {
	var w []string
	add := func(flag, value string) {
		if value != "" {
			w = append(w, flag, value)
		}
	}
	add("--port", s.port)
	if s.port != "" && s.baud != "115200" {
		add("--baud", s.baud)
	}
	add("--net", s.net)
	add("--file", s.file)
	add("--rig", s.rig)
	add("--site", s.sheetPath)
	add("--dialect", s.dialectPath)
	return strings.Join(w, " ")
}

// opened is a feed's source made ready.
type opened struct {
	opener    port.Opener
	rig       *practice // nil for a real installation
	sheet     *site.Sheet
	sheetText string
	dialect   *dialect.Dialect
}

// open makes the source ready; rate is the clock rate when none was given.
func (s *source) open(rate float64) (opened, error) {
	if err := s.one(); err != nil {
		return opened{}, err
	}
	given, err := s.rate(rate)
	if err != nil {
		return opened{}, err
	}
	o, err := s.opener(given)
	if err != nil {
		return o, err
	}
	if err := s.readSheet(&o); err != nil {
		return o, err
	}
	return o, s.readDialect(&o)
}

// one refuses two feeds at once.
func (s *source) one() error {
	n := 0
	for _, v := range []string{s.port, s.net, s.file, s.rig} {
		if v != "" {
			n++
		}
	}
	if n > 1 {
		return errors.New("several feeds are named: give one of --port, --net, --file, --rig")
	}
	return nil
}

func (s *source) rate(def float64) (float64, error) {
	switch s.clockRate {
	case "":
		return def, nil
	case "max":
		return port.AtOnce, nil
	}
	x, err := strconv.ParseFloat(s.clockRate, 64)
	if err != nil || x <= 0 || x > 1e6 {
		return 0, fmt.Errorf("--clock-rate %q: give a number above 0, as in 60, or max", s.clockRate)
	}
	return x, nil
}

// chosenRate is the clock rate for things that run by the clock unless told otherwise.
func (s *source) opener(rate float64) (opened, error) {
	options := port.Options{ClockRate: rate, Follow: s.follow}
	if s.clockRate == "" {
		options.ClockRate = 0 // live ports by the clock, logs and captures at once
	}
	switch {
	case s.port != "":
		baud, err := s.baudRate()
		return opened{opener: port.Serial(s.port, baud, options)}, err
	case s.net != "" && s.rfc2217:
		baud, err := s.baudRate()
		return opened{opener: port.RFC2217(s.net, baud, options)}, err
	case s.net != "":
		return opened{opener: port.Net(s.net, options)}, nil
	case s.file != "":
		return opened{opener: port.File(s.file, options)}, nil
	case s.none && s.rig == "":
		return opened{opener: port.None()}, nil
	}
	return s.practice(rate)
}

func (s *source) baudRate() (int, error) {
	if s.baud == "auto" {
		return port.BaudAuto, nil
	}
	n, err := strconv.Atoi(s.baud)
	if err != nil || n < 50 || n > 4_000_000 {
		return 0, fmt.Errorf("--baud %q: give a rate such as 9600 or 115200, or auto", s.baud)
	}
	return n, nil
}

// practiceName stands before the fault in the record of a practice visit.
const practiceName = "practice rig, "

// practice is the built-in rig with a fault switched in.
func (s *source) practice(rate float64) (opened, error) {
	name := s.rig
	if name == "" {
		name = "healthy"
	}
	options := rig.Options{Seed: s.seed}
	if name != "healthy" {
		for _, one := range strings.Split(name, ",") {
			fault, err := rig.ParseFault(strings.TrimSpace(one))
			if err != nil {
				return opened{}, err
			}
			options.Faults = append(options.Faults, fault)
		}
	}
	installation, err := rig.New(options)
	if err != nil {
		return opened{}, err
	}
	shared := &practice{rig: installation}
	return opened{opener: port.Simulated(practiceName+name, shared, rate, 0), rig: shared, sheetText: installation.SheetText()}, nil
}

func (s *source) readSheet(o *opened) error {
	name, text := s.sheetPath, []byte(nil)
	switch {
	case s.sheetPath != "":
		data, err := os.ReadFile(s.sheetPath)
		if err != nil {
			return fmt.Errorf("reading the site sheet: %w", err)
		}
		text = data
	case s.sheetText != "":
		name, text = s.sheetName, []byte(s.sheetText)
	case o.rig != nil:
		name, text = "practice rig", []byte(o.sheetText)
	default:
		o.sheet = &site.Sheet{}
		return nil
	}
	sheet, err := site.Parse(name, text)
	o.sheet, o.sheetText = sheet, string(text)
	return err
}

// readDialect takes the dialect that was named, or the one that was learned on this site before.
func (s *source) readDialect(o *opened) error {
	name := s.dialectPath
	if name == "" && o.rig == nil {
		name = o.sheet.Dialect
		if name == "" || name == "unknown" {
			return nil
		}
		// A name in the sheet without a file any more is no reason to stop: the feed is learned anew.
		if d, err := namedDialect(name); err == nil {
			o.dialect = &d
		}
		return nil
	}
	if name == "" {
		return nil
	}
	d, err := namedDialect(name)
	if err != nil {
		return err
	}
	o.dialect = &d
	return nil
}

// namedDialect is a file, one of the dialects in the config folder, or a built-in one.
func namedDialect(name string) (dialect.Dialect, error) {
	if d, ok := dialect.Builtin(name); ok {
		return d, nil
	}
	if !strings.ContainsAny(name, "/\\.") {
		if dir, err := configFolder(); err == nil {
			if d, err := dialect.ParseFile(filepath.Join(dir, "dialects", name+".yaml")); err == nil {
				return d, nil
			}
		}
	}
	d, err := dialect.ParseFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return d, fmt.Errorf("no dialect %q: it is no file, none of the config folder's dialects and none of the built-in ones (tankhand dialect list)", name)
	}
	return d, err
}
