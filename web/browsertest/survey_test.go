package browsertest

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"pluckweigh/audio/synth"
)

// surveyed is what the page and pluckweigh survey --json keep of an instrument.
type surveyed struct {
	Session string
	Strings []struct {
		Good    bool
		Plucks  int
		Cents   float64
		N       float64 `json:"tension_newton"`
		AtPitch float64 `json:"at_pitch_newton"`
	}
}

// printed is what the program prints.
func printed(t *testing.T, args ...string) string {
	t.Helper()
	out, err := exec.Command(program, args...).Output()
	if err != nil {
		t.Fatalf("%v: %v", args, err)
	}
	return string(out)
}

// alike tells whether two texts are the same JSON.
func alike(t *testing.T, a, b string) bool {
	t.Helper()
	var x, y any
	if json.Unmarshal([]byte(a), &x) != nil || json.Unmarshal([]byte(b), &y) != nil {
		return false
	}
	p, _ := json.Marshal(x)
	q, _ := json.Marshal(y)
	return string(p) == string(q)
}

// Three strings plucked in an order of their own are told apart and ticked off, each as
// found and at pitch, kept as they come, as the command has them.
func TestSurvey(t *testing.T) {
	const length = 0.8636
	pitches := []float64{55, 73.416, 97.999} // of A1, D2 and G2
	found := []float64{0, -12, 7}            // cents off that
	weights := []float64{0.01834, 0.0112, 0.0066}
	var x []float64
	pulls := make([]float64, 3)
	for _, i := range []int{2, 0, 1} {
		s := truth
		s.Length, s.UnitWeight = length, weights[i]
		pulls[i] = weights[i] * math.Pow(2*length*pitches[i]*math.Exp2(found[i]/1200), 2)
		s.Tension = pulls[i]
		part, _, err := synth.Take{String: s, Plucks: []synth.Pluck{{At: 0.5, Height: 0.002, Point: 0.17, Width: 0.012}}, Pickup: synth.Pickup{Senses: synth.Velocity, At: 0.12},
			Rate: 44100, Seconds: 3.6, Damp: 3.4, Level: -9, Noise: []synth.Noise{{Color: synth.Pink, DB: 40}}, Seed: uint64(i)}.Render()
		if err != nil {
			t.Fatal(err)
		}
		if len(x) == 0 {
			x = append(x, slices.Repeat(part[:4410], 12)...)
		}
		x = append(x, part...)
	}
	file := stocked(t,
		[]string{"add", "a", "--wound", "--unit-weight", "18.34g/m±0.05%"}, []string{"add", "d", "--wound", "--unit-weight", "11.2g/m±0.05%"}, []string{"add", evilName, "--wound", "--unit-weight", "6.6g/m±0.05%"},
		[]string{"add", "tenor", "--position", "863.6mm±0.05mm:A1", "--position", "863.6mm±0.05mm:D2", "--position", "863.6mm±0.05mm:G2"},
		[]string{"string", "tenor", "a", "d", evilName})
	b := browse(t, takeOf(t, x))
	b.do(chromedp.EmulateViewport(1200, 900), chromedp.Navigate(serve(t, "--stock", file)+"#bench"))
	b.until("document.querySelector('#instruments p a')")
	b.do(chromedp.Click("#instruments p a"))
	b.until("document.querySelectorAll('#survey-rows tbody tr').length === 3 && document.getElementById('survey-done').textContent.includes('0 of 3') && document.getElementById('listen').getAttribute('aria-disabled') === 'false'")
	if s := b.text("survey-caution"); !strings.Contains(s, "can snap") {
		t.Errorf("the caution is %q", s)
	}
	js[bool](b, "(e => { e.value = 'pinned'; return e.dispatchEvent(new Event('input', { bubbles: true })) })(document.getElementById('survey-held'))")
	b.until("location.hash.includes('held=pinned')")
	b.do(chromedp.Click("#listen"))
	b.until("document.getElementById('survey-done').textContent.includes('every string is good')")
	if js[bool](b, "document.title === 'owned' || !!document.querySelector('main img')") {
		t.Error("a name became part of the page")
	}
	_, content := kept(b, "[data-save=survey] button:nth-of-type(2)")
	var got surveyed
	if err := json.Unmarshal([]byte(content), &got); err != nil || len(got.Strings) != 3 {
		t.Fatalf("%v in %s", err, content)
	}
	for i, s := range got.Strings {
		off, at := 600*math.Log2(s.N/pulls[i]), 600*math.Log2(s.AtPitch/(pulls[i]*math.Exp2(-found[i]/600)))
		t.Logf("position %d: %.2f N, off by %.3f cents, at pitch by %.3f", i+1, s.N, off, at)
		if !s.Good || s.Plucks != 1 || math.Abs(off) > 1 || math.Abs(at) > 1 || math.Abs(s.Cents-found[i]) > 1 {
			t.Errorf("position %d: %+v, in truth %v N and %v cents", i+1, s, pulls[i], found[i])
		}
	}
	if told := b.text("survey-mend"); !strings.Contains(told, "2 D2 is 12 cents out of tune: tune it up") || !strings.Contains(told, "face away") {
		t.Errorf("to mend: %s", told)
	}
	looks(b, "survey")
	b.do(chromedp.Click("#listen"))
	b.until("document.getElementById('listen').textContent === 'Listen'")
	_, content = kept(b, "[data-save=survey] button:nth-of-type(2)")
	if same := printed(t, "survey", "tenor", "--session", got.Session, "--show", "--json", "--ends", "pinned", "--stock", file); !alike(t, content, same) {
		t.Errorf("the page keeps\n%s and the command prints\n%s", content, same)
	}
	// What was kept is there again, and is a link.
	href := js[string](b, "location.href")
	b.do(chromedp.Navigate("about:blank"), chromedp.Navigate(href))
	b.until("document.getElementById('survey-done').textContent.includes('every string is good') && document.getElementById('survey-told').textContent.includes('Continuing')")
	// What is mistyped is said in its place.
	b.enter("survey-good", "1")
	b.until("document.getElementById('survey-good-told').textContent.includes('1cent') && document.getElementById('survey-good').getAttribute('aria-invalid') === 'true'")
	b.enter("survey-good", "2cents")
	b.until("document.getElementById('survey-good').getAttribute('aria-invalid') === 'false' && document.getElementById('survey-done').textContent.includes('every string is good')")
	b.enter("survey-position", "9")
	b.until("document.getElementById('survey-position-told').textContent.includes('no position 9 of 3')")
}

