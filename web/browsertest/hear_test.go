package browsertest

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"pluckweigh/physics"
)

// A pluck is one as the page keeps it.
type pluck struct {
	Number  int
	Trusted bool
	Doubts  []struct{ Say string }
	Note    string
	Pluck   struct {
		F0 float64 `json:"f0_hz"`
		B  float64 `json:"inharmonicity"`
	}
	Pull struct {
		Say     string
		Tension struct {
			N float64 `json:"newton"`
			U float64 `json:"u_newton"`
		}
	}
}

// kept presses a button that keeps something, and returns what would be saved.
func kept(b tab, button string) (name, content string) {
	b.Helper()
	got := js[[]string](b, `(async () => {
		const made = [], make = URL.createObjectURL;
		URL.createObjectURL = (blob) => { made.push(blob); return make(blob); };
		let name = '';
		const click = HTMLAnchorElement.prototype.click;
		const saved = new Promise((ok) => { HTMLAnchorElement.prototype.click = function () { name = this.download; ok(); }; });
		document.querySelector(`+quote(button)+`).click();
		await saved;
		HTMLAnchorElement.prototype.click = click;
		URL.createObjectURL = make;
		const last = made.at(-1);
		return [name, last.type === 'image/png' ? String((await last.arrayBuffer()).byteLength) : await last.text()];
	})()`)
	return got[0], got[1]
}

func quote(s string) string {
	b, _ := json.Marshal(s)
	return string(b)
}

// The page shows the tension of what the browser's microphone hears, to within a cent of
// pitch, and keeps all it shows.
func TestPageWeighsWhatTheMicrophoneHears(t *testing.T) {
	b := browse(t, record(t))
	address := serve(t)
	b.do(chromedp.EmulateViewport(1200, 900), chromedp.Navigate(address+"#now?"+asked))
	b.until("document.getElementById('length-told').textContent.includes('863.60 ± 0.10')")
	b.until("document.getElementById('listen').getAttribute('aria-disabled') === 'false'")
	b.do(chromedp.Click("#listen"))
	b.until("document.querySelectorAll('#plucks tbody tr').length === 2")
	b.until("/plucks *1, 2/.test(document.getElementById('together').textContent)")

	_, content := kept(b, "[data-save=plucks] button:nth-of-type(2)")
	var plucks []pluck
	if err := json.Unmarshal([]byte(content), &plucks); err != nil {
		t.Fatalf("%v in %s", err, content)
	}
	if len(plucks) != 2 {
		t.Fatalf("%d plucks", len(plucks))
	}
	for _, p := range plucks {
		if off := 600 * math.Abs(math.Log2(p.Pull.Tension.N/truth.Tension)); !p.Trusted || p.Note != "A1" || !(off < 1) {
			t.Errorf("pluck %d: %v N is off by %.3f cents: %+v", p.Number, p.Pull.Tension.N, off, p)
		}
		if math.Abs(p.Pluck.B/truth.B()-1) > 0.05 {
			t.Errorf("pluck %d: B is %v, not %v", p.Number, p.Pluck.B, truth.B())
		}
		t.Logf("pluck %d: %s, off by %.3f cents", p.Number, p.Pull.Say, 600*math.Log2(p.Pull.Tension.N/truth.Tension))
	}
	last := plucks[1]
	shown, _, _ := strings.Cut(b.text("pull"), " (k")
	if want, _, _ := strings.Cut(last.Pull.Say, "  (k"); shown != want || !strings.Contains(b.text("told"), "pulls "+want) {
		t.Errorf("it shows %q and says %q, not %q", shown, b.text("told"), want)
	}
	if text := b.text("pull"); !strings.Contains(text, "k\u00a0=\u00a02") {
		t.Errorf("%q has no coverage factor", text)
	}
	b.picture("now")

	// Both are taken together, but for one that is left out.
	var both struct {
		IDs  []int
		Pull struct {
			Tension struct {
				N float64 `json:"newton"`
			}
		}
	}
	if _, content := kept(b, "[data-save=together] button:nth-of-type(2)"); json.Unmarshal([]byte(content), &both) != nil || len(both.IDs) != 2 || !(600*math.Abs(math.Log2(both.Pull.Tension.N/truth.Tension)) < 1) {
		t.Errorf("together they are %s", content)
	}
	js[bool](b, "document.querySelector('[data-place=leave1]').focus(), true")
	b.do(chromedp.KeyEvent(" "))
	b.until("document.getElementById('together').textContent.includes('At least two') && document.activeElement.dataset.place === 'leave1'")
	b.do(chromedp.KeyEvent(" "))
	b.until("/plucks *1, 2/.test(document.getElementById('together').textContent)")

	// What is typed anew is told anew, by another unit and its own uncertainty.
	b.enter("length", "34in±1mm")
	b.until("document.getElementById('length-told').textContent.includes('in') && document.getElementById('pull').textContent.includes('± 0.8')")
	b.enter("length", "34")
	b.until("document.getElementById('length-told').textContent.includes('34in')")
	if text := b.text("pull"); text != "–" {
		t.Errorf("a length without a unit gives %s", text)
	}
	b.enter("length", "863.6mm±0.1mm")
	b.until("document.getElementById('pull').textContent === " + quote(shown+" (k\u00a0=\u00a02)"))

	for _, c := range []struct{ button, name, has string }{
		{"[data-save=plucks] button:nth-of-type(1)", "pluckweigh-plucks.csv", "\r\n2,"},
		{"[data-save=together] button:nth-of-type(1)", "pluckweigh-together.csv", "\r\n1 2,A1,"},
		{"[data-save=budget] button:nth-of-type(1)", "pluckweigh-budget.csv", "\r\nunit weight,"},
		{"[data-save=strip] button:nth-of-type(1)", "pluckweigh-strip.csv", ",A1,"},
		{"[data-save=strip] button:nth-of-type(2)", "pluckweigh-strip.json", `"A1"`},
		{"[data-save=strip] button:nth-of-type(3)", "pluckweigh-strip.svg", "</svg>"},
		{"[data-save=strip] button:nth-of-type(4)", "pluckweigh-strip.png", ""},
	} {
		if name, content := kept(b, c.button); name != c.name || !strings.Contains(content, c.has) || len(content) < 3 {
			t.Errorf("%s keeps %q: %.80q", c.button, name, content)
		}
	}

	b.do(chromedp.Click("nav a[data-view=string]"))
	b.until("document.querySelectorAll('#partials tbody tr').length > 20")
	if rows, rungs := js[int](b, "document.querySelectorAll('#partials tbody tr').length"), js[int](b, "document.querySelectorAll('#ladder circle').length"); rungs != 2*rows {
		t.Errorf("%d partials, and %d rings", rows, rungs)
	}
	if law := physics.Format(physics.PartialRaise(physics.Inharmonicity(truth.B()), 10), 0, 4); !strings.Contains(law, "cents") {
		t.Errorf("the law of partial 10 is %q", law)
	}
	for _, c := range []struct{ button, name, has string }{
		{"[data-save=ladder] button:nth-of-type(1)", "pluckweigh-partials.csv", "n,hz,u_hz"},
		{"[data-save=ladder] button:nth-of-type(3)", "pluckweigh-partials.svg", "fades"},
	} {
		if name, content := kept(b, c.button); name != c.name || !strings.Contains(content, c.has) {
			t.Errorf("%s keeps %q: %.80q", c.button, name, content)
		}
	}
	views(b)

	b.do(chromedp.Click("#listen"))
	b.until("document.getElementById('listen').textContent === 'Listen'")

	// What was heard outlasts a page that is loaded again; a pull does not outlast what it was
	// worked out with.
	b.do(chromedp.Reload())
	b.until("document.querySelectorAll('#plucks tbody tr').length === 2 && document.getElementById('pull').textContent === " + quote(shown+" (k\u00a0=\u00a02)"))
	b.enter("length", "34in")
	b.until("document.getElementById('pull').textContent === '–' && document.getElementById('pull-why').textContent.includes('pluck again')")
}

