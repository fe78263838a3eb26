package main

import (
	"bufio"
	"context"
	"encoding/binary"
	"encoding/json"
	"io"
	"math"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"

	"pluckweigh/audio"
	"pluckweigh/audio/mic"
	"pluckweigh/physics"
	"pluckweigh/web"
)

// serve runs the command until the test ends, and returns where the page is.
func serve(t *testing.T, openMic func(context.Context, mic.Options) (audio.Source, error), args ...string) (address string) {
	t.Helper()
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	ctx, cancel := context.WithCancel(t.Context())
	out, told := io.Pipe()
	done := make(chan error, 1)
	go func() {
		root := newRoot(streams{nil, told, io.Discard, openMic})
		root.SetArgs(append([]string{"serve", "--address", "127.0.0.1:0"}, args...))
		done <- root.ExecuteContext(ctx)
		told.Close()
	}()
	line, err := bufio.NewReader(out).ReadString('\n')
	go io.Copy(io.Discard, out)
	t.Cleanup(func() {
		cancel()
		if err := <-done; err != nil {
			t.Error(err)
		}
	})
	if err != nil {
		t.Fatal(err, <-done)
	}
	return strings.TrimSpace(strings.TrimPrefix(line, "the page is at "))
}

// A onPage is a page's end of the socket.
type onPage struct {
	t *testing.T
	c *websocket.Conn
}

func connect(t *testing.T, address string) onPage {
	t.Helper()
	origin, key, _ := strings.Cut(address, "/?key=")
	c, _, err := websocket.Dial(t.Context(), strings.Replace(origin, "http", "ws", 1)+"/ear", &websocket.DialOptions{
		HTTPHeader: http.Header{"Origin": {origin}}, Subprotocols: []string{"pluckweigh", "key." + key}})
	if err != nil {
		t.Fatal(err)
	}
	c.SetReadLimit(1 << 20)
	t.Cleanup(func() { c.CloseNow() })
	return onPage{t, c}
}

func (p onPage) say(text string) {
	p.t.Helper()
	if err := p.c.Write(context.Background(), websocket.MessageText, []byte(text)); err != nil {
		p.t.Fatal(err)
	}
}

// play sends samples in order, as a browser would, and then that it is over.
func (p onPage) play(x []float64) {
	p.send(0, x)
	p.say(`{"stop":{}}`)
}

// send sends samples of which so many went before.
func (p onPage) send(sent int, x []float64) {
	for at := 0; at < len(x); at += 2048 {
		b := binary.BigEndian.AppendUint64(nil, uint64(sent+at))
		for _, v := range x[at:min(at+2048, len(x))] {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(v)))
		}
		if err := p.c.Write(context.Background(), websocket.MessageBinary, b); err != nil {
			p.t.Error(err)
		}
	}
}

// told is what a page was told of plucks and the rest until it is told that the
// listening is over.
type told struct {
	plucks   []pagePluckJSON
	signs    []liveJSON
	asked    []askedJSON
	pulls    []pagePullJSON
	troubles []string
}

func (p onPage) listen() (all told) {
	p.t.Helper()
	for p.take(p.next(), &all) {
	}
	return all
}

// next is the next message.
func (p onPage) next() []byte {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	_, b, err := p.c.Read(ctx)
	if err != nil {
		p.t.Fatal(err)
	}
	return b
}

// take takes in one message, and tells whether the listening goes on.
func (p onPage) take(b []byte, all *told) bool {
	p.t.Helper()
	var m struct {
		Live      json.RawMessage
		Asked     *askedJSON
		Pull      *pagePullJSON
		Trouble   *struct{ Say, Hint string }
		Listening *bool
	}
	if err := json.Unmarshal(b, &m); err != nil {
		p.t.Fatalf("%v in %s", err, b)
	}
	switch {
	case m.Listening != nil:
		return *m.Listening
	case m.Asked != nil:
		all.asked = append(all.asked, *m.Asked)
	case m.Pull != nil:
		all.pulls = append(all.pulls, *m.Pull)
	case m.Trouble != nil:
		all.troubles = append(all.troubles, m.Trouble.Say+"|"+m.Trouble.Hint)
	case strings.Contains(string(m.Live), `"pluck":`):
		var q pagePluckJSON
		if err := json.Unmarshal(m.Live, &q); err != nil {
			p.t.Fatalf("%v in %s", err, b)
		}
		if i := slices.IndexFunc(all.plucks, func(o pagePluckJSON) bool { return o.Number == q.Number }); i >= 0 {
			if !all.plucks[i].Ringing {
				p.t.Errorf("pluck %d is told again", q.Number)
			}
			all.plucks[i] = q
		} else {
			all.plucks = append(all.plucks, q)
		}
	case m.Live != nil:
		var s liveJSON
		if err := json.Unmarshal(m.Live, &s); err != nil {
			p.t.Fatalf("%v in %s", err, b)
		}
		all.signs = append(all.signs, s)
	}
	return true
}