// A string that was watched is told of as the command does, and goes on.
func TestSettle(t *testing.T) {
	list := filepath.Join(t.TempDir(), "day.csv")
	text := "time,pitch (Hz),u (cents)\n"
	begun := time.Now().Add(-3 * time.Hour)
	for i := range 16 {
		at := time.Duration(i*i) * time.Minute / 2
		cents := -4*math.Log1p(at.Minutes()/12) + 0.03*math.Sin(float64(7*i))
		if i == 9 {
			cents += 8
		}
		text += fmt.Sprintf("%s,%.6f,0.05\n", begun.Add(at).Format("2006-01-02 15:04:05"), 55*math.Exp2(cents/1200))
	}
	if err := os.WriteFile(list, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "stock.db")
	printed(t, "settle", "--readings", list, "--session", "low A", "--stock", file)
	b := browse(t, record(t))
	b.do(chromedp.EmulateViewport(1200, 900), chromedp.Navigate(serve(t, "--stock", file)+"#bench"))
	b.until("document.querySelector('#sessions a')")
	b.do(chromedp.Click("#sessions a"))
	b.until("document.getElementById('settle-told').textContent.startsWith('Within 1 cent for 60 min: ') && document.getElementById('listen').getAttribute('aria-disabled') === 'false'")
	_, content := kept(b, "[data-save=settle] button:nth-of-type(2)")
	if same := printed(t, "settle", "--session", "low A", "--show", "--json", "--stock", file); !alike(t, content, same) {
		t.Errorf("the page keeps\n%s and the command prints\n%s", content, same)
	}
	looks(b, "settle")
	if rings := js[int](b, "document.querySelectorAll('#settle-plot circle').length"); rings != 15 {
		t.Errorf("%d rings, and a cross", rings)
	}
	b.enter("settle-within", "20cents")
	b.enter("settle-for", "10min")
	b.until("document.getElementById('settle-told').textContent.startsWith('Within 20 cents for 10 min: yes')")
	b.enter("settle-for", "soon")
	b.until("document.getElementById('settle-for').getAttribute('aria-invalid') === 'true' && document.getElementById('settle-for-told').textContent.includes('40min')")
	b.enter("settle-for", "10min")
	b.until("document.getElementById('settle-for').getAttribute('aria-invalid') === 'false'")
	b.do(chromedp.Click("#listen"))
	b.until("document.querySelectorAll('#settle-plot svg circle, #settle-plot svg path[d*=l10]').length >= 18")
	b.do(chromedp.Click("#listen"))
	b.until("document.getElementById('listen').textContent === 'Listen'")
	if out := printed(t, "settle", "--sessions", "--stock", file); !strings.Contains(out, "18 readings") {
		t.Errorf("there are %s", out)
	}
	b.do(chromedp.Click("#settle-now"))
	b.until("document.getElementById('settle-told').textContent.includes('after it')")
}
