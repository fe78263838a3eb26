package browsertest

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// Whatever stands in the address is text and nothing else.
func TestAddressIsText(t *testing.T) {
	b := browse(t, "")
	evil := `%3Cimg%20src=x%20onerror=%22document.title='owned'%22%3E%3Cscript%3Edocument.title='owned'%3C/script%3E`
	b.do(chromedp.Navigate(serve(t) + "#now?length=" + evil + "&unit_weight=" + evil + "&near=" + evil + "&pluck=" + evil + "&mic=" + evil + "&ends=" + evil + "&__proto__=x&constructor=y"))
	b.until("document.getElementById('length-told').textContent")
	if js[bool](b, "document.title === 'owned' || !!document.querySelector('main img, main script, body > script')") {
		t.Error("the address became part of the page")
	}
	if told := b.text("length-told"); !strings.Contains(told, "<img") {
		t.Errorf("it says %q", told)
	}
	if mic := js[string](b, "document.getElementById('mic').value"); mic != "browser" {
		t.Errorf("microphone %q", mic)
	}
}

// Strings are not made into markup or scripts, even by mistake.
func TestPolicyHolds(t *testing.T) {
	b := browse(t, "")
	b.quiet.Store(true) // it says what it refuses
	b.do(chromedp.Navigate(serve(t)))
	b.until("document.getElementById('listen').getAttribute('aria-disabled') === 'false'")
	for _, try := range []string{
		`document.body.innerHTML = '<p>x</p>'`,
		`document.body.insertAdjacentHTML('beforeend', '<p>x</p>')`,
	} {
		if !js[bool](b, "(() => { try { "+try+"; return false } catch { return true } })()") {
			t.Errorf("%s is let through", try)
		}
	}
	for _, elsewhere := range []string{"http://example.com/x", "http://127.0.0.1:1/x"} {
		if !js[bool](b, "fetch("+quote(elsewhere)+").then(() => false, () => true)") {
			t.Errorf("%s is fetched", elsewhere)
		}
	}
}

// All is reached and used by keyboard.
func TestKeyboardAlone(t *testing.T) {
	b := browse(t, record(t))
	b.do(chromedp.Navigate(serve(t)))
	b.until("document.getElementById('listen').getAttribute('aria-disabled') === 'false'")
	reached := map[string]bool{}
	tab := func() string {
		b.do(chromedp.KeyEvent("\t"))
		return js[string](b, "(document.activeElement.id || document.activeElement.dataset.view || document.activeElement.textContent)")
	}
	b.do(chromedp.KeyEvent("\t"))
	if at := js[string](b, "document.activeElement.className"); at != "skip" {
		t.Errorf("first comes %q", at)
	}
	b.do(chromedp.KeyEvent("\r"))
	if at := js[string](b, "document.activeElement.id"); at != "view" {
		t.Errorf("the way past the forms leads to %q", at)
	}
	js[bool](b, "document.activeElement.blur(), scrollTo(0, 0), document.querySelector('.skip').focus(), true")
	for range 30 {
		at := tab()
		again := reached[at]
		reached[at] = true
		if again {
			continue
		}
		switch at {
		case "length":
			b.do(chromedp.KeyEvent("863.6mm"))
		case "unit_weight":
			b.do(chromedp.KeyEvent("18.34g/m"))
		case "listen":
			b.do(chromedp.KeyEvent(" "))
			b.until("document.querySelectorAll('#plucks tbody tr').length >= 1 && document.getElementById('pull').textContent.includes('N')")
			b.do(chromedp.KeyEvent("\r"))
			b.until("document.getElementById('listen').textContent === 'Listen'")
		}
	}
	for _, id := range []string{"now", "string", "length", "unit_weight", "ends", "near", "reference", "mic", "listen", "CSV", "SVG", "1"} {
		if !reached[id] {
			t.Errorf("%s is not reached", id)
		}
	}
}