// off is by how many cents of pitch a tension is off, which goes with its square.
func off(newton, truth float64) float64 { return 600 * math.Abs(math.Log2(newton/truth)) }

// A page hears through its socket what the string pulls, and is told again when what is
// known of it is typed anew.
func TestServeHearsTheBrowser(t *testing.T) {
	x, _, err := demoTake.Render()
	if err != nil {
		t.Fatal(err)
	}
	p := connect(t, serve(t, nil))
	p.say(`{"ask":{"length":"863.6mm","unit_weight":"18.34g/m","ends":"pinned"}}`)
	p.say(`{"start":{"from":"browser","rate_hz":48000}}`)
	go p.play(x)
	all := p.listen()
	if len(all.troubles) > 0 || len(all.asked) != 1 || len(all.asked[0].Troubles) > 0 || len(all.plucks) != 2 {
		t.Fatalf("%v, %+v, %d plucks", all.troubles, all.asked, len(all.plucks))
	}
	if all.asked[0].Length != "863.60 ± 0.50 mm, the tolerance is assumed" {
		t.Errorf("length %q", all.asked[0].Length)
	}
	for i, q := range all.plucks {
		if !q.Trusted || q.Ringing || q.Number != i+1 || q.Pull == nil || q.Pull.Number != i+1 {
			t.Fatalf("pluck %d of %d: trusted %v, ringing %v, pull %+v", q.Number, i+1, q.Trusted, q.Ringing, q.Pull)
		}
		if o := off(*q.Pull.Tension.Newton, demoString.Tension); o > 1 {
			t.Errorf("pluck %d pulls %v N, off by %.2f cents", i+1, *q.Pull.Tension.Newton, o)
		}
		if *q.Note != "A1" || !strings.HasSuffix(q.Pull.Say, " N  (k = 2)") {
			t.Errorf("pluck %d: %s pulls %s", i+1, *q.Note, q.Pull.Say)
		}
		for _, r := range q.Ladder {
			law := physics.CentsBetween(physics.Frequency(float64(r.N)*demoString.F0()), physics.Frequency(demoString.Partial(r.N)))
			if math.Abs(*r.Law-law) > 0.05+0.01*law || math.Abs(*r.Above-*r.Law-*r.Off) > 1e-9 {
				t.Errorf("pluck %d, partial %d: law %v cents, want %.3f", i+1, r.N, *r.Law, law)
			}
			if want := demoString.Decay.Rate(*r.Hz); r.N < 6 && math.Abs(*r.Decay-want) > 0.2*want {
				t.Errorf("pluck %d, partial %d dies by %v, want %.3f", i+1, r.N, *r.Decay, want)
			}
		}
	}
	pitched := 0
	for _, s := range all.signs {
		if s.Note != nil && *s.Note == "A1" {
			pitched++
		}
	}
	if pitched == 0 {
		t.Errorf("of %d signs of life none has the note", len(all.signs))
	}

	p.say(`{"ask":{"length":"34in","unit_weight":"0.001027lb/in±0.2%","ends":"pinned","reference":"442Hz"}}`)
	p.say(`{"start":{"from":"browser","rate_hz":48000}}`)
	p.say(`{"stop":{}}`)
	all = p.listen()
	if len(all.pulls) != 1 || all.pulls[0].Number != 2 || !strings.Contains(all.pulls[0].Say, "lbf") {
		t.Fatalf("%+v", all)
	}
	if o := off(*all.pulls[0].Tension.Newton, demoString.Tension); o > 2 {
		t.Errorf("typed anew %s, off by %.2f cents", all.pulls[0].Say, o)
	}
}

