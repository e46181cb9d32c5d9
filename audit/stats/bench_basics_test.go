package stats

import (
	"math"
	"math/rand/v2"
	"testing"
)

// benchData is 100,000 movements in 2,500 cases of 40, as in
// testdata/bench_basics.R.
func benchData() (num, den []float64, cluster []int, success []bool) {
	r := rand.New(rand.NewPCG(1, 1))
	for c := range 2500 {
		shared := .2 * r.NormFloat64()
		for range 40 {
			d := math.Exp(.5 * r.NormFloat64())
			n := d * (.6 + shared + .3*r.NormFloat64())
			num, den, cluster, success = append(num, n), append(den, d), append(cluster, c), append(success, n > .5*d)
		}
	}
	return num, den, cluster, success
}

func BenchmarkRatio100k(b *testing.B) {
	num, den, cluster, _ := benchData()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := RatioOfSums(num, den, cluster, .95); err != nil {
			b.Fatal(err)
		}
	}
}

// Ids in any order cost two arrays, and sparse ones a map.
func BenchmarkRatio100kShuffled(b *testing.B) {
	num, den, cluster, _ := benchData()
	rand.New(rand.NewPCG(2, 2)).Shuffle(len(num), func(i, j int) {
		num[i], num[j] = num[j], num[i]
		den[i], den[j] = den[j], den[i]
		cluster[i], cluster[j] = cluster[j], cluster[i]
	})
	b.ReportAllocs()
	for b.Loop() {
		if _, err := RatioOfSums(num, den, cluster, .95); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkProportion100k(b *testing.B) {
	_, _, cluster, success := benchData()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ClusteredProportion(success, cluster, .95); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBootstrap2000(b *testing.B) {
	num, den, cluster, _ := benchData()
	for b.Loop() {
		if _, err := BootstrapRatioOfSums(num, den, cluster, .95, DefaultBootstrap()); err != nil {
			b.Fatal(err)
		}
	}
}

// One worker: what parallel running gains.
func BenchmarkBootstrap2000OneWorker(b *testing.B) {
	num, den, cluster, _ := benchData()
	s := DefaultBootstrap()
	s.Workers = 1
	for b.Loop() {
		if _, err := BootstrapRatioOfSums(num, den, cluster, .95, s); err != nil {
			b.Fatal(err)
		}
	}
}

// The fast path allocates nothing: a guard for the doc comment's promise.
func TestRatioAllocatesNothingWhereIdsAreSorted(t *testing.T) {
	num, den, cluster, success := benchData()
	if n := testing.AllocsPerRun(5, func() { _, _ = RatioOfSums(num, den, cluster, .95) }); n > 8 {
		t.Errorf("RatioOfSums allocates %v times; only small fixed things expected", n)
	}
	if n := testing.AllocsPerRun(5, func() { _, _ = ClusteredProportion(success, cluster, .95) }); n > 8 {
		t.Errorf("ClusteredProportion allocates %v times; one slice of cases expected", n)
	}
}
