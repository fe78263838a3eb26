package web

import (
	"bufio"
	"crypto/tls"
	"crypto/x509"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A certificate is kept while it is good, and a client that trusts it alone gets through.
func TestCertificate(t *testing.T) {
	path := filepath.Join(t.TempDir(), "certificate.pem")
	now := time.Now()
	hosts := []string{"127.0.0.1", "localhost"}
	c, fresh, err := Certificate(path, hosts, now)
	if err != nil || !fresh {
		t.Fatal(fresh, err)
	}
	print := Fingerprint(c)
	if len(print) != 95 || strings.Count(print, ":") != 31 {
		t.Errorf("fingerprint %s", print)
	}
	for name, again := range map[string]struct {
		hosts []string
		at    time.Time
		fresh bool
	}{
		"again":        {hosts, now.Add(time.Hour), false},
		"fewer hosts":  {hosts[:1], now, false},
		"another host": {[]string{"192.0.2.1"}, now, true},
	} {
		from, _ := os.ReadFile(path)
		d, fresh, err := Certificate(path, again.hosts, again.at)
		if err != nil || fresh != again.fresh || (Fingerprint(d) == print) == again.fresh {
			t.Errorf("%s: %v, %v", name, fresh, err)
		}
		os.WriteFile(path, from, 0o600)
	}
	if _, fresh, _ := Certificate(path, hosts, now.Add(certificateLasts-time.Hour)); !fresh {
		t.Error("one that is about to end is kept")
	}
	os.WriteFile(path, []byte("damaged"), 0o600)
	if c, fresh, err = Certificate(path, hosts, now); err != nil || !fresh {
		t.Errorf("damaged: %v, %v", fresh, err)
	}
	if info, _ := os.Stat(path); info.Mode().Perm() != 0o600 {
		t.Errorf("others may read it: %v", info.Mode())
	}

	trusted := x509.NewCertPool()
	trusted.AddCert(c.Leaf)
	plain, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer plain.Close()
	l := tls.NewListener(Redirecting(plain), &tls.Config{Certificates: []tls.Certificate{c}})
	go func() {
		for {
			s, err := l.Accept()
			if err != nil {
				return
			}
			go func(s net.Conn) { s.(*tls.Conn).Handshake() }(s)
		}
	}()
	_, port, _ := net.SplitHostPort(l.Addr().String())
	for name, ok := range map[string]bool{"127.0.0.1": true, "localhost": true, "other.example": false} {
		s, err := tls.Dial("tcp", "127.0.0.1:"+port, &tls.Config{RootCAs: trusted, ServerName: name})
		if (err == nil) != ok {
			t.Errorf("%s: %v", name, err)
		}
		if err == nil {
			s.Close()
		}
	}

	// Who calls without encryption is told where to go, wherever that was to be.
	s, err := net.Dial("tcp", plain.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	io.WriteString(s, "GET /x HTTP/1.1\r\nHost: evil.example\r\n\r\n")
	res, err := http.ReadResponse(bufio.NewReader(s), nil)
	if err != nil || res.StatusCode != http.StatusTemporaryRedirect || res.Header.Get("Location") != "https://"+plain.Addr().String()+"/" {
		t.Errorf("%+v, %v", res, err)
	}
}
