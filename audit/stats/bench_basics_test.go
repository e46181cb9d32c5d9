package stats_test

import (
	"testing"

	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/prop"
	"shortfall/audit/stats/robust"
)

// The fast path allocates nothing: a guard for the doc comment's promise.
func TestRatioAllocatesNothingWhereIdsAreSorted(t *testing.T) {
	num, den, cluster, success := statstest.BenchData()
	if n := testing.AllocsPerRun(5, func() { _, _ = robust.RatioOfSums(num, den, cluster, .95) }); n > 8 {
		t.Errorf("RatioOfSums allocates %v times; only small fixed things expected", n)
	}
	if n := testing.AllocsPerRun(5, func() { _, _ = prop.ClusteredProportion(success, cluster, .95) }); n > 8 {
		t.Errorf("ClusteredProportion allocates %v times; one slice of cases expected", n)
	}
}
