package queue

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// How long a task still takes is said once it has taken two seconds.
func TestTimeLeft(t *testing.T) {
	j := &Task{begun: true, start: time.Now().Add(-4 * time.Second), since: time.Now().Add(-4 * time.Second), done: 10, all: 100, ended: make(chan struct{})}
	assert.Equal(t, "about 40 seconds left", j.State().Left)
	j.all, j.before = 0, 11*time.Second
	assert.Regexp(t, `about [67] seconds left`, j.State().Left, "by the last time")
	q := New(t.Context())
	run := func() *Task {
		j, err := q.Put("a title", func(context.Context, *Task) error { return nil })
		require.NoError(t, err)
		<-j.ended
		return j
	}
	assert.Zero(t, run().before)
	assert.Positive(t, run().before)
}
