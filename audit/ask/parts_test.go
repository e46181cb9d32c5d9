package ask

import (
	"context"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/parallel"
	"shortfall/audit/results"
	"shortfall/audit/rows"
)

// What is done is told by the shares of the questions and of their parts, never less
// than before, and is all at the end.
func TestAnswersTellHowMuchIsDone(t *testing.T) {
	quick := func(context.Context, *rows.Set, *results.Results) error { return nil }
	long := func(ctx context.Context, _ *rows.Set, _ *results.Results) error {
		for range 2 { // in two rounds
			if err := parallel.Do(ctx, 10, func() func(int) { return func(int) {} }); err != nil {
				return err
			}
		}
		return nil
	}
	var mu sync.Mutex
	var told []int
	ctx := Between(Told(context.Background(), func(done, all int) {
		mu.Lock()
		defer mu.Unlock()
		assert.Equal(t, 100*finest, all)
		told = append(told, done)
	}), 20, 60)
	require.NoError(t, Answers(ctx, &rows.Set{}, &results.Results{}, []Question{{Answer: long, Share: 9}, {Answer: quick}}))
	assert.IsNonDecreasing(t, told)
	assert.Equal(t, 60*finest, told[len(told)-1])
	assert.Greater(t, told[0], 20*finest)
	assert.Equal(t, context.Background(), Between(context.Background(), 0, 50), "nobody asks")
	assert.GreaterOrEqual(t, len(told), 12)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	require.ErrorIs(t, Answers(ctx, &rows.Set{}, &results.Results{}, []Question{{Answer: long}}), context.Canceled)
}
