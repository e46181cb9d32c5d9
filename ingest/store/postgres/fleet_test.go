package postgres_test

import (
	"context"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/postgres"
	"shortfall/ingest/store/postgres/fleet"
	"shortfall/ingest/store/postgres/fleet/fleettest"
	"shortfall/ingest/store/postgres/pgtest"
	"shortfall/ingest/store/sqlite"
	"shortfall/ingest/store/sqlstore"
	"shortfall/ingest/store/storetest"
)

var contract = storetest.Implementation{
	Open:   func(ctx context.Context, address string) (store.Store, error) { return postgres.Open(ctx, address) },
	Sweeps: true,
	Dear:   true,
}

// Everyday a fleet is tried on the server of the other tests.
func init() { postgres.FleetOnOneServer = testFleetOnOneServer }

// testFleetOnOneServer: one server in the place of two keeps records, of which its databases
// make the sums.
func testFleetOnOneServer(t *testing.T, one *pgtest.Server) {
	fewerCases(t)
	testSumsAreMadeByTheServers(t, fleettest.On(t, one))
}

// fewerCases: of twenty cases every server has some, in the long form too; more only take longer.
func fewerCases(t *testing.T) {
	was := storetest.CrashCases
	t.Cleanup(func() { storetest.CrashCases = was })
	storetest.CrashCases = 20
}

// TestFleet is what a fleet has of its own, on three servers, and the contract of a store.
func TestFleet(t *testing.T) {
	if !storetest.Long {
		t.Skip("with SHORTFALL_LONG: starts three servers; everyday TestOnAServer/Fleet")
	}
	fewerCases(t)
	s := fleettest.Start(t)
	t.Run("SumsAreMadeByTheServers", func(t *testing.T) { testSumsAreMadeByTheServers(t, s) })
	for name, test := range map[string]func(*testing.T, *fleettest.Servers){
		"HalfCommitted": testHalfCommitted, "EqualsSQLite": testEqualsSQLite, "ReaderKeepsItsMoment": testReaderKeepsItsMoment, "ShardIsNoDatabase": testShardIsNoDatabase,
		"PracticesApart": testPracticesApart, "Check": testCheck, "ServerDies": testServerDies, "CoordinatorDies": testCoordinatorDies, "Erased": testErased, "PutBackAlone": testPutBackAlone,
		"OlderIsBroughtOn": testOlderIsBroughtOn, "UpgradeDies": testUpgradeDies,
	} {
		t.Run(name, func(t *testing.T) { test(t, s) })
	}
	t.Run("Contract", func(t *testing.T) {
		im := contract
		im.Address = func(t testing.TB) string {
			p := s.Plan()
			p.Partitions = len(p.Servers) // made quicker
			return s.Make(t, p)
		}
		im.Run(t)
	})
}

func open(t testing.TB, address string) *postgres.DB {
	t.Helper()
	db, err := postgres.Open(context.Background(), address)
	require.NoError(t, err)
	t.Cleanup(func() { db.Close() })
	return db
}

// The same files give the same records, in the same order, and the same sums.
func testEqualsSQLite(t *testing.T, s *fleettest.Servers) {
	ctx := context.Background()
	file, err := sqlite.Open(ctx, t.TempDir()+"/clinic.db")
	require.NoError(t, err)
	defer file.Close()
	db := open(t, s.Make(t, s.Plan()))
	storetest.Equal(t, file, db)
	// A practice that is renamed moves between servers.
	for _, one := range []store.Store{file, db} {
		n, err := one.RenamePractice(ctx, "P1", "P7")
		require.NoError(t, err)
		require.Equal(t, 2*storetest.CrashCases, n)
	}
	storetest.Same(t, storetest.Kept(t, file), storetest.Kept(t, db))
	of := casebook.SumsOf{SmallestMM: .2, SmallestDeg: 2, ToleranceMM: .5, ToleranceDeg: 2, MinAlignersUsed: .9}
	want, err := file.Sums(ctx, of)
	require.NoError(t, err)
	got, err := db.Sums(ctx, of)
	require.NoError(t, err)
	require.Greater(t, len(want.Cases), 8*2*storetest.CrashCases)
	require.Len(t, got.Cases, len(want.Cases))
	for i := range want.Cases {
		w, g := &want.Cases[i], &got.Cases[i]
		for _, pair := range [][2]*float64{{&w.Planned, &g.Planned}, {&w.Achieved, &g.Achieved}, {&w.Error, &g.Error}, {&w.Miss, &g.Miss}, {&w.Product, &g.Product}, {&w.Square, &g.Square}} {
			require.InDelta(t, *pair[0], *pair[1], 1e-9)
			*pair[1] = *pair[0]
		}
		require.Equal(t, *w, *g)
	}
	require.Len(t, got.Quartiles, len(want.Quartiles))
	for i, w := range want.Quartiles {
		assert.InDeltaSlice(t, []float64{w.Lower, w.Median, w.Upper}, []float64{got.Quartiles[i].Lower, got.Quartiles[i].Median, got.Quartiles[i].Upper}, 1e-9)
	}
	for _, one := range s.List {
		var rows int
		scan(t, one.Address(fleettest.Share), "SELECT count(*) FROM pg_class WHERE relname LIKE 'movements\\__' AND relkind = 'r'", &rows)
		assert.NotZero(t, rows)
	}
}

