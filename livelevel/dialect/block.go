package dialect

import (
	"bytes"
	"time"

	"example.org/tankhand/livelevel"
)

// blockState gathers the lines of a report that has several.
type blockState struct {
	text  []byte
	lines int
	begun bool // the start of the block was seen
}

const maxBlock = 8192

// blockLine adds a line to the block and decodes it when it is whole.
func (dec *Decoder) blockLine(dst []livelevel.Reading, line []byte, at time.Time) []livelevel.Reading {
	b, s := dec.d.Block, &dec.block
	switch {
	case dec.isRestart(line):
		s.drop()
		return dec.booted(dst, line, at)
	case b.EndsWith == "blank" && len(line) == 0, b.EndsWith != "" && b.EndsWith != "blank" && starts(line, b.EndsWith):
		return dec.blockEnd(dst, at)
	case len(line) == 0:
		return dst
	case b.BeginsWith != "" && starts(line, b.BeginsWith):
		dst = dec.blockEnd(dst, at)
		s.begun = true
	}
	if len(s.text)+len(line) > maxBlock {
		s.drop()
		return dec.reject(dst, at, "the block has no end")
	}
	if s.lines > 0 {
		s.text = append(s.text, '\n')
	}
	s.text = append(s.text, line...)
	if s.lines++; b.Lines > 1 && s.lines >= b.Lines {
		return dec.blockEnd(dst, at)
	}
	return dst
}

func (s *blockState) drop() { s.text, s.lines = s.text[:0], 0 }

func starts(line []byte, with string) bool {
	return bytes.HasPrefix(line, []byte(with)) || len(line) >= len(with) && foldEqual(string(line[:len(with)]), fold(with))
}

// blockEnd decodes what was gathered.
func (dec *Decoder) blockEnd(dst []livelevel.Reading, at time.Time) []livelevel.Reading {
	s := &dec.block
	if s.lines == 0 {
		return dst
	}
	dst = dec.whole(dst, s.text, at)
	s.drop()
	return dst
}
