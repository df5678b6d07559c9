package port

import (
	"context"
	"net"
	"time"

	"example.org/tankhand/livelevel"
)

// netPort is a serial bridge on the network.
type netPort struct {
	addr  string
	opt   Options
	baud  int
	com   bool // speak RFC 2217
	auto  bool // try the usual rates, through the bridge
	clock *clock
}

const dialTimeout = 5 * time.Second

// Net is the opener of a raw TCP port: what comes is the bytes of the feed.
func Net(addr string, o Options) Opener {
	return &netPort{addr: addr, opt: o, clock: newClock(o.ClockRate)}
}

// RFC2217 is the opener of a remote serial port (baud as with Serial): the bridge is told rate and format,
// and to hold DTR and RTS off. RFC 2217 (1997), Telnet Com Port Control Option.
func RFC2217(addr string, baud int, o Options) Opener {
	auto := baud == BaudAuto
	if baud <= 0 {
		baud = DefaultBaud
	}
	return &netPort{addr: addr, opt: o, baud: baud, com: true, auto: auto, clock: newClock(o.ClockRate)}
}

// Info implements Opener. A raw bridge may or may not pulse the lines; one that is told to open does.
func (p *netPort) Info() Info {
	return Info{Source: p.addr, Baud: p.baud, Live: true, Reopens: true, Times: livelevel.ByArrival, MayRestart: p.com, ClockRate: p.clock.rate}
}

// Now implements Clock.
func (p *netPort) Now() time.Time { return p.clock.now() }

// Open implements Opener.
func (p *netPort) Open(ctx context.Context) (Stream, error) {
	mode, err := parseFormat(p.opt.Format)
	if err != nil {
		return nil, err
	}
	d := net.Dialer{Timeout: dialTimeout, KeepAlive: 15 * time.Second}
	conn, err := d.DialContext(ctx, "tcp", p.addr)
	if err != nil {
		if ctx.Err() != nil {
			return nil, ErrClosed
		}
		return nil, refusedByNet(p.addr, err)
	}
	if !p.com {
		return newReadStream(p.addr, conn, conn.Close, p.clock, ErrLost), nil
	}
	mode.BaudRate = p.baud
	t := &telnet{conn: conn}
	if err := t.negotiate(&mode); err != nil {
		conn.Close()
		return nil, &Refusal{Doing: "opening", Source: p.addr, Kind: ErrNoPort, Cause: err,
			Do: "is it a raw TCP port? then leave --rfc2217 out"}
	}
	s := newReadStream(p.addr, t, conn.Close, p.clock, ErrLost)
	if p.auto {
		return newAutoStream(s, t.retune), nil
	}
	return s, nil
}
