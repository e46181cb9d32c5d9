package page

import (
	"context"
	"sync"
	"time"
)

// life knows which windows are open. Each says now and then that it is there, and
// says so when it goes.
type life struct {
	mu     sync.Mutex
	open   map[string]time.Time // when each was last heard of
	left   time.Time            // when the last one went
	ever   bool
	now    func() time.Time
	grace  time.Duration // after the last window said goodbye: a reload comes back
	silent time.Duration // without a word from any: a window that was frozen or killed
}

func newLife() *life {
	return &life{open: map[string]time.Time{}, now: time.Now, grace: 90 * time.Second, silent: 45 * time.Minute}
}

func (l *life) here(window string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if len(l.open) < mostWindows || !l.open[window].IsZero() {
		l.open[window] = l.now()
	}
	l.ever = true
}

// mostWindows that are told apart.
const mostWindows = 200

func (l *life) gone(window string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.open, window)
	l.left = l.now()
}

// over reports that nobody is there any more.
func (l *life) over() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	now := l.now()
	for w, at := range l.open {
		if now.Sub(at) > l.silent {
			delete(l.open, w)
			l.left = now
		}
	}
	return l.ever && len(l.open) == 0 && now.Sub(l.left) > l.grace
}

// watch calls end once nobody is there and nothing is being done.
func (l *life) watch(ctx context.Context, busy func() bool, end func()) {
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			if l.over() && !busy() {
				end()
				return
			}
		}
	}
}
