package job_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"shortfall/cmd/job/left"
)

func TestLeft(t *testing.T) {
	for _, c := range []struct {
		elapsed   time.Duration
		done, all int
		want      string
	}{
		{time.Second, 50, 100, ""}, // over soon
		{3 * time.Second, 0, 100, ""},
		{3 * time.Second, 5, 0, ""},
		{4 * time.Second, 80, 100, "about a second left"},
		{4 * time.Second, 40, 100, "about 6 seconds left"},
		{4 * time.Second, 10, 100, "about 40 seconds left"}, // 36 s
		{6 * time.Second, 10, 110, "about a minute left"},
		{6 * time.Second, 10, 210, "about 2 minutes left"},
		{6 * time.Second, 100, 100, "about a second left"},
		{6 * time.Second, 101, 100, "about a second left"},
	} {
		assert.Equal(t, c.want, left.Counted(c.elapsed, c.done, c.all), "%v %d of %d", c.elapsed, c.done, c.all)
	}
	assert.Equal(t, "about 7 seconds left", left.AsBefore(3*time.Second, 10*time.Second))
	assert.Empty(t, left.AsBefore(11*time.Second, 10*time.Second), "longer than before: nobody knows")
	assert.Empty(t, left.AsBefore(0, time.Second))
}