// What is typed wrong is told with what to type instead, and gives no number.
func TestServeRefusesWhatIsTypedWrong(t *testing.T) {
	p := connect(t, serve(t, nil))
	for _, c := range []struct{ ask, place, hint string }{
		{`"length":"34"`, "length", "write 34in"},
		{`"length":"34kg"`, "length", ""},
		{`"length":"<script>alert(1)</script>"`, "length", ""},
		{`"unit_weight":"18.4"`, "unit_weight", ""},
		{`"unit_weight":"18.4kg/m"`, "unit_weight", "expected"},
		{`"ends":"glued"`, "ends", ""},
		{`"near":"a1"`, "near", "write A1"},
		{`"near":"C-1"`, "near", "expected"},
		{`"reference":"440"`, "reference", ""},
		{`"reference":"44Hz"`, "reference", "expected"},
	} {
		p.say(`{"ask":{` + c.ask + `}}`)
		p.say(`{"start":{"from":"browser","rate_hz":48000}}`)
		p.say(`{"stop":{}}`)
		all := p.listen()
		if len(all.asked) != 1 || len(all.pulls) > 0 {
			t.Fatalf("%s: %+v", c.ask, all)
		}
		tr, ok := all.asked[0].Troubles[c.place]
		if !ok || len(all.asked[0].Troubles) != 1 || tr.Say == "" || !strings.Contains(tr.Hint, c.hint) {
			t.Errorf("%s: %+v", c.ask, all.asked[0].Troubles)
		}
	}
}

// The machine's microphone is heard for a page too, and what is wrong with it is told.
func TestServeHearsTheMachine(t *testing.T) {
	m := &fakeMic{samples: twoPlucks(t), err: io.EOF}
	named := ""
	p := connect(t, serve(t, func(_ context.Context, o mic.Options) (audio.Source, error) {
		if named = o.Device; named == "none" {
			return nil, mic.ErrNoMatch
		}
		return m, nil
	}))
	p.say(`{"start":{"from":"machine","name":"none"}}`)
	if all := p.listen(); len(all.troubles) != 1 {
		t.Errorf("no such microphone: %+v", all)
	}
	p.say(`{"start":{"from":"machine","name":"usb"}}`)
	all := p.listen()
	if len(all.troubles) > 0 || len(all.plucks) != 2 || !all.plucks[0].Trusted || all.plucks[0].Pull != nil || named != "usb" {
		t.Errorf("%q, %+v", named, all)
	}
}

func TestServeRefusesAddresses(t *testing.T) {
	taken, _, _ := strings.Cut(strings.TrimPrefix(serve(t, nil), "http://"), "/")
	for _, a := range []string{"0.0.0.0:0", ":0", "192.0.2.1:80", "example.com:80", "127.0.0.1", "127.0.0.1:x", "127.0.0.1:70000", "", taken} {
		_, stderr, code := runMic(t.Context(), nil, "serve", "--address", a)
		if code != codeCall || !strings.Contains(stderr, "hint: ") {
			t.Errorf("%q: code %d, %s", a, code, stderr)
		}
	}
}

// The bench has what stock list has, and what it offers to be typed is understood.
func TestServeBench(t *testing.T) {
	file := t.TempDir() + "/stock.db"
	for _, args := range [][]string{
		{"add", "E 46", "--wound", "--unit-weight", "18.4g/m±1%"}, {"add", "plain", "--plain", "--gauge", "0.3mm", "--material", "steel"},
		{"add", "tenor", "--position", "34in:A1:2mm", "--position", "863.6mm:E1"}, {"string", "tenor", "E 46", "-"},
	} {
		if _, stderr, code := runMic(t.Context(), nil, append(append([]string{"stock"}, args...), "--stock", file)...); code != codeDone {
			t.Fatal(stderr)
		}
	}
	at, key, _ := strings.Cut(serve(t, nil, "--stock", file), "?key=")
	ask, err := http.NewRequest(http.MethodGet, at+"bench.json", nil)
	if err != nil {
		t.Fatal(err)
	}
	ask.Header.Set("X-Pluckweigh-Key", key)
	res, err := http.DefaultClient.Do(ask)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	var b pageBench
	if err := json.NewDecoder(res.Body).Decode(&b); err != nil {
		t.Fatal(err)
	}
	if len(b.Strings) != 2 || len(b.Instruments) != 1 || len(b.Instruments[0].Positions) != 2 {
		t.Fatalf("%+v", b)
	}
	for _, s := range b.Strings {
		if k, told := understand(web.Ask{Weight: s.Typed}); !k.weight.given || len(told.Troubles) > 0 {
			t.Errorf("%+v: %+v", s, told)
		}
	}
	p := b.Instruments[0].Positions[0]
	if k, told := understand(web.Ask{Length: p.Typed, Weight: p.Weight, Near: p.Near}); !k.length.given || !k.weight.given || math.Abs(float64(k.near)-55) > 1e-9 {
		t.Errorf("%+v: %+v", p, told)
	}
}
