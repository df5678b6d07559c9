package rig

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// lineState is the serial line between board and technician.
type lineState struct {
	banner float64 // when the start-up text is due, 0 not
	header bool    // the csv header has been sent since the start
	told   bool    // the last command told, for a program that prints only on a change
	sent   bool
}

// speaker is one way in which a controller's program prints its reports.
type speaker struct {
	id, what string
	report   func(dst []byte, r *report) []byte
	header   string
	banner   func(cause string) string
}

// report is what the program knows when it prints.
type report struct {
	up                           float64 // s
	distance, percent            float64 // m, m, %; NaN unknown
	volume                       float64 // m3
	pump, manual, button, demand bool
	supply, celsius, quality     float64
	low, fullSet, full, empty    float64
	cause                        string
	wait                         float64 // s of restart delay left
}

// Dialects lists the ways of printing, the first is the default.
func Dialects() []Listed {
	out := make([]Listed, len(speakers))
	for k, s := range speakers {
		out[k] = Listed{s.id, s.what}
	}
	return out
}

func newSpeaker(id string) (speaker, error) {
	if id == "" {
		return speakers[0], nil
	}
	names := make([]string, len(speakers))
	for k, s := range speakers {
		if s.id == id {
			return s, nil
		}
		names[k] = s.id
	}
	return speaker{}, fmt.Errorf("choosing the rig's dialect: %q is unknown (%s)", id, strings.Join(names, ", "))
}

// stepLine sends the start-up text when it is due.
func (i *Installation) stepLine() {
	l := &i.line
	if l.banner == 0 || i.now < l.banner || !i.board.powered {
		return
	}
	l.banner, l.header = 0, false
	if i.cond.noProgram || i.cond.strapped {
		if i.cond.strapped {
			i.send([]byte("waiting for download\r\n"))
		}
		return
	}
	i.send([]byte(i.say.banner(i.board.cause)))
}

// report prints one line.
func (i *Installation) report() {
	if i.cond.quiet && i.line.sent && i.line.told == i.board.called {
		return
	}
	i.line.told, i.line.sent = i.board.called, true
	r := i.makeReport()
	if i.watch != nil {
		i.watch.note(&r)
	}
	var buf [320]byte
	b := buf[:0]
	if i.say.header != "" && !i.line.header {
		b = append(b, i.say.header...)
		i.line.header = true
	}
	i.send(i.say.report(b, &r))
}

func (i *Installation) makeReport() report {
	b, c := &i.board, &i.cond
	r := report{up: i.now - b.upSince, distance: b.distance, percent: b.percent, pump: b.called, manual: b.manual,
		button: b.button, demand: b.demand, supply: i.elec.board, celsius: b.celsius, quality: i.quality(), low: b.low, fullSet: b.fullSet,
		full: b.full, empty: b.empty, cause: b.cause, volume: math.NaN()}
	if b.lost || c.marksLost() {
		r.percent = math.NaN()
	}
	if !b.lost {
		r.volume = i.tank.volume(faceHeight-b.filtered()) * c.volumeFactor
	}
	r.wait = i.waits()
	return r
}

// quality of the last echo as this board prints it: its height over the threshold, 40 dB being 100 %.
func (i *Installation) quality() float64 {
	if i.board.lost {
		return 0
	}
	return math.Min(math.Max(i.echo.quality*2.5, 1), 100)
}

// waits is how long the least time off still has to run.
func (i *Installation) waits() float64 {
	if i.board.called {
		return 0
	}
	return math.Max(i.cond.minOff-(i.now-i.board.lastStop), 0)
}

// send puts bytes on the line, as they arrive at the technician's end.
func (i *Installation) send(b []byte) {
	c := &i.cond
	if c.deaf || c.otherPort || c.refusal != "" {
		return
	}
	if c.wrongBaud {
		b = i.misread(b)
	}
	if c.garble > 0 {
		i.damage(b)
	}
	i.out = append(i.out, b...)
}

// misread is what a receiver at the wrong speed makes of the line: fewer bytes, and none of them right.
func (i *Installation) misread(b []byte) []byte {
	out := make([]byte, 0, len(b))
	for _, x := range b {
		if i.chance(0.6) {
			out = append(out, x<<3^byte(i.rng.Uint32()))
		}
	}
	return out
}

func (i *Installation) damage(b []byte) {
	p := i.cond.garble / 5
	if i.pump.powered {
		p = i.cond.garble
	}
	for k := range b {
		if i.chance(p) {
			b[k] = byte(i.rng.Uint32())
		}
	}
}

func num(dst []byte, v float64, digits int, none string) []byte {
	if math.IsNaN(v) {
		return append(dst, none...)
	}
	return strconv.AppendFloat(dst, v, 'f', digits, 64)
}

func word(dst []byte, on bool, yes, no string) []byte {
	if on {
		return append(dst, yes...)
	}
	return append(dst, no...)
}
