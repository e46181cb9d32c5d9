package grid

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/sampledata"
)

// TestNoShareOfFewLeavesThePractice: in cells that are shown, no share outside tolerance is
// of fewer than five cases, counted here row by row, none counts fewer than five of cases
// with one movement each, and no line of sums lays one open that is kept back.
func TestNoShareOfFewLeavesThePractice(t *testing.T) {
	for _, cases := range []int{12, 30, 90} {
		params := sampledata.Default()
		params.Cases = cases
		ds, _ := sampledata.Generate(params, uint64(cases))
		p, err := rows.Prepare(ds, results.DefaultSettings())
		require.NoError(t, err)
		open, err := Expression(context.Background(), p)
		require.NoError(t, err)
		cells := append([]results.Cell{}, open...)
		Withhold(p, cells)
		back, shown := 0, 0
		for i := range cells {
			c, o := &cells[i], cells[i].OutsideTolerance
			assert.False(t, c.SmallPlans.OK() || c.SmallOutside.OK(), "withheld, and not none")
			if c.Suppressed {
				continue
			}
			if o.Denominator == 0 {
				back += open[i].OutsideTolerance.Denominator
				continue
			}
			shown++
			judged := map[int]bool{}
			for j := range p.Analysed {
				if r := &p.Analysed[j]; rows.Holds(c.By, r) && r.Judged(&p.Settings) {
					judged[r.Cluster] = true
				}
			}
			assert.GreaterOrEqual(t, len(judged), 5, c.By)
			if len(judged) == o.Denominator && o.Numerator > 0 && o.Numerator < o.Denominator {
				assert.GreaterOrEqual(t, min(o.Numerator, o.Denominator-o.Numerator), 5, c.By)
			}
		}
		assert.Positive(t, back, "the test tests nothing")
		assert.Positive(t, shown, "%d cases", cases)
	}
}
