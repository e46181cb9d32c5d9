// Package queue does what takes time, one task after another, and says how far each is.
//
// Place in the pipeline: below cmd/page, whose requests put tasks and show their state; it
// knows neither.
package queue

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"runtime/debug"
	"sync"
	"time"
)

// Queue does one job at a time, in the order in which they were given.
type Queue struct {
	ctx  context.Context //nolint:containedctx // of the server: its end stops what is being done
	mu   sync.Mutex
	jobs map[string]*Task
	took map[string]time.Duration // by title, of the last one that was done
	turn chan *Task
	busy int
	wg   sync.WaitGroup
}

// mostWaiting jobs; a page that gives more is told to wait.
const mostWaiting = 200

// ErrBusy is given where too many tasks wait.
var ErrBusy = errors.New("too much is waiting already; try again when some of it is done")

// New begins a queue; the end of the context stops it, and what is being done.
func New(ctx context.Context) *Queue {
	q := &Queue{ctx: ctx, jobs: map[string]*Task{}, took: map[string]time.Duration{}, turn: make(chan *Task, mostWaiting)}
	q.wg.Go(q.work)
	return q
}

// Wait until the queue has ended with its context.
func (q *Queue) Wait() { q.wg.Wait() }

func (q *Queue) work() {
	for {
		select {
		case <-q.ctx.Done():
			return
		case j := <-q.turn:
			q.run(j)
		}
	}
}

func (q *Queue) run(j *Task) {
	defer func() {
		q.mu.Lock()
		q.busy--
		q.mu.Unlock()
	}()
	if !j.begin() {
		return // stopped while it waited
	}
	err := j.ctx.Err()
	if err == nil {
		err = careful(j)
	}
	j.cancel()
	if errors.Is(err, context.Canceled) {
		err = ErrStopped
	}
	j.mu.Lock()
	j.err = err
	took := time.Since(j.start)
	j.mu.Unlock()
	if err == nil {
		q.remember(j.Title, took)
	}
	close(j.ended)
}

// remember how long a task took; of very many titles the oldest are no loss.
func (q *Queue) remember(title string, took time.Duration) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if len(q.took) > mostWaiting {
		clear(q.took)
	}
	q.took[title] = took
}

// ErrStopped is why a task ended that was stopped.
var ErrStopped = errors.New("stopped; nothing of it was kept")

// careful turns a panic into an error that holds no data.
func careful(j *Task) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("internal error (%T); nothing was kept; please report it with the lines below\n%s", p, debug.Stack())
		}
	}()
	return j.do(j.ctx, j)
}

// Put adds a job to the queue.
func (q *Queue) Put(title string, do func(context.Context, *Task) error) (*Task, error) {
	ctx, cancel := context.WithCancel(q.ctx)
	j := &Task{ID: rand.Text(), Title: title, ctx: ctx, cancel: cancel, do: do, ended: make(chan struct{}), step: "waiting for its turn"}
	q.mu.Lock()
	defer q.mu.Unlock()
	select {
	case q.turn <- j:
	default:
		cancel()
		return nil, ErrBusy
	}
	j.before = q.took[title]
	q.busy++
	for id, old := range q.jobs {
		if len(q.jobs) > mostWaiting && old.State().Ended {
			delete(q.jobs, id)
		}
	}
	q.jobs[j.ID] = j
	return j, nil
}

// Find gives a task by its id, nil where there is none.
func (q *Queue) Find(id string) *Task {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.jobs[id]
}

// Working reports that something is being done or waits.
func (q *Queue) Working() bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.busy > 0
}
