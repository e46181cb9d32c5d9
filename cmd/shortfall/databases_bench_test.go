package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/grid"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/postgres"
	"shortfall/ingest/store/postgres/fleet/fleettest"
	"shortfall/ingest/store/postgres/pgtest"
	"shortfall/ingest/store/sqlite"
	"shortfall/sampledata"
)

var movements = flag.Int("movements", 20_000, "about how many movements the databases of the benchmark hold")

// perCase is how many movements a case of the benchmark has, about.
const perCase = 41

// place is where records of the benchmark are kept.
type place struct {
	name string
	open func(b *testing.B) (store.Store, func() int64) // new and empty; and its bytes on disk
}

// BenchmarkDatabases sets a file beside one server and three: import of one file, which
// is durable, the sums of all cases, all records read, and the whole audit.
func BenchmarkDatabases(b *testing.B) {
	batch := generatedBatch(*movements)
	for _, p := range []place{{"file", openFile}, {"server", openServer}, {"fleet", openFleet}} {
		db, size := p.open(b)
		ctx, s := context.Background(), results.DefaultSettings()
		per := func(b *testing.B) { b.ReportMetric(b.Elapsed().Seconds()/float64(b.N), "s") }
		start := time.Now() // an empty database is met once only
		_, err := db.Import(ctx, batch, store.Choices{})
		require.NoError(b, err)
		imported := time.Since(start)
		b.Run(p.name+"/import", func(b *testing.B) {
			b.ReportMetric(imported.Seconds(), "s")
			b.ReportMetric(float64(size())/float64(len(batch.Movements)), "bytes/movement")
		})
		b.Run(p.name+"/sums", func(b *testing.B) {
			of := grid.SumsOf(&s)
			of.AllTeeth = true
			n := 0
			for b.Loop() {
				sums, err := db.Sums(ctx, of)
				require.NoError(b, err)
				n = len(sums.Cases)
			}
			per(b)
			b.ReportMetric(float64(n)/float64(len(batch.Movements)), "sums/movement")
		})
		b.Run(p.name+"/load", func(b *testing.B) {
			for b.Loop() {
				_, err := db.Load(ctx)
				require.NoError(b, err)
			}
			per(b)
		})
		b.Run(p.name+"/audit", func(b *testing.B) {
			for b.Loop() {
				ds, err := db.Load(ctx)
				require.NoError(b, err)
				_, err = audit.Run(ctx, ds, s, "bench")
				require.NoError(b, err)
			}
			per(b)
		})
	}
}

// generatedBatch is a file of about so many movements with original rows.
func generatedBatch(movements int) *casebook.Batch {
	p := sampledata.Default()
	p.Cases, p.Extent = max(movements/perCase, 1), 0.5
	ds, _ := sampledata.Generate(p, 1)
	b := batchOf("benchmark", ds)
	for i := range b.Movements {
		m := &b.Movements[i]
		var cells []casebook.Cell
		for k, text := range []string{m.Value.Case.ID, fmt.Sprint(m.Value.Course), m.Value.Tooth.String(), m.Value.Axis.String(), fmt.Sprint(m.Value.Planned), fmt.Sprint(m.Value.Achieved.Value), m.Value.Style.String()} {
			head := fmt.Sprint("column ", k)
			cells = append(cells, casebook.Cell{Ref: fmt.Sprintf("%c%d", 'A'+k, i+2), Header: head, Kept: head, Text: text})
		}
		m.Source.Row, m.Original = i+2, casebook.OriginalOf(cells)
	}
	return b
}

func openFile(b *testing.B) (store.Store, func() int64) {
	path := filepath.Join(b.TempDir(), "bench.db")
	db, err := sqlite.Open(context.Background(), path)
	require.NoError(b, err)
	b.Cleanup(func() { db.Close() })
	return db, func() int64 {
		info, err := os.Stat(path)
		require.NoError(b, err)
		return info.Size()
	}
}

func openServer(b *testing.B) (store.Store, func() int64) {
	s := pgtest.Start(b, "fsync=on", "shared_buffers=128MB")
	return openAt(b, s.Empty()), func() int64 { return bytesOf(b, s.Address("postgres")) }
}

func openFleet(b *testing.B) (store.Store, func() int64) {
	s := fleettest.Start(b, "fsync=on", "shared_buffers=128MB")
	p := s.Plan()
	p.Partitions = len(p.Servers)
	return openAt(b, s.Make(b, p)), func() (n int64) {
		for _, one := range s.List {
			n += bytesOf(b, one.Address(fleettest.Share))
		}
		return n + bytesOf(b, s.List[0].Address(fleettest.Coordinator))
	}
}

func openAt(b testing.TB, address string) store.Store {
	db, err := postgres.Open(context.Background(), address)
	require.NoError(b, err)
	b.Cleanup(func() { db.Close() })
	return db
}

// bytesOf are those of tables with their indices.
func bytesOf(b testing.TB, address string) (n int64) {
	ctx := context.Background()
	c, err := pgx.Connect(ctx, address)
	require.NoError(b, err)
	defer c.Close(ctx)
	require.NoError(b, c.QueryRow(ctx, "SELECT coalesce(sum(pg_total_relation_size(oid)), 0) FROM pg_class WHERE relkind = 'r' AND relnamespace IN (SELECT oid FROM pg_namespace WHERE nspname LIKE 'place%')").Scan(&n))
	return n
}
