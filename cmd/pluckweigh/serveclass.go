package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"regexp"
	"time"

	"pluckweigh/calib"
	"pluckweigh/web"
	"pluckweigh/web/classbook"
)

// usualClass is the name of the class where none is named.
const usualClass = "class"

var className = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_-]{0,39}$`)

// teach serves a class until ctx ends.
func (v *serving) teach(ctx context.Context, l net.Listener, o web.Options) (err error) {
	if !className.MatchString(v.class) {
		return &callError{fmt.Sprintf("--class=%s is no name for a class", v.class), "write it in letters and digits, like --class=8b"}
	}
	folder, err := classFolder()
	if err != nil {
		return err
	}
	if o.Class, err = classbook.Open(filepath.Join(folder, v.class+".class")); err != nil {
		return classError(err)
	}
	defer func() { err = errors.Join(err, o.Class.Close()) }()
	hosts := hostsOf(l.Addr())
	cert, fresh, err := web.Certificate(filepath.Join(folder, "certificate.pem"), hosts, time.Now())
	if err != nil {
		return classError(err)
	}
	_, port, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		return err
	}
	for _, h := range hosts {
		o.Hosts = append(o.Hosts, net.JoinHostPort(h, port))
	}
	o.Certificate = web.Fingerprint(cert)
	at := "https://" + o.Hosts[0] + "/"
	own := at + "#class?teacher=" + o.Class.Teacher()
	fmt.Fprintf(v.out, "the teacher's screen is at %s\n", own)
	fmt.Fprintf(v.out, "seats join at %s with the code %s\n", at, o.Class.Code())
	for _, h := range o.Hosts[1:] {
		fmt.Fprintf(v.out, "  or at https://%s/\n", h)
	}
	made := "is kept from before"
	if fresh {
		made = "was made now, and is kept"
	}
	fmt.Fprintf(v.out, "its certificate %s, SHA-256 %s\n", made, o.Certificate)
	fmt.Fprint(v.err, `Each browser warns once that nobody else vouches for the certificate: compare the
fingerprint that it shows with the one above, and let it go on. Seats whose browser does
not let them use the microphone type numbers by hand. Ctrl-C ends it, and nothing is lost.
The address of the teacher's screen is the key to it: show the code, not that.
`)
	if a, ok := l.Addr().(*net.TCPAddr); ok && a.IP.IsLoopback() {
		fmt.Fprintln(v.err, "As it is, this machine alone reaches the class: for the local network begin it with --address 0.0.0.0:8636")
	}
	defer v.show(own)()
	return web.New(o).Serve(ctx, tls.NewListener(web.Redirecting(l), &tls.Config{Certificates: []tls.Certificate{cert}, MinVersion: tls.VersionTLS12}))
}

// classFolder is where classes and the certificate are kept.
func classFolder() (string, error) {
	folder, err := calib.UserFile("classes")
	if err != nil {
		return "", &callError{"there is no folder to keep a class in: " + err.Error(), "set HOME, or name a folder with XDG_DATA_HOME"}
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", classError(err)
	}
	return folder, nil
}

// classError sorts an error of what is kept: a file that cannot be used is the user's to
// mend.
func classError(err error) error {
	var told *classbook.Error
	var cannot *os.PathError
	switch {
	case errors.As(err, &told):
		return &callError{told.Error(), told.Hint()}
	case errors.As(err, &cannot):
		return &callError{cannot.Error(), "check who may use the folder, or name another with XDG_DATA_HOME"}
	}
	return err
}

// hostsOf are the addresses by which browsers reach what listens, those that others can
// use first: of a listener on all addresses all of the machine's.
func hostsOf(a net.Addr) []string {
	host, _, err := net.SplitHostPort(a.String())
	ip := net.ParseIP(host)
	if err != nil || ip == nil {
		return nil
	}
	if !ip.IsUnspecified() {
		if ip.IsLoopback() {
			return []string{host, "localhost"}
		}
		return []string{host}
	}
	var out []string
	all, _ := net.InterfaceAddrs() // of which none need be there
	for _, x := range all {
		n, ok := x.(*net.IPNet)
		if ok && !n.IP.IsLoopback() && !n.IP.IsLinkLocalUnicast() {
			out = append(out, n.IP.String())
		}
	}
	return append(out, "127.0.0.1", "localhost")
}
