package audit

import (
	"testing"

	"shortfall/sampledata"
)

// BenchmarkGrid is the expression grid and the style comparisons alone, of
// 5,000 cases with about 200,000 movements.
func BenchmarkGrid(b *testing.B) {
	p := sampledata.Default()
	p.Cases, p.Extent = 5000, 0.5
	ds, _ := sampledata.Generate(p, 1)
	b.ReportAllocs()
	for b.Loop() {
		grid(b, ds)
	}
	b.ReportMetric(float64(len(ds.Movements))*float64(b.N)/b.Elapsed().Seconds(), "movements/s")
}
