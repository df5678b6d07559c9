package port

import (
	"context"
	"fmt"
	"sync"
	"time"

	"go.bug.st/serial"

	"example.org/tankhand/livelevel"
)

// DefaultBaud is used where no rate is given.
const DefaultBaud = 115200

// serialPort opens a serial device. It is opened once and kept open, because opening may pulse the
// control lines and so restart the board behind it.
type serialPort struct {
	dev   string
	opt   Options
	clock *clock
	mu    sync.Mutex
	baud  int
	auto  bool
	mode  serial.Mode
	bad   error
}

// Serial is the opener of a serial port; baud 0 is DefaultBaud, BaudAuto tries the usual ones.
func Serial(dev string, baud int, o Options) Opener {
	p := &serialPort{dev: dev, opt: o, clock: newClock(o.ClockRate), baud: baud, auto: baud == BaudAuto}
	if baud <= 0 {
		p.baud = DefaultBaud
	}
	p.mode, p.bad = parseFormat(o.Format)
	return p
}

// parseFormat reads "8N1".
func parseFormat(s string) (serial.Mode, error) {
	m := serial.Mode{DataBits: 8}
	if s == "" {
		return m, nil
	}
	parities := map[byte]serial.Parity{'N': serial.NoParity, 'E': serial.EvenParity, 'O': serial.OddParity,
		'M': serial.MarkParity, 'S': serial.SpaceParity}
	if len(s) == 3 && s[0] >= '5' && s[0] <= '8' {
		if par, ok := parities[s[1]&^0x20]; ok && (s[2] == '1' || s[2] == '2') {
			m.DataBits, m.Parity = int(s[0]-'0'), par
			if s[2] == '2' {
				m.StopBits = serial.TwoStopBits
			}
			return m, nil
		}
	}
	return m, fmt.Errorf("reading the serial format %q: want data bits, parity, stop bits, as in 8N1 or 7E1", s)
}

// Info implements Opener.
func (p *serialPort) Info() Info {
	p.mu.Lock()
	defer p.mu.Unlock()
	return Info{Source: p.dev, Baud: p.baud, Live: true, Reopens: true, Times: livelevel.ByArrival, MayRestart: true,
		ClockRate: p.clock.rate}
}

// Open implements Opener.
func (p *serialPort) Open(ctx context.Context) (Stream, error) {
	if p.bad != nil {
		return nil, p.bad
	}
	if err := ctx.Err(); err != nil {
		return nil, ErrClosed
	}
	lock, hasLines, err := claim(p.dev, p.opt.KeepLines)
	if err != nil {
		return nil, refused(p.dev, err)
	}
	mode := p.mode
	mode.BaudRate = p.Info().Baud
	if hasLines && !p.opt.KeepLines {
		mode.InitialStatusBits = &serial.ModemOutputBits{}
	}
	dev, err := serial.Open(p.dev, &mode)
	if err != nil && mode.InitialStatusBits != nil { // the device has no such lines after all
		mode.InitialStatusBits = nil
		dev, err = serial.Open(p.dev, &mode)
	}
	if err != nil {
		lock()
		return nil, refused(p.dev, err)
	}
	release := func() error { defer lock(); return dev.Close() }
	s := newReadStream(p.dev, dev, release, p.clock, ErrLost)
	if p.auto {
		return newAutoStream(s, func(r rate) error { return p.retune(dev, r) }), nil
	}
	return s, nil
}

// retune sets another rate on the open device.
func (p *serialPort) retune(dev serial.Port, r rate) error {
	m, err := parseFormat(r.format)
	if err != nil {
		return err
	}
	m.BaudRate = r.baud
	if err := dev.SetMode(&m); err != nil {
		return err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.baud, p.mode = r.baud, m
	return nil
}

// Now implements Clock.
func (p *serialPort) Now() time.Time { return p.clock.now() }
