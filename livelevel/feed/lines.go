package feed

import "time"

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
	for _, c := range b {
		if c != '\n' && c != '\r' {
			s.afterCR = false
			if len(s.line) < maxLine {
				s.line = append(s.line, c)
			} else {
				s.long = true
			}
			continue
		}
		if c == '\n' && s.afterCR {
			s.afterCR = false
			continue
		}
		s.afterCR = c == '\r'
		line(s.line, at, s.long)
		s.line, s.long = s.line[:0], false
	}
}

// rest gives up what stands there without a line end.
func (s *splitter) rest() []byte {
	l := s.line
	s.line, s.long, s.afterCR = nil, false, false
	return l
}
