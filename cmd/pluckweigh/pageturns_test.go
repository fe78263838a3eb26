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
				turns.wait(soon)
				most.Store(max(most.Load(), at.Add(1)))
				at.Add(-1)
				turns.done(soon)
			})
		}
		all.Wait()
		if most.Load() > 2 || turns.free != 2 {
			t.Errorf("%d at once, %d free", most.Load(), turns.free)
		}

		turns = newTurns(1)
		turns.wait(false)
		var order []string
		come := func(name string, soon bool) {
			go func() {
				turns.wait(soon)
				order = append(order, name)
				turns.done(soon)
			}()
			synctest.Wait()
		}
		come("later", false)
		come("soon", true)
		come("sooner yet", true)
		turns.done(false)
		synctest.Wait()
		if len(order) != 3 || order[0] != "soon" || order[1] != "sooner yet" || turns.free != 1 {
			t.Errorf("%v, %d free", order, turns.free)
		}

		// What nobody waits for leaves a turn free, and too much of it is noticed.
		turns = newTurns(2)
		turns.wait(false)
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
		turns.done(false)
		synctest.Wait()
		if turns.crowded() || turns.free != 2 || turns.spare != 1 {
			t.Errorf("%d free, %d to spare", turns.free, turns.spare)
		}
	})
}
