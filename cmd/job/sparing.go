package job

import (
	"os"
	"runtime/debug"
	"runtime/metrics"
	"sync"
	"sync/atomic"
	"time"
)

// largeFiles are those, in bytes together, from which memory is collected more often.
const largeFiles = 24 << 20

// By how much, in hundredths, memory may grow at least before it is collected, while large
// files are read and, once their cells are gone, while their records are kept.
const (
	whileReading = 20
	whileKeeping = 50
)

// roomy is up to how many bytes memory may grow in any case: where less is in use it is
// collected less often, and no more than doubled at a time.
const roomy = 400 << 20

// Sparing collects memory sooner while large files are read and kept, until end is called:
// a workbook of a million movements (50 MB) takes 0.5 GB so and not 0.8.
func Sparing(paths ...string) (end func()) { return collected(whileReading, paths) }

// Keeping is Sparing for the part in which records are kept: they take less than the cells
// and records before, so that less sparing does.
func Keeping(paths ...string) (end func()) { return collected(whileKeeping, paths) }

func collected(least int, paths []string) (end func()) {
	bytes := int64(0)
	for _, path := range paths {
		if info, err := os.Stat(path); err == nil {
			bytes += info.Size()
		}
	}
	if bytes < largeFiles {
		return func() {}
	}
	return memory.spare(least)
}

// memory is how it is collected; what is spared within something else goes before it.
var memory spared

type spared struct {
	sync.Mutex
	users, before int
	stop, stopped chan struct{}
	least         atomic.Int64
}

func (m *spared) spare(least int) (end func()) {
	m.Lock()
	defer m.Unlock()
	outer := m.least.Swap(int64(least))
	if m.users++; m.users == 1 {
		m.before = debug.SetGCPercent(least)
		m.stop, m.stopped = make(chan struct{}), make(chan struct{})
		go m.pace(m.stop, m.stopped)
	}
	return func() { m.end(outer) }
}

func (m *spared) end(outer int64) {
	m.Lock()
	defer m.Unlock()
	m.least.Store(outer)
	if m.users--; m.users == 0 {
		close(m.stop)
		<-m.stopped
		debug.SetGCPercent(m.before)
	}
}

// pace sets the growth by what is in use, time and again.
func (m *spared) pace(stop <-chan struct{}, stopped chan<- struct{}) {
	defer close(stopped)
	live, last := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}, 0
	for {
		select {
		case <-stop:
			return
		case <-time.After(20 * time.Millisecond):
		}
		metrics.Read(live)
		if p := growth(live[0].Value.Uint64(), int(m.least.Load())); p != last {
			debug.SetGCPercent(p)
			last = p
		}
	}
}

// growth is by how much, in hundredths and steps of five, what is in use may grow.
func growth(live uint64, least int) int {
	if live == 0 {
		return least
	}
	room := int(100*roomy/live) - 100
	return min(max(room-room%5, least), max(100, least))
}
