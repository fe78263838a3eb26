package classbook

import (
	"crypto/rand"
	"crypto/sha256"
	"strings"
	"unicode"

	"pluckweigh/web/internal/secret"
)

// Code is what seats join by.
func (c *Class) Code() string { return c.begun.Code }

// Teacher is the key to the teacher's page.
func (c *Class) Teacher() string { return c.begun.Teacher }

// Teaches tells whether a key is the teacher's, in the same time whatever it is.
func (c *Class) Teaches(key string) bool { return secret.Same(key, c.begun.Teacher) }

// Joins tells whether a code is the class's, however it was written.
func (c *Class) Joins(code string) bool {
	code = strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' {
			return -1
		}
		return unicode.ToUpper(r)
	}, code)
	return secret.Same(code, c.begun.Code)
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

// hash is what is kept of a seat's token.
func hash(token string) []byte {
	h := sha256.Sum256([]byte(token))
	return h[:]
}
