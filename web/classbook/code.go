package classbook

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"strings"
	"unicode"
)

// Code is what seats join by.
func (c *Class) Code() string { return c.begun.Code }

// Teacher is the key to the teacher's page.
func (c *Class) Teacher() string { return c.begun.Teacher }

// Teaches tells whether a key is the teacher's, in the same time whatever it is.
func (c *Class) Teaches(key string) bool { return same(key, c.begun.Teacher) }

// Joins tells whether a code is the class's, however it was written.
func (c *Class) Joins(code string) bool {
	code = strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' {
			return -1
		}
		return unicode.ToUpper(r)
	}, code)
	return same(code, c.begun.Code)
}

// same compares two secrets in a time that says nothing of where they differ, nor of how
// long they are.
func same(a, b string) bool {
	x, y := sha256.Sum256([]byte(a)), sha256.Sum256([]byte(b))
	return subtle.ConstantTimeCompare(x[:], y[:]) == 1
}

// alphabet has no characters that are mistaken for each other. 31⁶ codes are 9e8.
const (
	alphabet   = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
	codeLength = 6
)

func newCode() string {
	var out []byte
	for b := make([]byte, 1); len(out) < codeLength; {
		rand.Read(b)
		if int(b[0]) < 256/len(alphabet)*len(alphabet) {
			out = append(out, alphabet[int(b[0])%len(alphabet)])
		}
	}
	return string(out)
}

func newKey() string {
	b := make([]byte, 18)
	rand.Read(b)
	return base64.RawURLEncoding.EncodeToString(b)
}

// hash is what is kept of a seat's token.
func hash(token string) []byte {
	h := sha256.Sum256([]byte(token))
	return h[:]
}
