package main

import (
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
)

// Never more are at it than may be, all come, and those that are waited for come first.
func TestTurns(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		turns := newTurns(2)
		var at, most atomic.Int32
		var all sync.WaitGroup
		for i := range 50 {
			all.Go(func() {
				soon := i%3 == 0
				mine := turns.ask(soon)
				<-mine.given
				most.Store(max(most.Load(), at.Add(1)))
				at.Add(-1)
				turns.done(mine)
			})
		}
		all.Wait()
		if most.Load() > 2 || turns.free != 2 {
			t.Errorf("%d at once, %d free", most.Load(), turns.free)
		}

		turns = newTurns(1)
		held := turns.ask(false)
		var order []string
		come := func(name string, soon bool) {
			go func() {
				mine := turns.ask(soon)
				<-mine.given
				order = append(order, name)
				turns.done(mine)
			}()
			synctest.Wait()
		}
		come("later", false)
		come("soon", true)
		come("sooner yet", true)
		turns.done(held)
		synctest.Wait()
		if len(order) != 3 || order[0] != "soon" || order[1] != "sooner yet" || turns.free != 1 {
			t.Errorf("%v, %d free", order, turns.free)
		}

		// What nobody waits for leaves a turn free, and too much of it is noticed.
		turns = newTurns(2)
		held = turns.ask(false)
		for range 2 * mostLater {
			if turns.crowded() {
				t.Errorf("%d wait, and that is too many", len(turns.later))
			}
			come("later", false)
		}
		if !turns.crowded() || len(order) != 3 {
			t.Errorf("%d wait, and %v came", len(turns.later), order)
		}
		come("soon", true)
		if len(order) != 4 || order[3] != "soon" {
			t.Errorf("%v", order)
		}
		// One of them is waited for by now.
		mine := turns.ask(false)
		turns.hurry(mine)
		<-mine.given
		turns.done(mine)
		turns.done(held)
		synctest.Wait()
		if turns.crowded() || turns.free != 2 || turns.spare != 1 {
			t.Errorf("%d free, %d to spare", turns.free, turns.spare)
		}
	})
}
