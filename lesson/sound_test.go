package lesson_test

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"pluckweigh/audio/synth"
	"pluckweigh/detect"
	"pluckweigh/lesson"
	"pluckweigh/lesson/lessontest"
)

// heardOf hears takes and makes points of them.
func heardOf(t *testing.T, l *lesson.Lesson, all []lessontest.Sounding) (points []lesson.Point) {
	t.Helper()
	for _, s := range all {
		x, _, err := s.Take.Render()
		if err != nil {
			t.Fatal(err)
		}
		var take detect.Take
		if l.Clip {
			take, err = detect.AnalyzeLoaded(x, s.Take.Rate, detect.Mass{}, detect.Options{})
		} else {
			take, err = detect.Analyze(x, s.Take.Rate, detect.Options{})
		}
		if err != nil {
			t.Fatal(err)
		}
		more, err := l.Hear(s.X, take, "take")
		if err != nil {
			t.Fatalf("%v: %v", s.X, err)
		}
		points = append(points, more...)
	}
	return points
}

// soundings is how many classes are played of each lesson; 0 where nobody says.
func soundings(t *testing.T) int {
	s := os.Getenv("PLUCKWEIGH_SOUNDINGS")
	if s == "" {
		return 0
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 {
		t.Fatalf("PLUCKWEIGH_SOUNDINGS=%s is no number of classes", s)
	}
	return n
}

// Every lesson from sound whose truth is known, as many classes do it, which differ in noise
// and in where the string is plucked: the 95 % hold the truth about as often. One class of
// each is heard by the command, which has the same test.
func TestLessonsFromSound(t *testing.T) {
	n := soundings(t)
	if n == 0 {
		t.Skip("PLUCKWEIGH_SOUNDINGS says how many classes")
	}
	for id := range lessontest.Lessons(nil) {
		t.Run(id, func(t *testing.T) {
			l, err := lesson.Named(id)
			if err != nil {
				t.Fatal(err)
			}
			held, verdicts := map[string]int{}, map[lesson.Verdict]int{}
			var c lessontest.Lesson
			for run := range n {
				random := rand.New(rand.NewPCG(13, uint64(17+run)))
				c = lessontest.Lessons(random)[id]
				all := c.All()
				for i := range all {
					all[i].Take.Seed += 1000 * uint64(run)
					if run == 0 {
						continue
					}
					all[i].Take.Noise = []synth.Noise{{DB: 20 + 25*random.Float64()}}
					if id != "pluck" {
						all[i].Take.Plucks[0].Point = 0.08 + 0.2*random.Float64()
					}
				}
				o := l.Judge(heardOf(t, l, all), c.Givens)
				verdicts[o.Verdict]++
				if o.Verdict == lesson.Contradicts {
					t.Log(run, o.Say)
				}
				if run == 0 {
					t.Log(o.Say, o.Next, o.Doubts)
					if o.Verdict != lesson.Agrees {
						t.Errorf("%s: %s %v", o.Verdict, o.Say, o.Next)
					}
				}
				for _, f := range o.Findings {
					truth, known := c.Truth[f.Symbol]
					if !known {
						continue
					}
					if f.Low <= truth && truth <= f.High {
						held[f.Symbol]++
					}
					if !lessontest.Holds(f, truth) {
						t.Logf("run %d: %s %s, and is %v", run, f.Name, f.Text(), truth)
					}
				}
			}
			t.Log(verdicts)
			for symbol := range c.Truth {
				rate := float64(held[symbol]) / float64(n)
				t.Logf("%s: within 95 %% in %.1f %% of %d", symbol, 100*rate, n)
				if se := math.Sqrt(0.95 * 0.05 / float64(n)); n > 1 && rate < 0.93-3*se {
					t.Errorf("%s: within 95 %% in %.1f %% of %d", symbol, 100*rate, n)
				}
			}
		})
	}
}