// scan reads one row as the owner.
func scan(t testing.TB, address, query string, targets ...any) {
	t.Helper()
	ctx := context.Background()
	c, err := pgx.Connect(ctx, address)
	require.NoError(t, err)
	defer c.Close(ctx)
	require.NoError(t, c.QueryRow(ctx, query).Scan(targets...), query)
}

// A reader sees one moment, though the servers choose theirs one after another and later
// writes end rows, and sweep.
func testReaderKeepsItsMoment(t *testing.T, s *fleettest.Servers) {
	ctx, p := context.Background(), s.Plan()
	db := open(t, s.Make(t, p))
	storetest.MustImport(t, db, storetest.CrashBatch(storetest.ImportFirst))
	const query = "SELECT count(*), sum(planned) FROM movements"
	read := func(tx *sqlstore.Tx) (n int, sum float64) {
		require.NoError(t, tx.QueryRowContext(ctx, query).Scan(&n, &sum))
		return n, sum
	}
	tx, err := db.Read(ctx)
	require.NoError(t, err)
	defer tx.Rollback()
	var files int
	require.NoError(t, tx.QueryRowContext(ctx, "SELECT count(*) FROM files").Scan(&files)) // no server was asked yet
	storetest.MustImport(t, db, storetest.CrashBatch(storetest.ImportSecond))
	require.NoError(t, db.RemoveCase(ctx, casebook.CaseKey{ID: "C-00001", Practice: "P1"}, "another write, which sweeps"))
	n, sum := read(tx)
	assert.Equal(t, storetest.CrashMovements(), n)
	want := 0.0
	for _, m := range storetest.CrashBatch(storetest.ImportFirst).Movements {
		want += m.Value.Planned
	}
	assert.InDelta(t, want, sum, 1e-6)
	require.NoError(t, tx.Rollback())
	var ended int
	require.NoError(t, db.RestoreCase(ctx, casebook.CaseKey{ID: "C-00001", Practice: "P1"}))
	scan(t, s.Address("owner", p), "SELECT count(*) FROM movements_kept WHERE ended_by IS NOT NULL", &ended)
	assert.Zero(t, ended, "nobody reads: what ended is gone")
}

func testShardIsNoDatabase(t *testing.T, s *fleettest.Servers) {
	p := s.Plan()
	s.Make(t, p)
	_, err := postgres.Open(context.Background(), s.List[1].Address(fleettest.Share)+"&search_path="+p.Schema)
	require.ErrorIs(t, err, store.ErrForeign)
	assert.ErrorContains(t, err, "coordinator")
}

// What the coordinator sends to its servers are sums of cases, one statement a partition.
func testSumsAreMadeByTheServers(t *testing.T, s *fleettest.Servers) {
	p := s.Plan()
	p.Partitions = storetest.Everyday(5, 2)
	db := open(t, s.Make(t, p))
	b := storetest.Practice("first", storetest.CrashCases, storetest.Everyday(20, 3))
	storetest.MustImport(t, db, b)
	assert.Len(t, storetest.MustLoad(t, db).Movements, len(b.Movements))
	plan, err := db.PlanOfSums(context.Background())
	require.NoError(t, err)
	for _, once := range []string{"Relations: Aggregate on", "Remote SQL: SELECT", " GROUP BY ", "Async Foreign Scan"} {
		assert.Equal(t, p.Partitions, strings.Count(plan, once), plan)
	}
}

// A row that is erased is gone from the servers when the erasure returns.
func testErased(t *testing.T, s *fleettest.Servers) {
	p := s.Plan()
	db := open(t, s.Make(t, p))
	storetest.MustImport(t, db, storetest.CrashBatch(storetest.ImportFirst))
	require.NoError(t, db.EraseCase(context.Background(), casebook.CaseKey{ID: "C-00001", Practice: "P1"}))
	for id, want := range map[string]int{"C-00001": 0, "C-00002": 40} {
		var kept int
		scan(t, s.Address("owner", p), "SELECT count(*) FROM movements_kept WHERE case_id = '"+id+"'", &kept)
		assert.Equal(t, want, kept, id)
	}
}

