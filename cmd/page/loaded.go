package page

import (
	"context"
	"fmt"
	"os"
	"time"

	"shortfall/ingest/casebook"
)

// records are those of a practice as they were loaded.
type records struct {
	stamp string
	until time.Time
	ds    *casebook.Dataset
}

func good(until time.Time) bool { return until.IsZero() || time.Now().Before(until) }

// load gives the records, those read last where they have not changed.
func (p *practice) load(ctx context.Context) (*records, error) {
	p.mu.Lock()
	held := p.records
	p.mu.Unlock()
	stamp, settled, err := p.stamp()
	if err != nil {
		return nil, err
	}
	if held != nil && held.stamp == stamp && good(held.until) {
		return held, nil
	}
	ds, err := p.db.Load(ctx)
	if err != nil {
		return nil, err
	}
	fresh := &records{stamp: stamp, ds: ds}
	if !settled {
		fresh.until = time.Now().Add(coarsest)
	}
	p.mu.Lock()
	p.records = fresh
	p.mu.Unlock()
	return fresh, nil
}

// stamp tells states of the records apart without opening the file, which would
// drop SQLite's locks: its size and the time it was written. settled is false where
// that time is so recent that another change could bear it too.
func (p *practice) stamp() (stamp string, settled bool, err error) {
	info, err := os.Stat(p.Path)
	if err != nil {
		return "", false, err
	}
	return fmt.Sprintf("%d %d", info.Size(), info.ModTime().UnixNano()), time.Since(info.ModTime()) > coarsest, nil
}

// coarsest step of the times of files: two seconds on FAT (common knowledge, no source).
const coarsest = 2 * time.Second
