package between

import (
	"context"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/simulate"
	"shortfall/audit/stats/prop"
	"shortfall/ingest/casebook"
)

// TestDeclaredAfterSeeing: the direction that looked clearest by some month is declared
// in that month, in practices without any difference between styles. Judged on later
// courses it is called no more often than its level allows; judged on all of them it
// would be called far more often. The long form: SHORTFALL_PRACTICES=1000.
func TestDeclaredAfterSeeing(t *testing.T) {
	n := audittest.Everyday(6, 3)
	if v, err := strconv.Atoi(os.Getenv("SHORTFALL_PRACTICES")); err == nil {
		n = v
	}
	declared := casebook.NewMonth(2025, 6) // half of the courses have ended
	compareAll := func(ds *casebook.Dataset, s results.Settings) []results.Comparison {
		p, err := rows.Prepare(ds, s)
		require.NoError(t, err)
		cs, err := Comparisons(context.Background(), p)
		require.NoError(t, err)
		return cs
	}
	called, judged, naive := 0, 0, 0
	for seed := range uint64(n) {
		ds := simulate.New(120, 0.25, 0.3, 0).Make(seed + 1)
		early := *ds
		early.Movements = nil
		ended := map[casebook.CaseKey]bool{}
		for _, c := range ds.Cases {
			ended[c.Key()] = c.End <= declared
		}
		for _, m := range ds.Movements {
			if ended[m.Case] {
				early.Movements = append(early.Movements, m)
			}
		}
		var clearest results.Comparison
		least := math.Inf(1)
		for _, c := range compareAll(&early, results.DefaultSettings()) {
			if p := float64(c.Adjusted.P); c.By.WholeDirection() && p < least {
				clearest, least = c, p
			}
		}
		s := results.DefaultSettings()
		s.Primary, s.PrimaryDeclared = clearest.By, declared
		if c := compareAll(ds, s)[0]; c.Verdict != results.NotComparable {
			judged++
			if c.Verdict != results.NotDistinguishable {
				called++
			}
		}
		if least < 0.05 {
			naive++
		}
	}
	t.Logf("%d practices: judged %d, called %d; by the records that suggested it %d", n, judged, called, naive)
	assert.Greater(t, judged, n*9/10)
	assert.LessOrEqual(t, prop.Wilson(called, n, 0.95).Low, 0.05)
}
