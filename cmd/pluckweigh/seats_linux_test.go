package main

import (
	"bufio"
	"bytes"
	"context"
	"crypto/tls"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/coder/websocket"

	"pluckweigh/audio/synth"
)

// fromEnv is a number from the environment.
func fromEnv(name string, usual int) int {
	if n, err := strconv.Atoi(os.Getenv(name)); err == nil && n > 0 {
		return n
	}
	return usual
}

// A seatHeard is what came of one seat's plucks.
type seatHeard struct {
	waited []float64 // s, from a pluck to the first reading that is told
	sent   int
	over   int           // told when they were over, and trusted
	lost   int           // said to have lost samples
	once   int           // measured while they rang alone, as many plucked at once
	behind time.Duration // that the sound was sent later than it was recorded, at most
}

// rate is at which seats record, Hz.
const rate = 48000

// Seats stream their microphones at once to a program of its own, each plucks now and
// then, at moments of its own, and is told soon. PLUCKWEIGH_SEATS=100
// PLUCKWEIGH_SECONDS=600 for the long run (with -timeout 20m); before many seats one is
// heard alone, to compare with. PLUCKWEIGH_EVERY=20 has each seat pluck three times a
// minute, which is more than whoever moves a fret and types a number does; twice a minute
// is usual.
func TestSeatsStream(t *testing.T) {
	onceOnly(t)
	seats, secs := fromEnv("PLUCKWEIGH_SEATS", 3), fromEnv("PLUCKWEIGH_SECONDS", 12)
	x := seatSound(t)
	var alone seatLoad
	if seats > 10 {
		alone, _ = stream(t, 1, 60, x)
	}
	all, heard := stream(t, seats, secs, x)
	if seats > 10 {
		t.Logf("as to one seat: %.2f of the time until it is told (99 %%), %.2f of the processor time for each seat and second, %.2f of the memory",
			all.late/alone.late, all.processor/alone.processor, all.memory/alone.memory)
	}
	for _, h := range heard {
		if h.lost > 0 || h.over < h.sent {
			t.Errorf("of %d plucks %d were told and trusted, %d lost samples", h.sent, h.over, h.lost)
		}
	}
}

// seatEvery is the time from one pluck of a seat to its next, s.
var seatEvery = fromEnv("PLUCKWEIGH_EVERY", 30)

// seatSound is what comes in it.
func seatSound(t *testing.T) []float32 {
	t.Helper()
	take := demoTake
	take.Plucks = []synth.Pluck{{At: 0.5, Height: 0.0015, Point: 0.17, Width: 0.012}}
	take.Seconds = float64(seatEvery)
	all, _, err := take.Render()
	if err != nil {
		t.Fatal(err)
	}
	x := make([]float32, len(all))
	for i, v := range all {
		x[i] = float32(v)
	}
	return x
}

// A seatLoad is what seats take of the machine.
type seatLoad struct {
	late      float64 // s, from a pluck to what is told of it, 99 % of them
	processor float64 // s for each seat and second
	memory    float64 // MB, at the end
}

func stream(t *testing.T, seats, secs int, x []float32) (seatLoad, []seatHeard) {
	t.Helper()
	cmd := exec.Command("pluckweigh", "serve", "--class", "--address", "127.0.0.1:0", "--seats-each", strconv.Itoa(seats))
	cmd.Env = append(os.Environ(), "XDG_DATA_HOME="+t.TempDir())
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() {
		cmd.Process.Signal(os.Interrupt)
		if err := cmd.Wait(); err != nil {
			t.Error(err)
		}
	}()
	lines := bufio.NewScanner(out)
	var at, code string
	for code == "" && lines.Scan() {
		if m := regexp.MustCompile(`join at (\S+) with the code (\S+)$`).FindStringSubmatch(lines.Text()); m != nil {
			at, code = m[1], m[2]
		}
	}
	heard := make([]seatHeard, seats)
	random := rand.New(rand.NewPCG(1, uint64(seats)))
	var all sync.WaitGroup
	begun, early := time.Now(), memory(t, cmd.Process.Pid)
	for i := range seats {
		late := time.Duration(random.Float64() * math.Min(float64(seatEvery), float64(secs)/3) * float64(time.Second))
		all.Go(func() {
			time.Sleep(late)
			if err := heard[i].run(at, code, x, time.Duration(secs)*time.Second); err != nil {
				t.Errorf("seat %d: %v", i+1, err)
			}
		})
	}
	ended := make(chan struct{})
	go func() { all.Wait(); close(ended) }()
	var took []string // MB of memory, ten times
	for tick := time.NewTicker(time.Duration(secs) * time.Second / 10); ; {
		select {
		case <-tick.C:
			took = append(took, fmt.Sprintf("%.0f", memory(t, cmd.Process.Pid)))
			continue
		case <-ended:
		}
		tick.Stop()
		break
	}
	var waited []float64
	plucks := 0
	for _, h := range heard {
		waited = append(waited, h.waited...)
		plucks += h.sent
	}
	slices.Sort(waited)
	late := func(p float64) float64 {
		if len(waited) == 0 {
			return math.NaN()
		}
		return waited[min(len(waited)-1, int(p*float64(len(waited))))]
	}
	lasted := time.Since(begun).Seconds()
	l := seatLoad{late(0.99), processor(t, cmd.Process.Pid) / lasted / float64(seats), memory(t, cmd.Process.Pid)}
	once, behind := 0, time.Duration(0)
	for _, h := range heard {
		once, behind = once+h.once, max(behind, h.behind)
	}
	t.Logf("%d seats for %.0f s: %d plucks, %.1f a second, told after %.2f s in the median, %.2f s at 99 %%, %.2f s at most; %d of them by their first second alone; "+
		"memory %.0f MB, at first %.0f, in between %s; %.1f s of processor time; sound sent up to %.2f s late",
		seats, lasted, plucks, float64(plucks)/lasted, late(0.5), l.late, late(1), once, l.memory, early, strings.Join(took, " "), processor(t, cmd.Process.Pid), behind.Seconds())
	return l, heard
}

