package port

import (
	"errors"
	"fmt"
)

// Pair does not exist on this system.
type Pair struct{ Dropped int64 }

var errNoTerminal = fmt.Errorf("opening a pseudo-terminal: %w: this system has none (use --listen and --net)", errors.ErrUnsupported)

// Terminal says that it cannot.
func Terminal() (*Pair, error) { return nil, errNoTerminal }

// Name is empty.
func (p *Pair) Name() string { return "" }

// Write says that it cannot.
func (p *Pair) Write([]byte) (int, error) { return 0, errNoTerminal }

// Close does nothing.
func (p *Pair) Close() error { return nil }
