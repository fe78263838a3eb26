// Package soundrig gives a test a microphone without a sound card: a private
// sound server and ALSA configuration into which PortAudio captures known
// samples, paced in real time and exact to the bit. It is for tests only, and
// for Linux.
//
// The sound comes from ALSA's file plugin, which replaces what its slave
// captures by a file's samples. The slave, the monitor of a PulseAudio null
// sink, only sets the pace. The file's samples are taken in the form that the
// program negotiates, so it must capture float32, at the rig's rate and with the
// rig's channels; package mic does both by itself. Every opening of the device
// starts the file anew. At its end the plugin would repeat the last buffer for
// ever: so silence follows the samples.
package soundrig

import (
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// Names of the two inputs that a rig has, both with the same sound. The first is
// the system's default.
const (
	Default = "default"
	Second  = "Rig Microphone"
)

// RequireTools is the environment variable that, set to 1, makes a test fail
// where it would be skipped for want of a package.
const RequireTools = "PLUCKWEIGH_REQUIRE_TOOLS"

// sound is the file with the samples.
const sound = "sound.raw"

// tail is the silence after the samples, in seconds.
const tail = 20

// Options describe the sound.
type Options struct {
	Play     []float32 // samples, interleaved where there are several channels
	Rate     int       // Hz, 48000 when 0
	Channels int       // 1 when 0

	// Unpaced delivers as fast as PortAudio takes it, without a server. Nothing
	// then says what the rate and the channels are.
	Unpaced bool
}

// A Rig is an environment for sound. It ends with the test that started it.
type Rig struct {
	t      testing.TB
	dir    string
	alsa   string    // ALSA configuration file
	server *exec.Cmd // nil without a server
	gone   chan struct{}
	silent int // samples after the sound
}

// Start makes a rig that plays o.Play to whoever captures. It skips the test
// where packages are missing.
func Start(t testing.TB, o Options) *Rig {
	t.Helper()
	if o.Rate == 0 {
		o.Rate = 48000
	}
	if o.Channels == 0 {
		o.Channels = 1
	}
	require(t)
	r := folder(t)
	r.silent = o.Rate * o.Channels * tail
	infile := r.write(sound, raw(o.Play, r.silent))
	slave := `type null`
	if !o.Unpaced {
		r.serve(o)
		slave = fmt.Sprintf(`type pulse server "unix:%s"`, r.socket())
	}
	var conf strings.Builder
	for _, name := range []string{"!" + Default, `"` + Second + `"`} {
		fmt.Fprintf(&conf, "pcm.%s { type file slave.pcm { %s } file \"/dev/null\" infile \"%s\" format \"raw\" hint { show on description \"rig\" } }\n",
			name, slave, infile)
	}
	r.alsa = r.write("asound.conf", []byte(conf.String()))
	return r
}

// Next changes what is played to whoever opens the device from now on; who has it open
// goes on hearing what was played before.
func (r *Rig) Next(play []float32) {
	r.t.Helper()
	path := r.write(sound+".next", raw(play, r.silent))
	if err := os.Rename(path, filepath.Join(r.dir, sound)); err != nil {
		r.t.Fatal("soundrig:", err)
	}
}

// NoDevice makes an environment in which there is no sound device at all, and in
// which the sound libraries say so at length.
func NoDevice(t testing.TB) *Rig {
	t.Helper()
	require(t)
	r := folder(t)
	// ALSA's own configuration, with what would lead to real cards cut off.
	r.alsa = r.write("asound.conf", []byte(`</usr/share/alsa/alsa.conf>
pcm.!default { type hw card 31 }
ctl.!hw { @args [ CARD ] @args.CARD { type string } type hw card 31 }
`))
	return r
}

// EmptyALSA makes an environment whose ALSA configuration is an empty file, with
// which PortAudio's start ends the process.
func EmptyALSA(t testing.TB) *Rig {
	t.Helper()
	require(t)
	r := folder(t)
	r.alsa = r.write("asound.conf", nil)
	return r
}

// Env is this process's environment changed to see the rig and no other sound,
// for [exec.Cmd.Env].
func (r *Rig) Env() []string {
	env := os.Environ()
	for k, v := range r.vars() {
		env = append(env, k+"="+v)
	}
	return env
}

// Setenv changes this process's own environment so until the test ends. It must
// come before PortAudio is started.
func (r *Rig) Setenv() {
	for k, v := range r.vars() {
		r.t.Setenv(k, v)
	}
}

// vars keep all that the sound libraries would read, or leave behind, elsewhere
// within the rig's folder.
func (r *Rig) vars() map[string]string {
	return map[string]string{
		"HOME":                 r.dir, // ~/.asoundrc, ~/.config/pulse
		"TMPDIR":               r.dir, // /tmp/pulse-*
		"XDG_CONFIG_HOME":      r.dir,
		"XDG_DATA_HOME":        r.dir, // what a user keeps
		"XDG_RUNTIME_DIR":      r.dir, // PipeWire's socket too would be here
		"ALSA_CONFIG_PATH":     r.alsa,
		"PULSE_SERVER":         "unix:" + r.socket(),
		"PULSE_COOKIE":         filepath.Join(r.dir, "cookie"),
		"PULSE_RUNTIME_PATH":   r.dir,
		"PULSE_STATE_PATH":     r.dir,
		"JACK_DEFAULT_SERVER":  filepath.Base(r.dir),
		"JACK_NO_START_SERVER": "1",
	}
}

// Kill ends the sound server at once, as a crash would.
func (r *Rig) Kill() {
	r.t.Helper()
	r.signal(os.Kill)
	<-r.gone
}

func (r *Rig) signal(s os.Signal) {
	r.t.Helper()
	if r.server == nil {
		r.t.Fatal("soundrig: this rig has no server")
	}
	r.server.Process.Signal(s) // an error means that it has ended already
}

func (r *Rig) socket() string { return filepath.Join(r.dir, "native") }

// serve starts the server and waits until it answers.
func (r *Rig) serve(o Options) {
	r.t.Helper()
	script := r.write("pulse.pa", fmt.Appendf(nil, `load-module module-native-protocol-unix socket=%s auth-anonymous=1
load-module module-null-sink sink_name=rig rate=%d channels=%d format=float32le norewinds=1
set-default-sink rig
set-default-source rig.monitor
`, r.socket(), o.Rate, o.Channels))
	log := r.create("pulse.log")
	defer log.Close()
	// The idle time is a net under a test that dies without its clean-up.
	r.server = exec.Command("pulseaudio", "-n", "-F", script, "--daemonize=no", "--exit-idle-time=60",
		"--use-pid-file=no", "--disable-shm=yes")
	r.server.Env = r.Env()
	r.server.Stdout, r.server.Stderr = log, log
	if err := r.server.Start(); err != nil {
		r.t.Fatal("soundrig:", err)
	}
	r.gone = make(chan struct{})
	go func() {
		r.server.Wait() // the error is that of being killed
		close(r.gone)
	}()
	r.t.Cleanup(r.Kill)

	for end := time.Now().Add(15 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		select {
		case <-r.gone:
			r.t.Fatalf("soundrig: pulseaudio ended: %s", r.read("pulse.log"))
		default:
		}
		if r.answers() {
			return
		}
	}
	r.t.Fatalf("soundrig: pulseaudio does not answer after 15 s: %s", r.read("pulse.log"))
}

func (r *Rig) answers() bool {
	ask := exec.CommandContext(r.t.Context(), "pactl", "info")
	ask.Env = r.Env()
	out, err := ask.Output()
	return err == nil && strings.Contains(string(out), "rig.monitor")
}

// raw is x as float32 in the machine's order, as ALSA takes it, and then silent
// samples.
func raw(x []float32, silent int) []byte {
	b := make([]byte, 0, 4*(len(x)+silent))
	for _, v := range x {
		b = binary.NativeEndian.AppendUint32(b, math.Float32bits(v))
	}
	return append(b, make([]byte, 4*silent)...)
}

// require skips the test, or fails it, where the rig cannot be built.
func require(t testing.TB) {
	t.Helper()
	stop := t.Skipf
	if os.Getenv(RequireTools) == "1" {
		stop = t.Fatalf
	}
	if runtime.GOOS != "linux" {
		stop("soundrig: made for Linux")
	}
	for _, tool := range []string{"pulseaudio", "pactl"} {
		if _, err := exec.LookPath(tool); err != nil {
			stop("soundrig: %s is missing: apt-get install pulseaudio pulseaudio-utils libasound2-plugins", tool)
		}
	}
	if m, _ := filepath.Glob("/usr/lib/*/alsa-lib/libasound_module_pcm_pulse.so"); len(m) == 0 {
		stop("soundrig: ALSA's pulse plugin is missing: apt-get install libasound2-plugins")
	}
}
