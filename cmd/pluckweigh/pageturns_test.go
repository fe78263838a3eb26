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
				turns.wait(i%3 == 0)
				most.Store(max(most.Load(), at.Add(1)))
				at.Add(-1)
				turns.done()
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
				turns.done()
			}()
			synctest.Wait()
		}
		come("later", false)
		come("soon", true)
		come("sooner yet", true)
		turns.done()
		synctest.Wait()
		if len(order) != 3 || order[0] != "soon" || order[1] != "sooner yet" || turns.free != 1 {
			t.Errorf("%v, %d free", order, turns.free)
		}
	})
}