// A browser without a microphone says so, and what to do.
func TestNoMicrophone(t *testing.T) {
	b := browse(t, "")
	b.do(chromedp.Navigate(serve(t)))
	b.until("document.getElementById('listen').getAttribute('aria-disabled') === 'false'")
	b.do(chromedp.Click("#listen"))
	b.until("document.getElementById('trouble').textContent.includes('no microphone was found')")
	for _, c := range []struct{ with, says string }{
		{"() => Promise.reject(new DOMException('x', 'NotAllowedError'))", "does not let this page use the microphone"},
		{"() => Promise.resolve({ getAudioTracks: () => [{ stop() {}, getSettings: () => ({ echoCancellation: false, noiseSuppression: true, autoGainControl: false }) }] })", "changes the sound by noise suppression"},
	} {
		js[bool](b, "navigator.mediaDevices.getUserMedia = "+c.with+", true")
		b.do(chromedp.Click("#listen"))
		b.until("document.getElementById('trouble').textContent.includes(" + quote(c.says) + ") && document.getElementById('listen').textContent === 'Listen'")
	}
	b.do(chromedp.Navigate("about:blank"))
	address := serve(t)
	b.do(chromedp.Navigate(address + "#now?mic=machine"))
	b.until("document.getElementById('listen').getAttribute('aria-disabled') === 'false'")
	b.do(chromedp.Click("#listen"))
	b.until("document.getElementById('trouble').textContent.includes('built without')")
	if s := b.text("trouble"); !strings.Contains(s, "build") {
		t.Errorf("it says %q, and not how to build it in", s)
	}
}

// The page finds the program again by itself, and listens on.
func TestComesBack(t *testing.T) {
	b := browse(t, takeOf(t, make([]float64, 44100)))
	b.quiet.Store(true) // a page that calls what is gone is told so by the browser
	stop, address := serveAt(t, "127.0.0.1:0")
	b.do(chromedp.Navigate(address + "#now?length=34in"))
	b.until("document.getElementById('length-told').textContent.includes('34.000')")
	b.do(chromedp.Click("#listen"))
	b.until("document.getElementById('state').textContent.includes('Listening')")
	stop()
	b.until("document.getElementById('line').textContent.includes('Not connected')")
	js[bool](b, "document.getElementById('length-told').textContent = '', true")
	at, _, _ := strings.Cut(strings.TrimPrefix(address, "http://"), "/")
	serveAt(t, at)
	b.until("document.getElementById('line').textContent === '' && document.getElementById('length-told').textContent.includes('34.000')")
	b.until("document.getElementById('state').textContent.includes('Listening') && document.getElementById('listen').textContent === 'Stop'")
}

// The key leaves the address, and serves further pages of the same browser; without it the
// page says what to do, and shows nothing of the user's.
func TestKeyOfThePage(t *testing.T) {
	b := browse(t, "")
	address := serve(t, "--stock", stocked(t, []string{"add", "E 46", "--wound", "--unit-weight", "18.4g/m±1%"}))
	bare, key, _ := strings.Cut(address, "?key=")
	b.quiet.Store(true) // it is told of each refusal
	for _, wrong := range []string{"", "?key=" + strings.ToUpper(key)} {
		b.do(chromedp.Navigate(bare + wrong + "#bench"))
		b.until("document.getElementById('line').textContent.includes('printed') && document.getElementById('bench-told').textContent.includes('printed')")
		if text := b.text("strings"); strings.Contains(text, "E 46") {
			t.Errorf("it shows %s", text)
		}
		b.picture("no-key")
	}
	for _, at := range []string{address, bare} {
		b.do(chromedp.Navigate("about:blank"), chromedp.Navigate(at+"#bench"))
		b.until("document.getElementById('line').textContent === '' && document.getElementById('strings').textContent.includes('E 46')")
		if href := js[string](b, "location.href"); strings.Contains(href, key) || !strings.HasSuffix(href, "#bench") {
			t.Errorf("the address is %s", href)
		}
	}
}