// The members of one practice see and change its records alone, and go past no policy
// by way of a partition.
func testPracticesApart(t *testing.T, s *fleettest.Servers) {
	ctx, p := context.Background(), s.Plan()
	p.Schema = postgres.UsualSchema
	s.Make(t, p)
	scripts, err := fleet.Scripts(p)
	require.NoError(t, err)
	s.List[0].Script(t, fleettest.Coordinator, scripts[4].Text)
	s.List[0].Exec(t, fleettest.Coordinator, "CREATE ROLE cleo LOGIN IN ROLE shortfall_writer", "CREATE ROLE dora LOGIN IN ROLE shortfall_writer", "CREATE ROLE eva LOGIN IN ROLE shortfall_reader",
		"INSERT INTO shortfall.members VALUES ('cleo', 'P1'), ('dora', 'P2'), ('eva', 'P1')")
	cleo, dora, eva := open(t, s.Address("cleo", p)), open(t, s.Address("dora", p)), open(t, s.Address("eva", p))
	for practice, db := range map[string]*postgres.DB{"P1": cleo, "P2": dora} {
		b := storetest.Practice(practice, 3, 2)
		inPractice(b, practice)
		storetest.MustImport(t, db, b)
	}
	for _, db := range []*postgres.DB{cleo, dora, eva} {
		ds := storetest.MustLoad(t, db)
		assert.Len(t, ds.Cases, 3)
		assert.Len(t, ds.Movements, 12)
		assert.Len(t, ds.Files, 1)
	}
	assert.Len(t, storetest.MustLoad(t, open(t, s.Address("owner", p))).Cases, 6)
	b := storetest.Practice("foreign", 2, 2)
	inPractice(b, "P1")
	_, err = dora.Import(ctx, b, store.Choices{})
	require.ErrorIs(t, err, store.ErrReadOnly, "records of P1")
	_, err = eva.Import(ctx, b, store.Choices{})
	require.ErrorIs(t, err, store.ErrReadOnly)
	require.ErrorIs(t, dora.RemoveCase(ctx, casebook.CaseKey{ID: "C-00000", Practice: "P1"}, "not hers"), store.ErrNotThere)
	c, err := pgx.Connect(ctx, s.Address("dora", p))
	require.NoError(t, err)
	defer c.Close(ctx)
	_, err = c.Exec(ctx, "SELECT * FROM shortfall_shards.cases_0")
	require.ErrorContains(t, err, "permission denied")
	_, err = c.Exec(ctx, "CREATE FOREIGN TABLE pg_temp.mine (case_id text) SERVER shortfall_one OPTIONS (schema_name 'shortfall', table_name 'cases_0')")
	require.ErrorContains(t, err, "permission denied")
	for _, past := range []string{
		"UPDATE movements_kept SET practice = 'P1'", "UPDATE movements SET planned = 1", "UPDATE cases_kept SET made_by = 1",
		"UPDATE shards SET server = 'x'", "DELETE FROM writes", "INSERT INTO writes (given_by) VALUES ('cleo')",
		"SELECT set_config('shortfall.write', '1', false); INSERT INTO cases (case_id, practice, file_id, sheet, row, layout_id, original) VALUES ('forged', 'P1', 1, '', 1, 1, '')",
	} {
		_, err := c.PgConn().Exec(ctx, past).ReadAll()
		var reported *pgconn.PgError
		require.ErrorAs(t, err, &reported, past)
		assert.Equal(t, "42501", reported.Code, past)
	}
	changed, err := c.Exec(ctx, "UPDATE writes SET done = true WHERE given_by <> session_user OR done")
	require.NoError(t, err)
	assert.Zero(t, changed.RowsAffected())
	assert.Len(t, storetest.MustLoad(t, cleo).Cases, 3)
	plan, err := dora.PlanOfSums(ctx)
	require.NoError(t, err)
	assert.Equal(t, 5, strings.Count(plan, " GROUP BY "), "for a member too: %s", plan)
}

func inPractice(b *casebook.Batch, practice string) {
	for i := range b.Cases {
		b.Cases[i].Value.Practice = practice
	}
	for i := range b.Courses {
		b.Courses[i].Value.Case.Practice = practice
	}
	for i := range b.Movements {
		b.Movements[i].Value.Case.Practice = practice
	}
}