// run is one seat.
func (h *seatHeard) run(at, code string, x []float32, long time.Duration) error {
	ctx, cancel := context.WithTimeout(context.Background(), long+time.Minute)
	defer cancel()
	own := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}}} // its own, made a moment ago
	defer own.CloseIdleConnections()
	c, _, err := websocket.Dial(ctx, strings.Replace(at, "http", "ws", 1)+"ear", &websocket.DialOptions{HTTPClient: own, HTTPHeader: http.Header{"Origin": {strings.TrimSuffix(at, "/")}}})
	if err != nil {
		return err
	}
	defer c.CloseNow()
	c.SetReadLimit(1 << 20)
	for _, text := range []string{`{"join":{"code":"` + code + `"}}`, `{"ask":{"length":"863.6mm","unit_weight":"18.34g/m"}}`, `{"start":{"from":"browser","rate_hz":48000}}`} {
		if err := c.Write(ctx, websocket.MessageText, []byte(text)); err != nil {
			return err
		}
	}
	var mu sync.Mutex
	var onsets []time.Time // at which they were sent
	sent := make(chan error, 1)
	go func() {
		sent <- h.send(ctx, c, x, long, func(now time.Time) { mu.Lock(); onsets = append(onsets, now); mu.Unlock() })
	}()
	told := 0
	for {
		_, b, err := c.Read(ctx)
		if err != nil {
			return err
		}
		if bytes.HasPrefix(b, []byte(`{"live":`)) && !bytes.Contains(b, []byte(`"number":`)) {
			continue // a sign of life
		}
		var m struct {
			Live      json.RawMessage
			Listening *bool
			Trouble   *struct{ Say string }
		}
		if err := json.Unmarshal(b, &m); err != nil {
			return err
		}
		switch {
		case m.Trouble != nil:
			return fmt.Errorf("it is told: %s", m.Trouble.Say)
		case m.Listening != nil && !*m.Listening:
			h.sent = len(onsets)
			return <-sent
		case bytes.Contains(m.Live, []byte(`"number":`)):
			now := time.Now()
			var p struct {
				Number           int
				Trusted, Ringing bool
				Doubts           []struct{ Say string }
			}
			if err := json.Unmarshal(m.Live, &p); err != nil {
				return err
			}
			mu.Lock()
			if p.Number > told && p.Number <= len(onsets) {
				told = p.Number
				h.waited = append(h.waited, now.Sub(onsets[told-1]).Seconds())
			}
			mu.Unlock()
			if p.Trusted && !p.Ringing {
				h.over++
			}
			for _, d := range p.Doubts {
				if strings.Contains(d.Say, "lost") {
					h.lost++
				}
				if strings.Contains(d.Say, "first second alone") {
					h.once++
				}
			}
		}
	}
}

// send sends the sound over and over, in real time, and says when a pluck was sent.
func (h *seatHeard) send(ctx context.Context, c *websocket.Conn, x []float32, long time.Duration, plucked func(time.Time)) error {
	const piece, onset = 2048, 24000
	begun := time.Now()
	for at := 0; ; at += piece {
		due := begun.Add(time.Duration(float64(at+piece) / rate * float64(time.Second)))
		time.Sleep(time.Until(due))
		// The last pluck rings for some seconds.
		if due.Sub(begun) > long && at%len(x) > 6*rate {
			break
		}
		b := binary.BigEndian.AppendUint64(nil, uint64(at))
		for i := at; i < at+piece; i++ {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(x[i%len(x)]))
			if i%len(x) == onset {
				plucked(due)
			}
		}
		if err := c.Write(ctx, websocket.MessageBinary, b); err != nil {
			return err
		}
		h.behind = max(h.behind, time.Since(due))
	}
	return c.Write(ctx, websocket.MessageText, []byte(`{"stop":{}}`))
}

// memory is what a process has in memory, MB.
func memory(t *testing.T, pid int) float64 {
	t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile(`VmRSS:\s+(\d+) kB`).FindSubmatch(text)
	if m == nil {
		return math.NaN()
	}
	kb, _ := strconv.ParseFloat(string(m[1]), 64)
	return kb / 1000
}

// processor is what a process has used, s; the kernel counts hundredths (proc(5)).
func processor(t *testing.T, pid int) float64 {
	t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		t.Fatal(err)
	}
	fields := strings.Fields(string(text[bytes.LastIndexByte(text, ')')+1:]))
	user, _ := strconv.ParseFloat(fields[11], 64)
	system, _ := strconv.ParseFloat(fields[12], 64)
	return (user + system) / 100
}
