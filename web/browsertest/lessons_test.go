package browsertest

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"

	"pluckweigh/lesson"
	"pluckweigh/lesson/lessontest"
)

// Every lesson done on the page by its microphone, what is told being typed between the
// plucks: the law is agreed with, and each constant holds the truth. It takes some minutes.
func TestLessonsByMicrophone(t *testing.T) {
	if os.Getenv("PLUCKWEIGH_LESSONS") == "" {
		t.Skip("PLUCKWEIGH_LESSONS=1 plays all of them")
	}
	for id := range lessontest.Lessons(nil) {
		t.Run(id, func(t *testing.T) {
			c := lessontest.OneClass(id)
			l, err := lesson.Named(id)
			if err != nil {
				t.Fatal(err)
			}
			all := c.All()
			b := browse(t, takeOf(t, played(t, all)))
			b.do(chromedp.EmulateViewport(1200, 900), chromedp.Navigate(serve(t)+"#lessons?lesson="+id))
			b.until("document.querySelectorAll('#lesson option').length > 8 && document.getElementById('listen').getAttribute('aria-disabled') === 'false'")
			for i, g := range l.Givens {
				if v, told := c.Givens[g.Name]; told {
					b.enter(fmt.Sprintf("g%d", i), lessontest.Typed([]lesson.Axis{g}, []lesson.Value{v})[0])
				}
			}
			tell := func(s lessontest.Sounding) {
				for i, text := range lessontest.Typed(l.Asked(), s.X) {
					b.enter(fmt.Sprintf("x%d", i), text)
				}
			}
			tell(all[0])
			b.do(chromedp.Click("#listen"))
			points := func(n int) string {
				return fmt.Sprintf("document.querySelectorAll('#lesson-points tbody tr').length >= %d", n)
			}
			for i := range all[:len(all)-1] { // what comes next is typed while this one rings
				b.until(fmt.Sprintf("document.getElementById('told').textContent.startsWith('Pluck %d:') || %s", i+1, points(i+1)))
				tell(all[i+1])
			}
			want := max(len(all), len(all[0].Take.Plucks))
			if l.Many {
				want = l.Least
			}
			b.until(points(want))
			b.picture("by-microphone-" + id)
			o := outcomeKept(b)
			if len(o.Odd) == 1 { // as the page says, it is looked at and set aside
				t.Logf("point %d is set aside: %s %v", o.Odd[0]+1, o.Say, o.Doubts)
				b.do(chromedp.Click(fmt.Sprintf(`[aria-label="Set aside point %d"]`, o.Odd[0]+1)))
				b.until("document.getElementById('lesson-points').textContent.includes('set aside')")
				o = outcomeKept(b)
			}
			t.Log(o.Say)
			for _, w := range c.Wrong(o) {
				t.Error(w)
			}
		})
	}
}

func outcomeKept(b tab) lesson.Outcome {
	b.Helper()
	_, content := kept(b, "[data-save=lesson] button:nth-of-type(2)")
	var o struct{ Outcome lesson.Outcome }
	if err := json.Unmarshal([]byte(content), &o); err != nil {
		b.Fatal(err)
	}
	return o.Outcome
}

// played has soundings one after the other, each string damped at the end, with a pause in
// which the next numbers can be typed.
func played(t *testing.T, all []lessontest.Sounding) (x []float64) {
	t.Helper()
	for _, s := range all {
		s.Take.Rate = 44100
		s.Take.Damp = s.Take.Seconds - 0.1
		part, _, err := s.Take.Render()
		if err != nil {
			t.Fatal(err)
		}
		pause := slices.Repeat(part[:8820], 15) // of the noise before the pluck
		x = append(append(x, pause...), part...)
	}
	return append(x, x[:8820]...)
}
