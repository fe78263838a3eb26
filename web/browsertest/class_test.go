package browsertest

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// teach serves a class until the test ends, and returns where the teacher's screen and the
// seats' page are, and the code. data is the user's data folder.
func teach(t *testing.T, data, at string) (stop func(), screen, seats, code string) {
	t.Helper()
	c := exec.Command(program, "serve", "--class", "--address", at)
	c.Env = append(os.Environ(), "XDG_DATA_HOME="+data)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	stop = func() {
		c.Process.Kill() // as if the machine had gone down
		c.Wait()
	}
	t.Cleanup(stop)
	lines := bufio.NewScanner(out)
	for lines.Scan() && code == "" {
		if m := regexp.MustCompile(`screen is at (\S+)$`).FindStringSubmatch(lines.Text()); m != nil {
			screen = m[1]
		}
		if m := regexp.MustCompile(`join at (\S+) with the code (\S+)$`).FindStringSubmatch(lines.Text()); m != nil {
			seats, code = m[1], m[2]
		}
	}
	return stop, screen, seats, code
}

// A class: seats join and add points, the teacher sees them gather and sets one aside, and
// all of it goes on after the program was killed, by itself.
func TestClass(t *testing.T) {
	data := t.TempDir()
	stop, screen, seats, code := teach(t, data, "127.0.0.1:0")
	b := browse(t, "", "ignore-certificate-errors")
	b.do(chromedp.EmulateViewport(1200, 900), chromedp.Navigate(screen))
	b.until("document.getElementById('class-code').textContent === " + quote(code))
	if key := quote(strings.Split(screen, "teacher=")[1]); js[bool](b, "(location.href + document.body.textContent).includes("+key+")") {
		t.Error("the teacher's key is on the screen")
	}

	if how := b.text("class-how"); !regexp.MustCompile(`fingerprint with ([0-9A-F]{2}:){31}`).MatchString(how) || !strings.Contains(how, "--address") {
		t.Errorf("how to join: %s", how)
	}
	s := b.another()
	s.quiet.Store(true) // while the program is gone
	s.do(chromedp.EmulateViewport(360, 740), chromedp.Navigate(seats))
	s.until("!document.getElementById('join').hidden")
	s.enter("code", "WRONG1")
	s.do(chromedp.KeyEvent("\r"))
	s.until("document.getElementById('trouble').textContent.includes('code')")
	s.enter("code", strings.ToLower(code))
	s.enter("name", "<img src=x onerror=\"document.title='owned'\">")
	accessible(s, "join")
	s.picture("class-join")
	s.do(chromedp.KeyEvent("\r"))
	s.until("document.getElementById('join').hidden && document.getElementById('line').textContent.includes('seat 1') && !document.getElementById('lessons').hidden && document.getElementById('hx0')")
	js[bool](s, "document.querySelector('#lessons details').open = true")
	add := func(n int, x, y string) {
		s.enter("hx0", x)
		s.enter("hy", y)
		s.do(chromedp.KeyEvent("\r"))
		s.until(fmt.Sprintf("document.querySelectorAll('#lesson-points tbody tr').length === %d && !Object.keys(localStorage).some((k) => k.startsWith('pluckweigh points'))", n))
	}
	for i, mm := range []float64{650, 575, 500, 425, 350, 325} {
		add(i+1, fmt.Sprintf("%.0fmm", mm), fmt.Sprintf("%.3fHz±0.1Hz", 82.41*650/mm))
	}
	add(7, "300mm", "82.41Hz±0.1Hz")
	s.picture("class-seat")
	b.until("document.querySelectorAll('#class-points tbody tr').length === 7 && document.getElementById('class-seats').textContent.includes('here')")
	if js[bool](b, "document.title === 'owned' || !!document.querySelector('main img')") {
		t.Error("a name became part of the page")
	}
	b.until("!document.getElementById('class-verdict').textContent.startsWith('The data agree')")
	b.do(chromedp.Click("#class-points tbody tr:last-child button"))
	b.until("document.getElementById('class-verdict').textContent.startsWith('The data agree') && document.getElementById('class-points').textContent.includes('set aside: by the teacher')")
	if name, list := kept(b, "[data-save=class] button:nth-of-type(1)"); name != "pluckweigh-class.csv" || strings.Contains(list, "img") || !strings.Contains(list, "seat 1") {
		t.Errorf("%s: %s", name, list)
	}
	if _, all := kept(b, "[data-save=class] button:nth-of-type(2)"); strings.Contains(all, "img") {
		t.Errorf("the export has names: %s", all)
	}
	looks(b, "class")

	// The program is killed; a point that is added meanwhile arrives when it is back.
	b.quiet.Store(true)
	stop()
	s.until("document.getElementById('line').textContent.includes('Not connected')")
	js[bool](s, `(async () => {
		const w = { lesson: 'length', key: 'while away', points: [{ x: [{ value: 0.6, u: 0.0005 }], y: { value: 89.28, u: 0.1 }, from: 'typed' }] };
		localStorage.setItem('pluckweigh points while away', JSON.stringify({ w, of: JSON.parse(localStorage.getItem('pluckweigh seat')) }));
		return true;
	})()`)
	s.do(chromedp.Navigate("about:blank"))
	_, _, again, same := teach(t, data, strings.TrimSuffix(strings.TrimPrefix(seats, "https://"), "/"))
	if again != seats || same != code {
		t.Fatalf("it is at %s by %s now", again, same)
	}
	s.do(chromedp.Navigate(seats))
	s.until("document.getElementById('line').textContent.includes('seat 1')")
	b.until("document.querySelectorAll('#class-points tbody tr').length === 8 && document.getElementById('class-points').textContent.includes('set aside: by the teacher')")
	js[bool](b, "const l = document.getElementById('class-lesson'); l.value = 'tension'; l.dispatchEvent(new Event('change', { bubbles: true })), true")
	s.until("document.getElementById('lesson').value === 'tension'")
}
