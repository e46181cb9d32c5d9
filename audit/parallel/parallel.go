// Package parallel shares independent tasks out over the processors.
//
// Place in the pipeline: audit uses it for the questions, the cells of the grid and
// the comparisons; results are put back in order, so they do not depend on it.
package parallel

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// helpers are the goroutines at work besides those that called Do.
var helpers atomic.Int64

// Do runs tasks 0 to n-1, in the goroutine that calls it and in helpers as long as
// processors are free; worker makes one goroutine's task function with its own
// scratch. Tasks may call Do themselves: all calls share the processors, so that hardly
// more tasks, with their memory, are under way than can run (one that waited goes on
// beside whom it let in). After the end of ctx no task is begun, and its error is
// returned. See BenchmarkNested.
func Do(ctx context.Context, n int, worker func() func(task int)) error {
	var next, finished atomic.Int64
	var wg sync.WaitGroup
	told, _ := ctx.Value(toldKey{}).(func(done, all int))
	var work func()
	work = func() {
		var do func(int)
		for ctx.Err() == nil {
			i := int(next.Add(1)) - 1
			if i >= n {
				return
			}
			if i+1 < n && hire() {
				wg.Go(func() {
					defer helpers.Add(-1)
					work()
				})
			}
			if do == nil {
				do = worker()
			}
			do(i)
			if told != nil {
				told(int(finished.Add(1)), n)
			}
		}
	}
	work()
	helpers.Add(-1) // who waits leaves a processor to others
	wg.Wait()
	helpers.Add(1)
	return ctx.Err()
}

type toldKey struct{}

// Told gives a context whose Do tells, after each task and from several goroutines,
// how many are done; nil: it tells nobody.
func Told(ctx context.Context, told func(done, all int)) context.Context {
	return context.WithValue(ctx, toldKey{}, told)
}

// hire takes a processor, if one is free.
func hire() bool {
	if helpers.Add(1) < int64(runtime.GOMAXPROCS(0)) {
		return true
	}
	helpers.Add(-1)
	return false
}
