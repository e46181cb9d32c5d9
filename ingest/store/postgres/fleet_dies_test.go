package postgres_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store"
	"shortfall/ingest/store/postgres/fleet"
	"shortfall/ingest/store/postgres/fleet/fleettest"
	"shortfall/ingest/store/postgres/pgtest"
	"shortfall/ingest/store/storetest"
)

// refuseToCommit makes one server fail when it is to commit, after the others may have:
// what a server does that dies between the commits.
func refuseToCommit(t testing.TB, one *pgtest.Server, p *fleet.Plan, server int, table string) (mend func()) {
	return atCommit(t, one, p, server, table, "RAISE EXCEPTION 'no' USING ERRCODE = '08006'")
}

// atCommit makes one server do something for each new row of a table when it commits.
func atCommit(t testing.TB, one *pgtest.Server, p *fleet.Plan, server int, table, what string) (mend func()) {
	one.Exec(t, fleettest.Share, fmt.Sprintf(`CREATE OR REPLACE FUNCTION %s.commits() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN %s; RETURN NULL; END $$`, p.Schema, what))
	each := func(statement string) {
		for _, n := range p.PartitionsOf(server) {
			one.Exec(t, fleettest.Share, fmt.Sprintf(statement, p.Schema, table, n))
		}
	}
	each(`CREATE CONSTRAINT TRIGGER commits AFTER INSERT OR UPDATE ON %[1]s.%[2]s_%[3]d DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION %[1]s.commits()`)
	return func() { each("DROP TRIGGER commits ON %[1]s.%[2]s_%[3]d") }
}

// leftBehind counts the rows that a write that was not completed left with the servers.
func leftBehind(t testing.TB, s *fleettest.Servers, p *fleet.Plan) (rows int) {
	scan(t, s.Address("owner", p), "SELECT count(*) FROM movements_kept WHERE made_by IN (SELECT id FROM writes WHERE NOT done) OR ended_by IN (SELECT id FROM writes WHERE NOT done)", &rows)
	return rows
}

// A write that one server did not commit counts nowhere, whatever the others kept, and is
// done when it is done again: an import that corrects, a removal, a new name, an erasure.
func testHalfCommitted(t *testing.T, s *fleettest.Servers) {
	ctx, p := context.Background(), s.Plan()
	db := open(t, s.Make(t, p))
	storetest.MustImport(t, db, storetest.CrashBatch(storetest.ImportFirst))
	second := storetest.CrashBatch(storetest.ImportSecond)
	steps := []struct {
		name string
		do   func() error
	}{
		{"import", func() error { _, err := db.Import(ctx, second, store.Choices{}); return err }},
		{"rename", func() error { _, err := db.RenamePractice(ctx, "P1", "P2"); return err }},
		{"remove", func() error { _, err := db.RemoveFile(ctx, second.File.SHA256, "test"); return err }},
	}
	for _, step := range steps {
		t.Run(step.name, func(t *testing.T) {
			before := storetest.MustLoad(t, db)
			mend := refuseToCommit(t, s.List[2], p, 2, "movements")
			err := step.do()
			require.ErrorIs(t, err, store.ErrCannotOpen)
			assert.ErrorContains(t, err, "a server of the fleet")
			require.NotZero(t, leftBehind(t, s, p), "the test proves nothing unless some of it was kept")
			assert.True(t, assert.ObjectsAreEqual(before, storetest.MustLoad(t, db)), "as it was")
			mend()
			require.NoError(t, step.do())
			assert.False(t, assert.ObjectsAreEqual(before, storetest.MustLoad(t, db)))
			assert.Zero(t, leftBehind(t, s, p), "swept")
		})
	}
	assert.Len(t, storetest.MustLoad(t, db).Movements, storetest.CrashMovements(), "the first file, as it was")
}

// A coordinator that dies when some servers have committed, and one will do so after its
// death, keeps nothing of the file when it is up again, and the same import completes.
func testCoordinatorDies(t *testing.T, s *fleettest.Servers) {
	ctx, p := context.Background(), s.Plan()
	db := open(t, s.Make(t, p))
	storetest.MustImport(t, db, storetest.CrashBatch(storetest.ImportFirst))
	before := storetest.MustLoad(t, db)
	mend := atCommit(t, s.List[1], p, 1, "courses", "PERFORM pg_sleep(0.05)") // for each of some 90 rows
	ended := make(chan error, 1)
	go func() {
		_, err := db.Import(ctx, storetest.CrashBatch(storetest.ImportSecond), store.Choices{})
		ended <- err
	}()
	const committing = "SELECT EXISTS (SELECT FROM pg_stat_activity WHERE usename = 'shortfall_shard' AND query LIKE 'COMMIT%' AND state = 'active')"
	under := func() (is bool) { scan(t, s.List[1].Address("postgres"), committing, &is); return is }
	require.Eventually(t, under, 5*time.Minute, time.Millisecond)
	s.List[0].Stop()
	err := <-ended
	require.ErrorIs(t, err, store.ErrCannotOpen)
	assert.ErrorContains(t, err, "not known whether")
	s.List[0].Restart(t)
	require.Eventually(t, func() bool { return !under() }, 5*time.Minute, 10*time.Millisecond)
	require.NotZero(t, leftBehind(t, s, p), "the test proves nothing unless some of it was kept")
	assert.True(t, assert.ObjectsAreEqual(before, storetest.MustLoad(t, db)), "as it was")
	mend()
	storetest.MustImport(t, db, storetest.CrashBatch(storetest.ImportSecond))
	assert.Len(t, storetest.MustLoad(t, db).Movements, 2*storetest.CrashMovements())
	assert.Zero(t, leftBehind(t, s, p))
}

