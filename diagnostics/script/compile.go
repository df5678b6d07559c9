package script

import (
	"fmt"
	"sort"
	"strings"
	"time"

	"example.org/tankhand/livelevel"
)

// compile turns the words of a line into what the player does.
func compile(ws []word) (func(*player) error, error) {
	a := &args{ws: ws, i: 1}
	make, ok := statements[ws[0].text]
	if !ok {
		return nil, wrong(ws[0], fmt.Sprintf("%q is no statement: want one of %s", ws[0].text, known()))
	}
	run := make(a)
	return run, a.done()
}

func known() string {
	var names []string
	for n := range statements {
		names = append(names, n)
	}
	sort.Strings(names)
	return strings.Join(names, ", ") + ", repeat, end"
}

type maker func(a *args) func(*player) error

// do makes a statement that cannot fail while it runs.
func do(f func(p *player)) func(*player) error {
	return func(p *player) error { f(p); return nil }
}

var statements map[string]maker

func init() {
	statements = map[string]maker{
		"window": func(a *args) func(*player) error {
			d := a.lasting()
			return do(func(p *player) { p.window = d })
		},
		"seed":   value("a number", func(p *player, v float64) { p.seed(uint64(v)) }),
		"sheet":  sheetFact,
		"tank":   tankShape,
		"limit":  limitFact,
		"every":  func(a *args) func(*player) error { d := a.lasting(); return do(func(p *player) { p.every = d }) },
		"ullage": ullage,
		"ramp":   value("a speed", func(p *player, v float64) { p.ramp = v }),
		"noise":  value("a length", func(p *player, v float64) { p.noise = v }),
		"waves":  waves,
		"step":   value("a length", func(p *player, v float64) { p.step = v }),
		"lose":   value("a share", func(p *player, v float64) { p.lose = v }),
		"hide":   flag(func(p *player, on bool) { p.hide = on }),
		"stuck":  flag(func(p *player, on bool) { p.stuck = on }),
		"spikes": spikes,
		"second": second,
		"pump":   pump,
		"set":    setRole,
		"clear":  clearRole,
		"play":   func(a *args) func(*player) error { d := a.lasting(); return func(p *player) error { return p.play(d) } },
		"gap": func(a *args) func(*player) error {
			d := a.lasting()
			return do(func(p *player) { p.now = p.now.Add(d) })
		},
		"quiet": func(a *args) func(*player) error {
			d := a.lasting()
			return func(p *player) error { return p.quiet(d) }
		},
		"restart": restart,
		"reject":  value("a number", func(p *player, v float64) { p.reject(int(v)) }),
		"port":    port,
		"expect":  expect,
		"at":      at,
	}
}

func value(what string, set func(p *player, v float64)) maker {
	return func(a *args) func(*player) error {
		v := a.number(what)
		return do(func(p *player) { set(p, v) })
	}
}

func flag(set func(p *player, on bool)) maker {
	return func(a *args) func(*player) error {
		on := a.oneOf("yes", "no") == "yes"
		return do(func(p *player) { set(p, on) })
	}
}

func ullage(a *args) func(*player) error {
	if a.more() && a.ws[a.i].text == "none" {
		a.i++
		return do(func(p *player) { p.have = false })
	}
	v := a.number("a length")
	return do(func(p *player) { p.have, p.u = true, v })
}

func waves(a *args) func(*player) error {
	v := a.number("a length")
	var d time.Duration
	if v != 0 {
		d = a.lasting()
	}
	return do(func(p *player) { p.wave, p.wavePeriod = v, d.Seconds() })
}

func spikes(a *args) func(*player) error {
	share, far := a.number("a share"), 0.0
	if share != 0 {
		far = a.number("a length")
	}
	return do(func(p *player) { p.spikes, p.spikeFar = share, far })
}

func second(a *args) func(*player) error {
	s := population{share: a.number("a share")}
	if s.share != 0 {
		if a.oneOf("at", "times") == "at" {
			s.plus = a.number("a length")
		} else {
			s.times = a.number("a factor")
			if a.more() {
				a.oneOf("plus")
				s.plus = a.number("a length")
			}
		}
	}
	return do(func(p *player) { p.second = s })
}

func pump(a *args) func(*player) error {
	w := a.oneOf("on", "off", "none")
	return do(func(p *player) {
		delete(p.roles, livelevel.Pump)
		if w != "none" {
			p.roles[livelevel.Pump] = 0
		}
		if w == "on" {
			p.roles[livelevel.Pump] = 1
		}
	})
}

func role(a *args) livelevel.Role {
	w := a.word("a role of a feed")
	r, ok := livelevel.ParseRole(w)
	if !ok {
		a.i--
		a.fail(fmt.Sprintf("%q is no role of a feed", w))
	}
	return r
}

func setRole(a *args) func(*player) error {
	r, v := role(a), a.number("a value")
	return do(func(p *player) { p.roles[r] = v })
}

func clearRole(a *args) func(*player) error {
	r := role(a)
	return do(func(p *player) { delete(p.roles, r) })
}

func restart(a *args) func(*player) error {
	r := livelevel.Reading{Kind: livelevel.Restart, Text: a.word("what the board said, in quotes")}
	if a.more() {
		a.oneOf("ours")
		r.Ours = true
	}
	return do(func(p *player) { p.send(r) })
}

func port(a *args) func(*player) error {
	w := a.oneOf("lost", "back", "opened", "no-port", "busy", "no-right")
	r := livelevel.Reading{Kind: livelevel.Refused, Text: w}
	switch w {
	case "lost":
		r.Kind = livelevel.Lost
	case "back":
		r.Kind = livelevel.Back
	case "opened":
		r.Kind = livelevel.Opened
	}
	return do(func(p *player) { p.send(r) })
}
