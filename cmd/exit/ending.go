package exit

import (
	"context"
	"sync"
)

// Ending is how a run ends: with its outputs in place, or interrupted before that and
// without them. Whichever comes first holds. The zero Ending is open.
type Ending struct {
	mu       sync.Mutex
	finished bool
}

// Finish lets place put the outputs of the run in place, all of them, unless the context
// was cancelled before. Where place succeeds nothing interrupts the run any more: what is
// left is to say what was written.
func (e *Ending) Finish(ctx context.Context, place func() error) error {
	e.mu.Lock()
	defer e.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return err
	}
	err := place()
	e.finished = err == nil
	return err
}

// Finished reports that the outputs stand. It waits while they are put in place.
func (e *Ending) Finished() bool {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.finished
}
