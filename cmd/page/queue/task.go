package queue

import (
	"context"
	"sync"
	"time"

	"shortfall/cmd/job/left"
)

// Task is one thing that takes time: reading a file, keeping its records, an audit.
type Task struct {
	ID, Title string
	cancel    context.CancelFunc
	ctx       context.Context //nolint:containedctx // lives as long as the job
	do        func(context.Context, *Task) error
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

// Stop ends the task: at once where it waits, at its next look at the context where it
// is under way.
func (j *Task) Stop() {
	j.cancel()
	j.mu.Lock()
	defer j.mu.Unlock()
	if !j.begun {
		j.begun, j.err = true, ErrStopped
		close(j.ended)
	}
}

// begin reports whether the task is still to be done.
func (j *Task) begin() bool {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.begun {
		return false
	}
	j.begun, j.start, j.since = true, time.Now(), time.Now()
	return true
}

// At names the step that begins, done of all where that is known.
func (j *Task) At(step string, done, all int) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.step != step || done < j.done {
		j.since = time.Now()
	}
	j.step, j.done, j.all = step, done, all
}

// State is what a page shows of a job.
type State struct {
	Step      string `json:"step"`
	Left      string `json:"left,omitempty"` // how long it still takes, "" where that cannot be told
	Done, All int
	Ended     bool   `json:"ended"`
	Error     string `json:"error,omitempty"`
}

// State of a task; nil is one that was not given yet.
func (j *Task) State() State {
	if j == nil {
		return State{Step: "waiting for its turn"}
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	s := State{Step: j.step, Done: j.done, All: j.all, Left: j.left()}
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
func (j *Task) left() string {
	switch {
	case !j.begun:
		return ""
	case j.before > 0:
		return left.AsBefore(time.Since(j.start), j.before)
	}
	return left.Counted(time.Since(j.since), j.done, j.all)
}

// Failed is why the task ended without its result, nil where it did not.
func (j *Task) Failed() error {
	j.mu.Lock()
	defer j.mu.Unlock()
	return j.err
}

// Within waits for the job for a moment and reports whether it ended.
func (j *Task) Within(d time.Duration) bool {
	select {
	case <-j.ended:
		return true
	case <-time.After(d):
		return false
	}
}
