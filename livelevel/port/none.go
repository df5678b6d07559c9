package port

import (
	"context"
	"io"
	"time"

	"example.org/tankhand/livelevel"
)

// None is no feed at all: it opens, and ends at once. A visit without a lead to the controller runs on it.
func None() Opener { return none{} }

type none struct{}

// Open implements Opener.
func (none) Open(context.Context) (Stream, error) { return none{}, nil }

// Info implements Opener.
func (none) Info() Info { return Info{Source: "no feed", Times: livelevel.NoTimes} }

// Next implements Stream.
func (none) Next() (Chunk, error) { return Chunk{At: time.Now()}, io.EOF }

// Close implements Stream.
func (none) Close() error { return nil }
