package audit_test

import (
	"context"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/ask"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// large is a dataset of 5,000 cases and about 200,000 movements.
func large(b *testing.B) *casebook.Dataset {
	b.Helper()
	p := sampledata.Default()
	p.Cases, p.Extent = 5000, 0.5
	ds, _ := sampledata.Generate(p, 1)
	require.InDelta(b, 200_000, len(ds.Movements), 20_000)
	return ds
}

func BenchmarkRun(b *testing.B) {
	ds := large(b)
	b.ReportAllocs()
	for b.Loop() {
		_, err := audit.Run(context.Background(), ds, results.DefaultSettings(), "bench")
		require.NoError(b, err)
	}
	b.ReportMetric(float64(len(ds.Movements))*float64(b.N)/b.Elapsed().Seconds(), "movements/s")
}

// BenchmarkRunOneProcessor holds what sharing the cells out over the
// processors gains.
func BenchmarkRunOneProcessor(b *testing.B) {
	ds := large(b)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	for b.Loop() {
		_, err := audit.Run(context.Background(), ds, results.DefaultSettings(), "bench")
		require.NoError(b, err)
	}
}

// BenchmarkSmallCount looks through the results of the sample for small numbers of cases.
func BenchmarkSmallCount(b *testing.B) {
	r, err := audit.OfSample()
	require.NoError(b, err)
	for b.Loop() {
		ask.SmallCount(r.Questions, 1, nil)
	}
}

// BenchmarkQuestions holds what each question costs, for its Share.
func BenchmarkQuestions(b *testing.B) {
	p, err := rows.Prepare(large(b), results.DefaultSettings())
	require.NoError(b, err)
	r := &results.Results{}
	for _, q := range audit.Questions() {
		b.Run(q.ID, func(b *testing.B) {
			for b.Loop() {
				require.NoError(b, q.Answer(context.Background(), p, r))
			}
		})
	}
}