// views looks at both views of what was heard.
func views(b tab) {
	b.Helper()
	for _, v := range []string{"string", "now"} {
		b.do(chromedp.Click("nav a[data-view=" + v + "]"))
		looks(b, v)
	}
}

// looks looks at a view as it is now: as wide as a desk, as narrow as a phone, at 200 %
// zoom, and in the dark.
func looks(b tab, v string) {
	b.Helper()
	for _, as := range []struct {
		name       string
		wide, high int64
		scale      float64
		dark       bool
	}{
		{"desk", 1200, 900, 1, false}, {"phone", 360, 740, 2, false}, {"zoomed", 640, 450, 2, false}, {"dark", 1200, 900, 1, true}, {"narrowest", 320, 600, 1, true},
	} {
		scheme := "light"
		if as.dark {
			scheme = "dark"
		}
		b.do(chromedp.EmulateViewport(as.wide, as.high, chromedp.EmulateScale(as.scale)))
		media(b, scheme)
		js[bool](b, "new Promise((ok) => setTimeout(() => ok(true), 400))")
		if over := js[int](b, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
			b.Errorf("%s, %s: %d px too wide", v, as.name, over)
		}
		accessible(b, v+", "+as.name)
		b.picture(v + "-" + as.name)
	}
	media(b, "light")
	b.do(chromedp.EmulateViewport(1200, 900))
}

// medium has the page shown as on paper, or for "" as on a screen.
func medium(b tab, name string) {
	b.Helper()
	if _, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: name}); err != nil {
		b.Fatal(err)
	}
}

func media(b tab, scheme string) {
	b.Helper()
	if _, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}}); err != nil {
		b.Fatal(err)
	}
}

// accessible has the page looked over by axe-core, where PLUCKWEIGH_AXE names its script.
func accessible(b tab, where string) {
	b.Helper()
	name := os.Getenv("PLUCKWEIGH_AXE")
	if name == "" {
		return
	}
	if !js[bool](b, "!!window.axe") {
		script, err := os.ReadFile(name)
		if err != nil {
			b.Fatal(err)
		}
		run(b, chromedp.Evaluate[chromedp.Void](string(script)))
	}
	found := js[[]string](b, `(async () => {
		const r = await axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] });
		return r.violations.flatMap((v) => v.nodes.map((n) => v.id + ': ' + n.html + ' ' + (n.failureSummary || '')));
	})()`)
	for _, f := range found {
		b.Errorf("%s: %s", where, f)
	}
}
