package dialect

import "bytes"

// cleaner takes off a line what is no text: escape sequences, NULs at the ends (a break on the line), and
// blanks at the end.
type cleaner struct{ buf []byte }

func (c *cleaner) clean(b []byte) []byte {
	if bytes.IndexByte(b, 0x1b) >= 0 {
		b = c.stripEscapes(b)
	}
	if n := len(b); n > 0 && b[0] > ' ' && b[0] < 0x80 && b[n-1] > ' ' {
		return b // nothing to take off, as nearly always
	}
	for len(b) > 0 && b[0] == 0 {
		b = b[1:]
	}
	for len(b) > 0 && (b[len(b)-1] == 0 || b[len(b)-1] == ' ' || b[len(b)-1] == '\t') {
		b = b[:len(b)-1]
	}
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\t') && !bytes.Contains(b, []byte{'\t'}) {
		b = b[1:]
	}
	return bytes.TrimPrefix(b, []byte("\xef\xbb\xbf"))
}

// stripEscapes leaves out ECMA-48 control sequences; a lone escape stays and will be refused.
func (c *cleaner) stripEscapes(b []byte) []byte {
	out := c.buf[:0]
	for i := 0; i < len(b); i++ {
		if b[i] != 0x1b || i+1 >= len(b) || b[i+1] != '[' {
			out = append(out, b[i])
			continue
		}
		j := i + 2
		for j < len(b) && b[j] >= 0x20 && b[j] < 0x40 {
			j++
		}
		if j < len(b) && b[j] >= 0x40 && b[j] < 0x7f {
			i = j
			continue
		}
		out = append(out, b[i])
	}
	c.buf = out
	return out
}

// toUTF8 writes ISO 8859-1 as UTF-8.
func toUTF8(dst, b []byte) []byte {
	for _, c := range b {
		if c < 0x80 {
			dst = append(dst, c)
		} else {
			dst = append(dst, 0xc0|c>>6, 0x80|c&0x3f)
		}
	}
	return dst
}

// isPlain tells whether a line holds no control character but tab and newline.
func isPlain(b []byte) bool {
	for _, c := range b {
		if c < 0x20 && c != '\t' && c != '\n' || c == 0x7f {
			return false
		}
	}
	return true
}
