package lesson_test

import (
	"testing"

	"pluckweigh/lesson"
	"pluckweigh/lesson/lessontest"
)

// Sounds of strings that obey another law, and of pupils who do not tell what they did, are
// refused.
func TestOtherLawsAreRefusedFromSound(t *testing.T) {
	for id, of := range lessontest.Wrongly {
		t.Run(id, func(t *testing.T) {
			l, err := lesson.Named(id)
			if err != nil {
				t.Fatal(err)
			}
			all, g := of()
			o := l.Judge(heardOf(t, l, all), g)
			t.Log(o.Say)
			if o.Verdict != lesson.Contradicts {
				t.Errorf("%s: %s", o.Verdict, o.Say)
			}
		})
	}
}
