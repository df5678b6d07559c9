package port

import (
	"encoding/binary"
	"errors"
	"fmt"
	"net"
	"os"
	"time"

	"go.bug.st/serial"
)

// The codes of Telnet (RFC 854, 856, 858) and of the Com Port Control Option (RFC 2217).
const (
	tIAC, tDONT, tDO, tWONT, tWILL, tSB, tSE = 255, 254, 253, 252, 251, 250, 240

	optBinary, optSGA, optComPort = 0, 3, 44

	comBaud, comSize, comParity, comStop, comControl = 1, 2, 3, 4, 5
	comAnswer                                        = 100 // an answer is the command plus this

	controlNoFlow, controlDTROff, controlRTSOff = 1, 9, 12
)

// answerTimeout is how long a bridge may take for the whole negotiation.
const answerTimeout = 3 * time.Second

// telnet is the client's end of a remote serial port: Read gives the bytes of the port with the
// protocol taken out; refusals and notices in between are answered.
type telnet struct {
	conn    net.Conn
	state   byte // where in the protocol the last byte left us
	verb    byte
	sub     []byte
	agree   [256]bool // options we asked for and need not answer again
	refused bool      // the bridge does not do the com port option
	acked   [256]bool
	value   [256][]byte
	early   []byte // data that came during the negotiation
}

const (
	inData = iota
	inIAC
	inVerb
	inSub
	inSubIAC
)

const maxSub = 64 // bytes kept of one subnegotiation

// Read implements io.Reader.
func (t *telnet) Read(p []byte) (int, error) {
	if len(t.early) > 0 {
		n := copy(p, t.early)
		t.early = t.early[n:]
		return n, nil
	}
	n, err := t.conn.Read(p)
	return t.filter(p[:n]), err
}

// filter takes the protocol out of b in place and returns how many bytes of data are left.
func (t *telnet) filter(b []byte) int {
	n := 0
	for _, c := range b {
		if t.step(c) {
			b[n] = c
			n++
		}
	}
	return n
}

// step takes one byte and says whether it is data.
func (t *telnet) step(c byte) bool {
	switch t.state {
	case inData:
		if c != tIAC {
			return true
		}
		t.state = inIAC
	case inIAC:
		return t.command(c)
	case inVerb:
		t.state = inData
		t.option(t.verb, c)
	case inSub:
		if c == tIAC {
			t.state = inSubIAC
		} else if len(t.sub) < maxSub {
			t.sub = append(t.sub, c)
		}
	case inSubIAC:
		t.subIAC(c)
	}
	return false
}

func (t *telnet) command(c byte) bool {
	switch c {
	case tIAC: // a doubled 255 is data
		t.state = inData
		return true
	case tSB:
		t.state, t.sub = inSub, t.sub[:0]
	case tWILL, tWONT, tDO, tDONT:
		t.state, t.verb = inVerb, c
	default:
		t.state = inData
	}
	return false
}

func (t *telnet) subIAC(c byte) {
	switch c {
	case tIAC:
		if len(t.sub) < maxSub {
			t.sub = append(t.sub, c)
		}
		t.state = inSub
	default: // SE, or something that has no business here: the subnegotiation is over
		t.state = inData
		if len(t.sub) >= 2 && t.sub[0] == optComPort && t.sub[1] >= comAnswer {
			cmd := t.sub[1] - comAnswer
			t.acked[cmd] = true
			t.value[cmd] = append(t.value[cmd][:0], t.sub[2:]...)
		}
	}
}

// option answers an offer or a request once; what we do not know is declined.
func (t *telnet) option(verb, opt byte) {
	known := opt == optBinary || opt == optSGA || opt == optComPort
	switch verb {
	case tWONT, tDONT:
		if opt == optComPort {
			t.refused = true
		}
		return
	case tDO:
		t.answer(known, tWILL, tWONT, opt)
	case tWILL:
		t.answer(known && opt != optComPort || opt == optComPort, tDO, tDONT, opt)
	}
}

func (t *telnet) answer(yes bool, ok, no, opt byte) {
	yes = yes && (opt == optBinary || opt == optSGA || opt == optComPort)
	if yes && ok == tWILL && t.agree[opt] { // said already
		return
	}
	reply := no
	if yes {
		reply = ok
		if ok == tWILL {
			t.agree[opt] = true
		}
	}
	_ = t.send([]byte{tIAC, reply, opt})
}

