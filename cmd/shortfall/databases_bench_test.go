//go:build unix

package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"shortfall/audit/grid"
	"shortfall/audit/results"
	"shortfall/cmd/job"
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
	open func(b *testing.B) opened
}

// opened is a new and empty one.
type opened struct {
	store.Store
	bytes   func() int64 // on disk
	servers []*pgtest.Server
}

// BenchmarkDatabases sets a file beside one server and three: import of one file, which
// is durable, the sums of all cases, all records read, the whole audit, and it again. "processor" is
// the processor time of this program and of the servers together, in seconds.
func BenchmarkDatabases(b *testing.B) {
	batch := generatedBatch(*movements)
	for _, p := range []place{{"file", openFile}, {"server", openServer}, {"fleet", openFleet}} {
		db := p.open(b)
		ctx, s := context.Background(), results.DefaultSettings()
		run := func(name string, do func() error, more func(*testing.B)) {
			b.Run(p.name+"/"+name, func(b *testing.B) {
				before, start := processor(db.servers), time.Now()
				for range b.N {
					require.NoError(b, do())
				}
				b.ReportMetric(time.Since(start).Seconds()/float64(b.N), "s")
				b.ReportMetric((processor(db.servers)-before).Seconds()/float64(b.N), "processor")
				if more != nil {
					more(b)
				}
			})
		}
		run("import", func() error {
			_, err := db.Import(ctx, batch, store.Choices{}) // again, it is known
			return err
		}, func(b *testing.B) {
			b.ReportMetric(float64(db.bytes())/float64(len(batch.Movements)), "bytes/movement")
		})
		of, sums := grid.SumsOf(&s), 0
		of.AllTeeth = true
		run("sums", func() error {
			got, err := db.Sums(ctx, of)
			if err == nil {
				sums = len(got.Cases)
			}
			return err
		}, func(b *testing.B) { b.ReportMetric(float64(sums)/float64(len(batch.Movements)), "sums/movement") })
		run("load", func() error { _, err := db.Load(ctx); return err }, nil)
		task := job.Audit{DB: db.Store, Settings: s, Version: "bench", Keep: true}
		for _, name := range []string{"audit", "again"} { // from the last results
			run(name, func() error {
				_, day, err := task.Run(ctx)
				require.Equal(b, name == "again", day != "")
				return err
			}, nil)
		}
	}
}

// processor is the time that this program and servers have taken.
func processor(servers []*pgtest.Server) time.Duration {
	var own syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &own)
	sum := time.Duration(own.Utime.Nano() + own.Stime.Nano())
	for _, s := range servers {
		sum += s.Processor()
	}
	return sum
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

func openFile(b *testing.B) opened {
	path := filepath.Join(b.TempDir(), "bench.db")
	db, err := sqlite.Open(context.Background(), path)
	require.NoError(b, err)
	b.Cleanup(func() { db.Close() })
	return opened{Store: db, bytes: func() int64 {
		info, err := os.Stat(path)
		require.NoError(b, err)
		return info.Size()
	}}
}

func openServer(b *testing.B) opened {
	s := pgtest.Start(b, "fsync=on", "shared_buffers=128MB")
	return opened{openAt(b, s.Empty()), func() int64 { return bytesOf(b, s.Address("postgres")) }, []*pgtest.Server{s}}
}

func openFleet(b *testing.B) opened {
	s := fleettest.Start(b, "fsync=on", "shared_buffers=128MB")
	p := s.Plan()
	p.Partitions = len(p.Servers)
	return opened{openAt(b, s.Make(b, p)), func() (n int64) {
		for _, one := range s.List {
			n += bytesOf(b, one.Address(fleettest.Share))
		}
		return n + bytesOf(b, s.List[0].Address(fleettest.Coordinator))
	}, s.List}
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
