package stats_test

import (
	"testing"

	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/prop"
	"shortfall/audit/stats/resample"
	"shortfall/audit/stats/robust"
)

func BenchmarkBootstrap2000(b *testing.B) {
	num, den, cluster, _ := statstest.BenchData()
	for b.Loop() {
		if _, err := robust.BootstrapRatioOfSums(num, den, cluster, .95, resample.DefaultBootstrap()); err != nil {
			b.Fatal(err)
		}
	}
}

// One worker: what parallel running gains.
func BenchmarkBootstrap2000OneWorker(b *testing.B) {
	num, den, cluster, _ := statstest.BenchData()
	s := resample.DefaultBootstrap()
	s.Workers = 1
	for b.Loop() {
		if _, err := robust.BootstrapRatioOfSums(num, den, cluster, .95, s); err != nil {
			b.Fatal(err)
		}
	}
}

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
