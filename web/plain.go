package web

import (
	"fmt"
	"net"
)

// Redirecting is a listener below one of TLS. Whoever calls it without encryption, as
// browsers do where an address was typed without https, is told where to go, and nothing
// else.
func Redirecting(l net.Listener) net.Listener { return redirecting{l} }

type redirecting struct{ net.Listener }

func (l redirecting) Accept() (net.Conn, error) {
	c, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	return &firstSeen{Conn: c}, nil
}

// firstSeen is a connection whose first byte says whether it is encrypted.
type firstSeen struct {
	net.Conn
	seen bool
}

const handshake = 22 // the first byte of a TLS connection: RFC 8446, 5.1

func (c *firstSeen) Read(p []byte) (int, error) {
	n, err := c.Conn.Read(p)
	if !c.seen && n > 0 {
		c.seen = true
		if p[0] != handshake {
			// The handshake fails then, which closes the connection.
			fmt.Fprintf(c.Conn, "HTTP/1.1 307 Temporary Redirect\r\nLocation: https://%s/\r\nContent-Length: 0\r\nConnection: close\r\n\r\n", c.LocalAddr())
		}
	}
	return n, err
}
