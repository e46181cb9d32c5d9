package page

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"sync"
	"time"
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
	j.begun = true
	return true
}

// at names the step that begins, done of all where that is known.
func (j *task) at(step string, done, all int) {
	j.mu.Lock()
	defer j.mu.Unlock()
	j.step, j.done, j.all = step, done, all
}

// jobState is what a page shows of a job.
type jobState struct {
	Step      string `json:"step"`
	Done, All int
	Ended     bool   `json:"ended"`
	Error     string `json:"error,omitempty"`
}

func (j *task) State() jobState {
	j.mu.Lock()
	defer j.mu.Unlock()
	s := jobState{Step: j.step, Done: j.done, All: j.all}
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
	turn chan *task
	busy int
	wg   sync.WaitGroup
}

// mostWaiting jobs; a page that gives more is told to wait.
const mostWaiting = 200

var errBusy = errors.New("too much is waiting already; try again when some of it is done")

func newQueue(ctx context.Context) *queue {
	q := &queue{ctx: ctx, jobs: map[string]*task{}, turn: make(chan *task, mostWaiting)}
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
	j.mu.Unlock()
	close(j.ended)
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
