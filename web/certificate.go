package web

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"slices"
	"strings"
	"time"
)

// A certificate lasts for less than what browsers bear, and is made anew some time before
// its end.
const (
	certificateLasts = 390 * 24 * time.Hour
	certificateSpare = 14 * 24 * time.Hour
)

// Certificate is a self-made certificate for the hosts, names or addresses without their
// port. It is kept in a file and used again while it has all of them and lasts, so that a
// browser that was told to trust it need not be told again; fresh tells that it was made
// now.
func Certificate(path string, hosts []string, now time.Time) (c tls.Certificate, fresh bool, err error) {
	text, err := os.ReadFile(path)
	if err == nil {
		if c, err := tls.X509KeyPair(text, text); err == nil && good(c.Leaf, hosts, now) {
			return c, false, nil
		}
	} else if !errors.Is(err, fs.ErrNotExist) {
		return c, false, err
	}
	if text, err = makeCertificate(hosts, now); err != nil {
		return c, false, err
	}
	// A file of its own first: one that is half written would be no certificate.
	if err := os.WriteFile(path+".new", text, 0o600); err != nil {
		return c, false, err
	}
	if err := os.Rename(path+".new", path); err != nil {
		return c, false, err
	}
	c, err = tls.X509KeyPair(text, text)
	return c, true, err
}

// good tells whether a certificate has all the hosts and lasts.
func good(c *x509.Certificate, hosts []string, now time.Time) bool {
	return c != nil && now.After(c.NotBefore) && now.Add(certificateSpare).Before(c.NotAfter) &&
		!slices.ContainsFunc(hosts, func(h string) bool { return c.VerifyHostname(h) != nil })
}

func makeCertificate(hosts []string, now time.Time) ([]byte, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 127))
	if err != nil {
		return nil, err
	}
	t := &x509.Certificate{
		SerialNumber: serial,
		Subject:      pkix.Name{CommonName: "pluckweigh, made on this machine"},
		NotBefore:    now.Add(-time.Hour), NotAfter: now.Add(certificateLasts),
		KeyUsage:    x509.KeyUsageDigitalSignature,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, BasicConstraintsValid: true,
	}
	for _, h := range hosts {
		if ip := net.ParseIP(h); ip != nil {
			t.IPAddresses = append(t.IPAddresses, ip)
		} else {
			t.DNSNames = append(t.DNSNames, h)
		}
	}
	der, err := x509.CreateCertificate(rand.Reader, t, t, key.Public(), key)
	if err != nil {
		return nil, err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, err
	}
	return append(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}),
		pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret})...), nil
}

// Fingerprint is the SHA-256 of a certificate, as browsers show it.
func Fingerprint(c tls.Certificate) string {
	sum := sha256.Sum256(c.Certificate[0])
	var pairs []string
	for _, b := range sum {
		pairs = append(pairs, fmt.Sprintf("%02X", b))
	}
	return strings.Join(pairs, ":")
}
