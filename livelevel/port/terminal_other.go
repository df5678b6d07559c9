//go:build unix && !linux

package port

// Where the count of unread bytes cannot be had, the write deadline alone keeps the writer from waiting.
func (p *Pair) unread() bool { return false }

func (p *Pair) flush() {}

// Heard tells whether a reader has taken all that was written; here that is not known.
func (p *Pair) Heard() bool { return true }
