// Package secret makes keys that nobody guesses, and compares them.
package secret

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
)

// keyBytes are of a key: 144 bits.
const keyBytes = 18

// New is a new key, of characters that an address may have.
func New() string {
	b := make([]byte, keyBytes)
	rand.Read(b)
	return base64.RawURLEncoding.EncodeToString(b)
}

// Same compares two secrets in a time that says nothing of where they differ, nor of how
// long they are.
func Same(a, b string) bool {
	x, y := sha256.Sum256([]byte(a)), sha256.Sum256([]byte(b))
	return subtle.ConstantTimeCompare(x[:], y[:]) == 1
}
