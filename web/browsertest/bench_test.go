package browsertest

import (
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// stocked begins a stock of its own with the strings and the instrument given as command
// lines.
func stocked(t *testing.T, lines ...[]string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "stock.db")
	for _, args := range lines {
		if out, err := exec.Command(program, append(append([]string{"stock"}, args...), "--stock", file)...).CombinedOutput(); err != nil {
			t.Fatalf("%v: %v\n%s", args, err, out)
		}
	}
	return file
}

const evilName = `<img src=x onerror="document.title='owned'"> & "E"`

// The bench shows what is in stock, as text whatever it is called, and takes it for what
// is heard.
func TestBench(t *testing.T) {
	file := stocked(t,
		[]string{"add", "E 46", "--wound", "--left", "3", "--unit-weight", "18.4g/m±1%"},
		[]string{"add", evilName, "--plain"},
		[]string{"add", "tenor", "--position", "863.6mm±0.2mm:A1:2mm", "--position", "863.6mm:E1"},
		[]string{"string", "tenor", "E 46", "-"})
	b := browse(t, "")
	b.do(chromedp.EmulateViewport(1200, 900), chromedp.Navigate(serve(t, "--stock", file)+"#bench"))
	b.until("document.querySelectorAll('#strings tbody tr').length === 2 && document.querySelectorAll('#instruments tbody tr').length === 2")
	if text := b.text("strings"); !strings.Contains(text, evilName) || !strings.Contains(text, "18.40 ± 0.37 g/m") {
		t.Errorf("strings: %s", text)
	}
	if js[bool](b, "document.title === 'owned' || !!document.querySelector('main img')") {
		t.Error("a name became part of the page")
	}
	looks(b, "bench")
	b.enter("find", "e 46")
	b.until("document.querySelectorAll('#strings tbody tr').length === 1")
	if name, content := kept(b, "[data-save=bench] button:nth-of-type(1)"); name != "pluckweigh-stock.csv" || strings.Count(content, "\r\n") != 2 || strings.Contains(content, "<img") {
		t.Errorf("%s: %s", name, content)
	}
	b.do(chromedp.Click("#instruments tbody a"))
	b.until("document.getElementById('length-told').textContent.includes('863.60 ± 0.20 mm')")
	if w, n := b.text("unit_weight-told"), b.text("near-told"); !strings.Contains(w, "18.40 ± 0.18 g/m") || n != "" && !strings.Contains(n, "55 Hz") {
		t.Errorf("it is taken as %q, %q", w, n)
	}
	if js[bool](b, "document.getElementById('now').hidden") {
		t.Error("it is not heard")
	}
	if near := js[string](b, "document.getElementById('near').value"); near != "55Hz" {
		t.Errorf("near %q", near)
	}

	// Without a stock that is said.
	b.do(chromedp.Navigate("about:blank"))
	b.do(chromedp.Navigate(serve(t, "--stock", file+".gone") + "#bench"))
	b.until("document.getElementById('bench-told').textContent.includes('no such file')")
}