// A server that dies in the middle of an import, or of an audit, is named; nothing
// of the file is kept, and when it is up again the same import completes.
func testServerDies(t *testing.T, s *fleettest.Servers) {
	ctx := context.Background()
	db := open(t, s.Make(t, s.Plan()))
	storetest.MustImport(t, db, storetest.CrashBatch(storetest.ImportFirst))
	before := storetest.MustLoad(t, db)
	long := storetest.Practice("long", 300, 20)
	inPractice(long, "P3")
	ended := make(chan error, 1)
	go func() {
		_, err := db.Import(ctx, long, store.Choices{})
		ended <- err
	}()
	require.Eventually(t, func() bool { return writing(t, s.List[1]) }, 5*time.Minute, time.Millisecond)
	s.List[1].Stop()
	err := <-ended
	require.ErrorIs(t, err, store.ErrCannotOpen)
	assert.ErrorContains(t, err, "of the servers of the fleet two cannot be reached")
	assert.ErrorContains(t, err, "of a file that was being imported nothing was kept")
	s.List[1].Restart(t)
	go func() {
		var err error
		for err == nil {
			_, err = db.Load(ctx)
		}
		ended <- err
	}()
	time.Sleep(200 * time.Millisecond)
	s.List[1].Stop()
	err = <-ended
	require.ErrorIs(t, err, store.ErrCannotOpen)
	assert.ErrorContains(t, err, "fleet two cannot be reached")
	s.List[1].Restart(t)
	assert.True(t, assert.ObjectsAreEqual(before, storetest.MustLoad(t, db)), "as it was")
	storetest.MustImport(t, db, long)
	assert.Len(t, storetest.MustLoad(t, db).Movements, storetest.CrashMovements()+12000)
}

// writing tells whether a server holds rows of a write that is under way.
func writing(t testing.TB, one *pgtest.Server) (is bool) {
	scan(t, one.Address("postgres"), "SELECT EXISTS (SELECT FROM pg_stat_activity WHERE usename = 'shortfall_shard' AND query LIKE 'INSERT INTO%movements%')", &is)
	return is
}

// A server, or the coordinator, that was put back from an older copy alone is found before
// anything is read or written: its rows would be missing, and writes numbered anew would
// bring others' back.
func testPutBackAlone(t *testing.T, s *fleettest.Servers) {
	ctx, p := context.Background(), s.Plan()
	db := open(t, s.Make(t, p))
	storetest.MustImport(t, db, storetest.CrashBatch(storetest.ImportFirst))
	older := func() {
		_, err := db.Load(ctx)
		require.ErrorIs(t, err, store.ErrDamaged)
		_, err = db.Import(ctx, storetest.CrashBatch(storetest.ImportSecond), store.Choices{})
		require.ErrorIs(t, err, store.ErrDamaged)
		assert.ErrorContains(t, err, "older state")
		assert.Contains(t, wrong(t, s.Address("owner", p))[0], "of one moment")
	}
	s.List[1].Exec(t, fleettest.Share, "CREATE TABLE was AS SELECT * FROM "+p.Schema+".latest", "UPDATE "+p.Schema+".latest SET write = 0")
	older()
	s.List[1].Exec(t, fleettest.Share, "UPDATE "+p.Schema+".latest SET write = was.write FROM was", "DROP TABLE was")
	storetest.MustImport(t, db, storetest.CrashBatch(storetest.ImportSecond))
	s.List[0].Exec(t, fleettest.Coordinator, "CREATE TABLE was AS SELECT * FROM "+p.Schema+".writes ORDER BY id DESC LIMIT 1", "DELETE FROM "+p.Schema+".writes USING was WHERE writes.id = was.id")
	older()
	s.List[0].Exec(t, fleettest.Coordinator, "INSERT INTO "+p.Schema+".writes OVERRIDING SYSTEM VALUE SELECT * FROM was", "DROP TABLE was")
	assert.Len(t, storetest.MustLoad(t, db).Cases, 2*storetest.CrashCases)
}
