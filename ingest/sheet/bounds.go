package sheet

import (
	"context"
	"errors"
	"runtime/metrics"
	"time"
)

// errMemory is the cause of a context that ended because reading took too much
// memory.
var errMemory = errors.New("the memory allowed for the file ran out")

// heapMetric is the memory of live and not yet swept objects, bytes.
const heapMetric = "/memory/classes/heap/objects:bytes"

// bounded ends the context of one file after l.Time, or when the heap has grown
// by l.MemoryBytes since the file was begun. The counts of rows, cells and
// bytes are the first line of defence; this is the second, for what they did
// not foresee.
func bounded(ctx context.Context, l Limits) (context.Context, context.CancelFunc) {
	ctx, stopTime := context.WithTimeout(ctx, l.Time)
	ctx, cancel := context.WithCancelCause(ctx)
	allowed := heapInUse() + uint64(l.MemoryBytes)
	go func() {
		tick := time.NewTicker(20 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-ctx.Done():
				return
			case <-tick.C:
				if heapInUse() > allowed {
					cancel(errMemory)
					return
				}
			}
		}
	}()
	return ctx, func() { cancel(nil); stopTime() }
}

func heapInUse() uint64 {
	s := []metrics.Sample{{Name: heapMetric}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}

// ended gives the cause in place of the bare end of a context.
func ended(ctx context.Context, err error) error {
	if err != nil && errors.Is(context.Cause(ctx), errMemory) {
		return errMemory
	}
	return err
}
