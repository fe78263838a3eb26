// Package parallel has work on many strings done at once.
package parallel

import (
	"runtime"
	"sync"
)

// Do has n pieces of work done, in as many runs of them as there are
// processors.
func Do(n int, do func(from, to int)) {
	runs := min(runtime.GOMAXPROCS(0), n)
	var all sync.WaitGroup
	for i := range runs {
		all.Go(func() { do(i*n/runs, (i+1)*n/runs) })
	}
	all.Wait()
}
