package ask_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/attachment"
	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestNotRecordedIsNotNone: a tooth of which the sheet does not say whether it had an
// attachment is on neither side, and is counted.
func TestNotRecordedIsNotNone(t *testing.T) {
	var b audittest.Build
	for i := range 12 {
		for k, style := range []casebook.Style{audittest.Soft, audittest.Clin, casebook.StyleNone, casebook.StyleNone, casebook.NoStyle} {
			share := 0.5 + 0.01*float64((3*i+k)%7)
			if style == casebook.NoStyle {
				share = 0.95
			}
			planned := 8 + float64((i+2*k)%5)
			b.Add(fmt.Sprintf("c%02d", i), 1, casebook.Tooth(11+k), casebook.Rotation, planned, planned*share, style)
		}
	}
	a := attachment.Answer(context.Background(), b.Prepare(t, results.DefaultSettings()))
	assert.Equal(t, 12, a.NotRecorded)
	require.Len(t, a.Comparisons, 1)
	c := a.Comparisons[0]
	assert.Equal(t, [2]int{24, 24}, [2]int{c.Group.Movements, c.Reference.Movements})
	assert.Less(t, float64(c.Reference.Expression), 0.6)
}
