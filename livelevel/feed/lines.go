package feed

import (
	"bytes"
	"time"
)

// maxLine bounds a line: no report is longer, and an endless line must not fill the memory.
const maxLine = 4096

// splitter cuts bytes into lines at LF, CR LF or CR, however the bytes are cut into chunks.
type splitter struct {
	line    []byte
	afterCR bool
	long    bool
}

// feed calls line for each line that ends in b; the slice is good during the call. A line over the
// bound comes once, cut, with long set.
func (s *splitter) feed(b []byte, at time.Time, line func(l []byte, at time.Time, long bool)) {
	for len(b) > 0 {
		i := lineEnd(b)
		if i != 0 {
			s.afterCR = false
		}
		if i < 0 {
			s.keep(b)
			return
		}
		end := b[i]
		switch {
		case end == '\n' && s.afterCR: // the second half of CR LF
		case len(s.line) == 0 && i <= maxLine: // the line lies whole in this chunk
			line(b[:i], at, false)
		default:
			s.keep(b[:i])
			line(s.line, at, s.long)
			s.line, s.long = s.line[:0], false
		}
		s.afterCR = end == '\r'
		b = b[i+1:]
	}
}

// lineEnd finds the first CR or LF; -1 without one.
func lineEnd(b []byte) int {
	i := bytes.IndexByte(b, '\n')
	if i < 0 {
		return bytes.IndexByte(b, '\r')
	}
	if j := bytes.IndexByte(b[:i], '\r'); j >= 0 {
		return j
	}
	return i
}

// keep adds to the line under way, up to the bound.
func (s *splitter) keep(b []byte) {
	if room := maxLine - len(s.line); len(b) > room {
		b, s.long = b[:room], true
	}
	s.line = append(s.line, b...)
}

// rest gives up what stands there without a line end.
func (s *splitter) rest() []byte {
	l := s.line
	s.line, s.long, s.afterCR = nil, false, false
	return l
}
