package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os/exec"
	"runtime"
	"strconv"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"pluckweigh/audio"
	"pluckweigh/audio/mic"
	"pluckweigh/web"
	"pluckweigh/web/classbook"
)

// serving holds the flags of serve.
type serving struct {
	streams
	address  string
	open     bool
	recorder string
	verbose  bool
	file     stockFile
	class    string
	each     int
}

// usualAddress is always the same, so that links to the page last.
const usualAddress = "127.0.0.1:8636"

func newServe(s streams) *cobra.Command {
	v := &serving{streams: s}
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "Watch what is heard on a page in the browser",
		Long: `serve shows a page on this machine, in any browser: pitch and level as they come, how
hard the string pulls with its uncertainty, its partials against the law of a stiff
string. The sound comes from the browser's own microphone, for which no audio library is
needed, or from the machine's, as listen takes it. The page is part of the program and
loads nothing from elsewhere, and nothing leaves the machine.

What the string is, its speaking length and unit weight, is typed on the page, as
tension takes it, or taken from what is in stock. Lessons are done on it too. Every state
of the page is a link, and all it shows can be kept as CSV, JSON, SVG or PNG.

It is served to this machine alone, until Ctrl-C. Browsers give a microphone to pages of
the same machine only, so call it by the address that is printed. That has a key in it, so
that others who use the machine have nothing of the page: it is kept in page.key in the
user's data folder, and made anew where that is taken away.

With --class it is a class that is served: a teacher's screen, and seats that join by a
code and do a lesson, each by the microphone of its phone or by hand; their points gather
on the teacher's screen. With --address, as in --address 0.0.0.0:8636, the local network
can reach it, encrypted by a certificate that is made on this machine and kept: browsers
warn of it once, and show the fingerprint that is printed. The class is kept in the
user's data folder, and goes on where it was with the next serve --class; --class=NAME
keeps several apart. Only a class is served to others, and of the machine's microphone
and stock they have nothing.`,
		Example: `  pluckweigh serve
  pluckweigh serve --open
  pluckweigh serve --address 127.0.0.1:0
  pluckweigh serve --class --address 0.0.0.0:8636`,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, args []string) error { return v.run(cmd.Context()) },
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&v.address, "address", usualAddress, "`where` to serve: a loopback address, or of a class any of this machine's, and a\nport, 0 for any that is free")
	f.StringVar(&v.class, "class", "", "serve a class; a `name` keeps it apart from others")
	f.Lookup("class").NoOptDefVal = usualClass
	f.IntVar(&v.each, "seats-each", web.UsualSeatsEach, "`number` of seats that may be taken from one address; more where all phones have\none, as behind a router of their own")
	f.BoolVar(&v.open, "open", false, "open the page in the browser")
	f.StringVar(&v.recorder, "recorder", "", "`name` of the browser's microphone, whose clock was calibrated")
	v.file.addTo(f)
	f.BoolVar(&v.verbose, "verbose", false, "let through what the sound libraries say")
	return cmd
}

func (v *serving) run(ctx context.Context) error {
	if v.recorder != "" {
		e := &ears{recorder: v.recorder}
		if err := e.checkRecorder(); err != nil {
			return err
		}
		v.recorder = e.recorder
	}
	if v.each < 1 || v.each > classbook.MostSeats {
		return &callError{fmt.Sprintf("--seats-each: %d is not between 1 and %d", v.each, classbook.MostSeats), fmt.Sprintf("leave it out for %d", web.UsualSeatsEach)}
	}
	l, err := listenOn(ctx, v.address, v.class != "")
	if err != nil {
		return err
	}
	defer l.Close()
	all := newTurns(runtime.GOMAXPROCS(0))
	file := &v.file
	if v.class != "" {
		file = nil
	}
	o := web.Options{NewEars: func(to web.Teller) web.Ears { return newPageEars(to, v.recorder, all, file) }}
	if v.class != "" {
		o.SeatsEach = v.each
		return v.teach(ctx, l, o)
	}
	if o.Key, err = pageKey(); err != nil {
		fmt.Fprintf(v.err, "the key to the page is not kept, and will be another next time: %v\n", err)
	}
	at := "http://" + l.Addr().String() + "/?key=" + o.Key
	fmt.Fprintf(v.out, "the page is at %s\n", at)
	fmt.Fprintln(v.err, "Ctrl-C ends it. The address has a key in it: who else uses this machine has nothing of the page without")
	defer v.show(at)()
	o.OpenMic, o.Bench, o.Hosts = v.openMachine, v.bench, web.LocalHosts(l.Addr())
	return web.New(o).Serve(ctx, l)
}

// show opens an address in the browser, where that is wanted. What it returns is called
// when the serving ends.
func (v *serving) show(at string) (done func()) {
	if !v.open {
		return func() {}
	}
	done, err := browsePrivately(at)
	if err != nil {
		report(v.err, &callError{"the browser could not be opened: " + err.Error(), "open the address above in it"})
	}
	return done
}

// openMachine opens this machine's microphone for a page.
func (v *serving) openMachine(ctx context.Context, name string) (audio.Source, error) {
	return v.openMic(ctx, mic.Options{Device: name, Verbose: v.verbose})
}

// listenOn takes an address to serve on: a loopback address, or any of the machine's where
// others are meant to reach it.
func listenOn(ctx context.Context, address string, others bool) (net.Listener, error) {
	refuse := func(why, do string) (net.Listener, error) {
		return nil, &callError{fmt.Sprintf("--address %s: %s", address, why), do}
	}
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return refuse("is no address with a port", "write it like "+usualAddress)
	}
	if n, err := strconv.Atoi(port); err != nil || n < 0 || n > 65535 {
		return refuse("has no port from 0 to 65535", "write it like "+usualAddress)
	}
	if host == "localhost" {
		host = "127.0.0.1"
	}
	switch ip := net.ParseIP(host); {
	case ip == nil:
		return refuse("is no address of digits", "write it like "+usualAddress)
	case !ip.IsLoopback() && !others:
		return refuse("is not this machine alone", "write it like "+usualAddress+"; only a class is served to others: --class")
	}
	var c net.ListenConfig
	l, err := c.Listen(ctx, "tcp", net.JoinHostPort(host, port))
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return refuse("is taken, perhaps by another pluckweigh serve", "end that, or let any free port be taken: --address 127.0.0.1:0")
	case err != nil:
		return refuse(strings.TrimPrefix(err.Error(), "listen tcp "), "let any free port be taken: --address 127.0.0.1:0")
	}
	return l, nil
}

// browse opens a file in the user's browser.
func browse(at string) error {
	var c *exec.Cmd
	switch runtime.GOOS {
	case "darwin":
		c = exec.Command("open", at)
	case "windows":
		c = exec.Command("rundll32", "url.dll,FileProtocolHandler", at)
	default:
		c = exec.Command("xdg-open", at)
	}
	if err := c.Start(); err != nil {
		return err
	}
	go c.Wait()
	return nil
}
