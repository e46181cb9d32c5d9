package sqlite

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/storetest"
)

// The benchmarks use 200,000 movements in 5,000 cases. Figures, as ratios, are
// in DEVELOPERS.md.
const (
	benchCases = 5000
	benchTeeth = 20
)

func rate(b *testing.B, records int) {
	b.ReportMetric(float64(records)*float64(b.N)/b.Elapsed().Seconds(), "records/s")
}

// BenchmarkImport writes everything: what an import costs beyond parsing.
func BenchmarkImport(b *testing.B) {
	i := 0
	benchImport(b, func() (*DB, error) {
		i++
		return Open(context.Background(), filepath.Join(b.TempDir(), fmt.Sprintf("%d.db", i)))
	})
}

// BenchmarkImportTemp is the same without durability, as "audit FILE" uses it.
func BenchmarkImportTemp(b *testing.B) {
	benchImport(b, func() (*DB, error) { return OpenTemp(context.Background()) })
}

// BenchmarkAlone is what "audit FILE" does with the records of one file, against the same by
// way of a database in memory, as with several.
func BenchmarkAlone(b *testing.B) {
	for name, open := range map[string]func() audited{
		"alone":    func() audited { return store.NewLone(InMemory) },
		"database": func() audited { db, err := OpenTemp(context.Background()); require.NoError(b, err); return db },
	} {
		b.Run(name, func(b *testing.B) {
			batch := storetest.Practice("bench", benchCases, benchTeeth)
			for b.Loop() {
				db := open()
				_, err := db.Import(context.Background(), batch, store.Choices{})
				require.NoError(b, err)
				ds, err := db.Load(context.Background())
				require.NoError(b, err)
				require.Len(b, ds.Movements, len(batch.Movements))
				require.NoError(b, db.Close())
			}
		})
	}
}

// audited is what holds records for one audit.
type audited interface {
	Import(ctx context.Context, b *casebook.Batch, c store.Choices) (store.Outcome, error)
	Load(ctx context.Context) (*casebook.Dataset, error)
	Close() error
}

func benchImport(b *testing.B, open func() (*DB, error)) {
	batch := storetest.Practice("bench", benchCases, benchTeeth)
	for b.Loop() {
		b.StopTimer()
		db, err := open()
		require.NoError(b, err)
		b.StartTimer()
		storetest.MustImport(b, db, batch)
		b.StopTimer()
		require.NoError(b, db.Close())
		b.StartTimer()
	}
	rate(b, len(batch.Movements)+len(batch.Courses)+len(batch.Cases))
}

// BenchmarkImportUnchanged meets a database that already holds every record.
func BenchmarkImportUnchanged(b *testing.B) {
	db := create(b)
	batch := storetest.Practice("bench", benchCases, benchTeeth)
	storetest.MustImport(b, db, batch)
	i := 0
	for b.Loop() {
		i++
		batch.File = storetest.FileOf(fmt.Sprint("again ", i))
		storetest.MustImport(b, db, batch)
	}
	rate(b, len(batch.Movements)+len(batch.Courses)+len(batch.Cases))
}

func BenchmarkLoad(b *testing.B) {
	db := create(b)
	batch := storetest.Practice("bench", benchCases, benchTeeth)
	storetest.MustImport(b, db, batch)
	for b.Loop() {
		require.Len(b, storetest.MustLoad(b, db).Movements, len(batch.Movements))
	}
	rate(b, len(batch.Movements))
}

// BenchmarkOpen includes the look for damage, and where that comes late the look whether every
// byte is as before in its place.
func BenchmarkOpen(b *testing.B) {
	path := filepath.Join(b.TempDir(), "clinic.db")
	db, err := Open(context.Background(), path)
	require.NoError(b, err)
	storetest.MustImport(b, db, storetest.Practice("bench", benchCases, benchTeeth))
	require.NoError(b, db.Close())
	for name, options := range map[string][]Option{"looked at": nil, "late": {CheckLate()}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				db, err := Open(context.Background(), path, options...)
				require.NoError(b, err)
				_, err = db.Fingerprint(context.Background())
				require.NoError(b, err)
				require.NoError(b, db.Close())
			}
		})
	}
}
