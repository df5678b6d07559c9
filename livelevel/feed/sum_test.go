package feed_test

import (
	"crypto/sha256"
	"encoding/hex"
)

func sum(b []byte) string {
	h := sha256.Sum256(b)
	return hex.EncodeToString(h[:])
}
