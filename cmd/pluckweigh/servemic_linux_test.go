//go:build cgo && !nomic

package main

import (
	"errors"
	"math"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pluckweigh/audio/mic/soundrig"
	"pluckweigh/physics"
	"pluckweigh/web"
)

// The machine's microphone, through a sound server and PortAudio, is heard for a page until
// it says stop, and once more after that.
func TestMicrophoneServed(t *testing.T) {
	t.Parallel()
	rig := soundrig.Start(t, soundrig.Options{Play: float32s(twoPlucks(t))})
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	at := l.Addr().String()
	l.Close()
	ready := make(chan struct{})
	data, key := t.TempDir(), web.NewKey()
	if err := errors.Join(os.Mkdir(filepath.Join(data, "pluckweigh"), 0o700), os.WriteFile(filepath.Join(data, "pluckweigh", "page.key"), []byte(key), 0o600)); err != nil {
		t.Fatal(err)
	}
	startIn(t, append(rig.Env(), "XDG_DATA_HOME="+data), func(line string) {
		if strings.HasPrefix(line, "Ctrl-C") {
			close(ready)
		}
	}, "serve", "--address", at)
	<-ready
	p := connect(t, "http://"+at+"/?key="+key)
	for range 2 {
		p.say(`{"start":{"from":"machine","name":"` + soundrig.Default + `"}}`)
		var all told
		for n := 0; n < 2 || all.plucks[1].Ringing; n = len(all.plucks) {
			if !p.take(p.next(), &all) && len(all.troubles) > 0 {
				t.Fatalf("%v", all.troubles)
			}
		}
		p.say(`{"stop":{}}`)
		for p.take(p.next(), &all) {
		}
		for i, q := range all.plucks[:2] {
			if cents := physics.CentsBetween(55, physics.Frequency(*q.Pluck.F0)); !q.Trusted || math.Abs(cents) > 1 {
				t.Errorf("pluck %d: %v Hz, off by %.3f cents", i+1, *q.Pluck.F0, cents)
			}
		}
	}
}
