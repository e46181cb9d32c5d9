//go:build unix

package main

import (
	"context"
	"flag"
	"fmt"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"

	"shortfall/audit/grid"
	"shortfall/audit/results"
	"shortfall/ingest/store"
	"shortfall/ingest/store/postgres/fleet/fleettest"
)

var slope = flag.Int("slope", 0, "measure sums on a fleet from a hundred thousand to so many movements")

// TestSlope lets the records of a fleet grow tenfold at a time and measures how long the
// sums of all cases take, what a movement needs on disk and how many sums travel.
func TestSlope(t *testing.T) {
	if *slope == 0 {
		t.Skip("measures and tests nothing: -slope 1000000")
	}
	const first = 100_000
	s := fleettest.Start(t, "fsync=off", "shared_buffers=256MB", "work_mem=64MB", "max_wal_size=4GB")
	p := s.Plan()
	p.Partitions = len(p.Servers)
	address := s.Make(t, p)
	db := openAt(t, address)
	ctx := context.Background()
	_, err := db.Import(ctx, generatedBatch(first), store.Choices{})
	require.NoError(t, err)
	for n, factor := first, 1; ; n, factor = n*10, factor*10 {
		if factor > 1 {
			multiply(t, address, factor)
		}
		set := results.DefaultSettings()
		of := grid.SumsOf(&set)
		of.AllTeeth = true
		start, before, own := time.Now(), shards(s), processor(nil)
		sums, err := db.Sums(ctx, of)
		require.NoError(t, err)
		took, asked := time.Since(start), shards(s)
		cells := len(grid.OfSums(sums, &set))
		bytes := int64(0)
		for _, one := range s.List {
			bytes += bytesOf(t, one.Address(fleettest.Share))
		}
		t.Logf("%d movements: sums in %.2f s; processor time of the servers %.1f s, ours with %d cells %.1f s; %.0f bytes a movement on disk, %.2f sums a movement", n, took.Seconds(),
			(asked - before).Seconds(), cells, (processor(nil) - own).Seconds(), float64(bytes)/float64(n), float64(len(sums.Cases))/float64(n))
		if n*10 > *slope {
			return
		}
	}
}

// shards is the processor time of all servers, the coordinator's included.
func shards(s *fleettest.Servers) (sum time.Duration) {
	for _, one := range s.List {
		sum += one.Processor()
	}
	return sum
}

// multiply gives each record nine more, of new cases, by way of the coordinator.
func multiply(t *testing.T, address string, factor int) {
	t.Helper()
	ctx := context.Background()
	c, err := pgx.Connect(ctx, address)
	require.NoError(t, err)
	defer c.Close(ctx)
	start := time.Now()
	for _, table := range []string{"cases", "courses", "movements"} {
		var columns string
		require.NoError(t, c.QueryRow(ctx, "SELECT string_agg(attname, ', ' ORDER BY attnum) FROM pg_attribute WHERE attrelid = $1::regclass AND attnum > 1", table).Scan(&columns))
		for k := 1; k < 10; k++ {
			script := fmt.Sprintf(`BEGIN; SELECT set_config('shortfall.write', (SELECT max(id) FROM writes)::text, true);
				INSERT INTO %[1]s (case_id, %[2]s) SELECT case_id || '-%[3]d.%[4]d', %[2]s FROM %[1]s WHERE position('-%[3]d.' IN case_id) = 0; COMMIT`, table, columns, factor, k)
			_, err := c.PgConn().Exec(ctx, script).ReadAll()
			require.NoError(t, err)
		}
	}
	for _, table := range []string{"cases", "courses", "movements"} {
		_, err := c.Exec(ctx, "ANALYZE "+table+"_kept")
		require.NoError(t, err)
	}
	t.Logf("multiplied in %.0f s", time.Since(start).Seconds())
}