func (t *telnet) send(b []byte) error {
	_ = t.conn.SetWriteDeadline(time.Now().Add(answerTimeout))
	_, err := t.conn.Write(b)
	return err
}

// comCommand is IAC SB COM-PORT-OPTION command value IAC SE, with 255 doubled in the value.
func comCommand(cmd byte, value ...byte) []byte {
	b := []byte{tIAC, tSB, optComPort, cmd}
	for _, v := range value {
		if b = append(b, v); v == tIAC {
			b = append(b, tIAC)
		}
	}
	return append(b, tIAC, tSE)
}

// negotiate asks for the option, sets rate and format, and checks the answers.
func (t *telnet) negotiate(m *serial.Mode) error {
	t.agree[optBinary], t.agree[optSGA], t.agree[optComPort] = true, true, true
	hello := []byte{tIAC, tWILL, optBinary, tIAC, tDO, optBinary, tIAC, tWILL, optSGA, tIAC, tDO, optSGA, tIAC, tWILL, optComPort}
	if err := t.send(hello); err != nil {
		return fmt.Errorf("starting the negotiation: %w", err)
	}
	baud := binary.BigEndian.AppendUint32(nil, uint32(m.BaudRate))
	steps := []struct {
		name  string
		cmd   byte
		value []byte
		must  bool
	}{
		{"rate", comBaud, baud, true},
		{"data bits", comSize, []byte{byte(m.DataBits)}, true},
		{"parity", comParity, []byte{byte(m.Parity) + 1}, true},
		{"stop bits", comStop, []byte{stopCode(m.StopBits)}, true},
		{"flow control", comControl, []byte{controlNoFlow}, false},
		{"DTR off", comControl, []byte{controlDTROff}, false},
		{"RTS off", comControl, []byte{controlRTSOff}, false},
	}
	for _, s := range steps {
		t.acked[s.cmd] = false
		if err := t.send(comCommand(s.cmd, s.value...)); err != nil {
			return fmt.Errorf("setting the %s: %w", s.name, err)
		}
		wait := answerTimeout
		if !s.must {
			wait = lineTimeout
		}
		err := t.await(s.cmd, wait)
		if !s.must && errors.Is(err, errNoAnswer) {
			continue // a device without such a line: some bridges say nothing then
		}
		if err != nil {
			return fmt.Errorf("setting the %s: %w", s.name, err)
		}
		if got := t.value[s.cmd]; s.must && string(got) != string(s.value) {
			return fmt.Errorf("setting the %s: the bridge answers % x instead of % x", s.name, got, s.value)
		}
	}
	return nil
}

// retune asks for another rate and format while data flows; the answers come among the data and are not
// waited for. A rate that the bridge refuses shows as no better than the one before.
func (t *telnet) retune(r rate) error {
	m, err := parseFormat(r.format)
	if err != nil {
		return err
	}
	b := comCommand(comBaud, binary.BigEndian.AppendUint32(nil, uint32(r.baud))...)
	b = append(b, comCommand(comSize, byte(m.DataBits))...)
	b = append(b, comCommand(comParity, byte(m.Parity)+1)...)
	if err := t.send(b); err != nil {
		return fmt.Errorf("asking the bridge for %d baud: %w", r.baud, err)
	}
	return nil
}

func stopCode(s serial.StopBits) byte {
	switch s {
	case serial.TwoStopBits:
		return 2
	case serial.OnePointFiveStopBits:
		return 3
	}
	return 1
}

// lineTimeout is how long to wait for the answer about a control line, which may not be there.
const lineTimeout = time.Second

var errNoAnswer = errors.New("no answer")

// maxEarly bounds the data kept that comes before the negotiation is over.
const maxEarly = 64 << 10

// await reads until the answer to cmd came; data on the way is kept.
func (t *telnet) await(cmd byte, wait time.Duration) error {
	defer func() { _ = t.conn.SetReadDeadline(time.Time{}) }()
	_ = t.conn.SetReadDeadline(time.Now().Add(wait))
	var buf [512]byte
	for !t.acked[cmd] {
		n, err := t.conn.Read(buf[:])
		n = t.filter(buf[:n])
		if len(t.early) < maxEarly {
			t.early = append(t.early, buf[:n]...)
		}
		if t.refused {
			return errors.New("the bridge refuses the com port option")
		}
		if errors.Is(err, os.ErrDeadlineExceeded) {
			return errNoAnswer
		}
		if err != nil {
			return err
		}
	}
	return nil
}
