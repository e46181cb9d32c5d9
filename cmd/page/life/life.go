// Package life knows which windows of the page are open, and so when the program may end.
//
// Place in the pipeline: beside the handlers of cmd/page, which tell it what windows say.
package life

import (
	"context"
	"sync"
	"time"
)

// Life knows which windows are open. Each says now and then that it is there, and
// says so when it goes.
type Life struct {
	mu     sync.Mutex
	open   map[string]time.Time // when each was last heard of
	left   time.Time            // when the last one went
	ever   bool
	now    func() time.Time
	grace  time.Duration // after the last window said goodbye: a reload comes back
	silent time.Duration // without a word from any: a window that was frozen or killed
}

// Grace is how long the program stays once its last window said goodbye.
const Grace = 90 * time.Second

// New begins with no window; grace is how long it is waited for one that comes back.
func New(grace time.Duration) *Life {
	return &Life{open: map[string]time.Time{}, now: time.Now, grace: grace, silent: 45 * time.Minute}
}

// Here is told by a window that it is there.
func (l *Life) Here(window string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if len(l.open) < mostWindows || !l.open[window].IsZero() {
		l.open[window] = l.now()
	}
	l.ever = true
}

// mostWindows that are told apart.
const mostWindows = 200

// Gone is told by a window that it closes.
func (l *Life) Gone(window string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.open, window)
	l.left = l.now()
}

// over reports that nobody is there any more.
func (l *Life) over() bool {
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

// Watch calls end once nobody is there and nothing is being done.
func (l *Life) Watch(ctx context.Context, busy func() bool, end func()) {
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
