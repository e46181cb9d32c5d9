package page

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"sync"
	"time"

	"shortfall/cmd/job"
)

// task is one thing that takes time: reading a file, keeping its records, an audit.
type task struct {
	ID, Title string
	cancel    context.CancelFunc
	ctx       context.Context //nolint:containedctx // lives as long as the job
	do        func(context.Context, *task) error
	ended     chan struct{}

	mu        sync.Mutex
	step      string
	done, all int
	begun     bool
	since     time.Time     // when the step began
	start     time.Time     // when the task did
	before    time.Duration // a task of this title took the last time, 0 where none was done
	err       error
}

// stop ends the task: at once where it waits, at its next look at the context where it
// is under way.
func (j *task) stop() {
	j.cancel()
	j.mu.Lock()
	defer j.mu.Unlock()
	if !j.begun {
		j.begun, j.err = true, errStopped
		close(j.ended)
	}
}

// begin reports whether the task is still to be done.
func (j *task) begin() bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.begun {
		return false
	}
	j.begun, j.start, j.since = true, time.Now(), time.Now()
	return true
}

// at names the step that begins, done of all where that is known.
func (j *task) at(step string, done, all int) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.step != step || done < j.done {
		j.since = time.Now()
	}
	j.step, j.done, j.all = step, done, all
}

// jobState is what a page shows of a job.
type jobState struct {
	Step      string `json:"step"`
	Left      string `json:"left,omitempty"` // how long it still takes, "" where that cannot be told
	Done, All int
	Ended     bool   `json:"ended"`
	Error     string `json:"error,omitempty"`
}

// State of a task; nil is one that was not given yet.
func (j *task) State() jobState {
	if j == nil {
		return jobState{Step: "waiting for its turn"}
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	s := jobState{Step: j.step, Done: j.done, All: j.all, Left: j.left()}
	select {
	case <-j.ended:
		s.Ended = true
		if j.err != nil {
			s.Error = j.err.Error()
		}
	default:
	}
	return s
}

// left says how long the task still takes; the caller holds the lock.
func (j *task) left() string {
	switch {
	case !j.begun:
		return ""
	case j.before > 0:
		return job.LeftAsBefore(time.Since(j.start), j.before)
	}
	return job.Left(time.Since(j.since), j.done, j.all)
}

// failed is why the task ended without its result, nil where it did not.
func (j *task) failed() error {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.err
}

// within waits for the job for a moment and reports whether it ended.
func (j *task) within(d time.Duration) bool {
	select {
	case <-j.ended:
		return true
	case <-time.After(d):
		return false
	}
}

// queue does one job at a time, in the order in which they were given.
type queue struct {
	ctx  context.Context //nolint:containedctx // of the server: its end stops what is being done
	mu   sync.Mutex
	jobs map[string]*task
	took map[string]time.Duration // by title, of the last one that was done
	turn chan *task
	busy int
	wg   sync.WaitGroup
}

// mostWaiting jobs; a page that gives more is told to wait.
const mostWaiting = 200

var errBusy = errors.New("too much is waiting already; try again when some of it is done")

func newQueue(ctx context.Context) *queue {
	q := &queue{ctx: ctx, jobs: map[string]*task{}, took: map[string]time.Duration{}, turn: make(chan *task, mostWaiting)}
	q.wg.Go(q.work)
	return q
}

func (q *queue) work() {
	for {
		select {
		case <-q.ctx.Done():
			return
		case j := <-q.turn:
			q.run(j)
		}
	}
}

func (q *queue) run(j *task) {
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
		err = errStopped
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
func (q *queue) remember(title string, took time.Duration) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if len(q.took) > mostWaiting {
		clear(q.took)
	}
	q.took[title] = took
}

var errStopped = errors.New("stopped; nothing of it was kept")

// careful turns a panic into an error that holds no data.
func careful(j *task) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("internal error (%T); nothing was kept; please report it with the lines below\n%s", p, debug.Stack())
		}
	}()
	return j.do(j.ctx, j)
}

// put adds a job to the queue.
func (q *queue) put(title string, do func(context.Context, *task) error) (*task, error) {
	ctx, cancel := context.WithCancel(q.ctx)
	j := &task{ID: secret()[:16], Title: title, ctx: ctx, cancel: cancel, do: do, ended: make(chan struct{}), step: "waiting for its turn"}
	q.mu.Lock()
	defer q.mu.Unlock()
	select {
	case q.turn <- j:
	default:
		cancel()
		return nil, errBusy
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

func (q *queue) find(id string) *task {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.jobs[id]
}

// working reports that something is being done or waits.
func (q *queue) working() bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.busy > 0
}
