package command

import (
	"net"
	"sync"
	"time"
)

// callers writes to everybody who is connected; one who does not read is hung up on, so that nobody
// holds up the installation.
type callers struct {
	mu   sync.Mutex
	all  []net.Conn
	over bool
}

func (c *callers) accept(l net.Listener) {
	for {
		conn, err := l.Accept()
		if err != nil {
			return
		}
		c.mu.Lock()
		if c.over {
			conn.Close()
		} else {
			c.all = append(c.all, conn)
		}
		c.mu.Unlock()
	}
}

// Write sends to all callers; it never fails, as callers come and go.
func (c *callers) Write(b []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	kept := c.all[:0]
	for _, conn := range c.all {
		_ = conn.SetWriteDeadline(time.Now().Add(200 * time.Millisecond))
		if _, err := conn.Write(b); err != nil {
			conn.Close()
			continue
		}
		kept = append(kept, conn)
	}
	c.all = kept
	return len(b), nil
}

func (c *callers) hangUp() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.over = true
	for _, conn := range c.all {
		conn.Close()
	}
	c.all = nil
}
