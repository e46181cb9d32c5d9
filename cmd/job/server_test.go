package job

import (
	"context"
	"os"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/store/postgres"
	"shortfall/ingest/store/postgres/pgtest"
	"shortfall/sampledata"
)

// shared is a server whose owner, a writer of each of two practices, and a reader of the
// first may audit.
type shared struct {
	server *pgtest.Server
	name   string
	owner  *pgx.Conn // another program
	db     map[string]*postgres.DB
}

// TestOnAServer runs every test on one server, each in a database of its own.
func TestOnAServer(t *testing.T) {
	if os.Getenv("SHORTFALL_LONG") == "" {
		t.Skip("with SHORTFALL_LONG; everyday the same is tried of a file, and that a server keeps results for each role by package postgres (Roles)")
	}
	s := pgtest.Start(t)
	for _, role := range []string{"cleo", "dora", "anna"} {
		s.Exec(t, "postgres", "CREATE ROLE "+role+" LOGIN")
	}
	made := share(t, s)
	for name, test := range map[string]func(*testing.T, *shared){
		"KeepsLastResults": testKeepsLastResults, "ErasingForgets": testErasingForgets, "KeepsResultsApart": testKeepsResultsApart,
	} {
		t.Run(name, func(t *testing.T) { test(t, again(t, s, made)) })
	}
}

// share makes the database, which is then copied, and gives its name.
func share(t *testing.T, s *pgtest.Server) string {
	t.Helper()
	all := &shared{s, s.Database(t), nil, map[string]*postgres.DB{}}
	all.open(t, "owner")
	script, err := os.ReadFile("../../ingest/store/postgres/roles.sql")
	require.NoError(t, err)
	s.Script(t, all.name, string(script))
	s.Exec(t, all.name, "GRANT shortfall_writer TO cleo, dora", "GRANT shortfall_reader TO anna",
		"INSERT INTO shortfall.members VALUES ('cleo', 'P1'), ('dora', 'P2'), ('anna', 'P1')")
	for role, practice := range map[string]string{"cleo": "P1", "dora": "P2"} {
		p := sampledata.Default()
		p.Cases = 5
		ds, _ := sampledata.Generate(p, uint64(len(role)+int(role[0])))
		for i := range ds.Cases {
			ds.Cases[i].Practice = practice
		}
		for i := range ds.Movements {
			ds.Movements[i].Case.Practice = practice
		}
		all.open(t, role)
		put(t, all.db[role], ds)
		require.NoError(t, all.db[role].Close())
	}
	require.NoError(t, all.db["owner"].Close())
	return all.name
}

func again(t *testing.T, s *pgtest.Server, made string) *shared {
	t.Helper()
	name := s.Copy(t, made)
	owner, err := pgx.Connect(t.Context(), s.Address(name))
	require.NoError(t, err)
	t.Cleanup(func() { owner.Close(context.Background()) })
	all := &shared{s, name, owner, map[string]*postgres.DB{}}
	for _, role := range []string{"owner", "cleo", "dora", "anna"} {
		all.open(t, role)
	}
	return all
}

func (s *shared) open(t *testing.T, role string) {
	t.Helper()
	db, err := postgres.Open(t.Context(), s.server.AddressOf(role, s.name))
	require.NoError(t, err)
	t.Cleanup(func() { db.Close() })
	s.db[role] = db
}

// kept counts what the server keeps for a role.
func (s *shared) kept(t *testing.T, role string) (n int) {
	t.Helper()
	require.NoError(t, s.owner.QueryRow(t.Context(), "SELECT count(*) FROM shortfall.last_results WHERE kept_for = $1", role).Scan(&n))
	return n
}

// exec runs statements as the owner of the tables.
func (s *shared) exec(t *testing.T, statements ...string) {
	t.Helper()
	for _, q := range statements {
		_, err := s.owner.Exec(t.Context(), q)
		require.NoError(t, err, q)
	}
}

// testKeepsLastResults: an unchanged server answers from the last results, everyone
// from its own alone, until whatever program changes a row that an audit reads.
func testKeepsLastResults(t *testing.T, s *shared) {
	first := map[string]string{} // what each is answered
	for _, role := range []string{"owner", "cleo", "dora"} {
		last, text := answered(t, task(s.db[role]))
		require.False(t, last, role)
		first[role] = text()
	}
	for role, want := range first {
		last, text := answered(t, task(s.db[role]))
		assert.True(t, last, role)
		assert.Equal(t, want, text(), role)
		assert.Equal(t, 1, s.kept(t, role))
	}
	assert.NotEqual(t, first["cleo"], first["dora"])
	for range 2 {
		last, text := answered(t, task(s.db["anna"]))
		assert.False(t, last, "a reader keeps nothing, and is told of no error")
		assert.Equal(t, first["cleo"], text())
		assert.Zero(t, s.kept(t, "anna"))
	}
	for name, change := range map[string]func(){
		"a digit, by another program": func() {
			s.exec(t, "UPDATE shortfall.movements SET planned = planned * 1.5 WHERE practice = 'P2'")
		},
		"a case taken out": func() {
			require.NoError(t, s.db["cleo"].RemoveCase(t.Context(), caseAt(t, s.db["cleo"], 1), "mistaken"))
		},
		"who sees what": func() { s.exec(t, "INSERT INTO shortfall.members VALUES ('dora', 'P1')") },
		"a policy": func() {
			s.exec(t, "CREATE POLICY more ON shortfall.cases AS RESTRICTIVE USING (case_id <> 'x')")
		},
	} {
		change()
		last, _ := answered(t, task(s.db["dora"]))
		assert.False(t, last, name)
		assert.Positive(t, s.kept(t, "dora"), name)
		last, _ = answered(t, task(s.db["dora"]))
		assert.True(t, last, name)
	}
	for i := range mostLast + 2 {
		keep(t.Context(), s.db["owner"], fingerprint(t, s.db["owner"]), keyOf(i), &results.Results{SchemaVersion: results.SchemaVersion})
	}
	assert.Equal(t, mostLast, s.kept(t, "owner"))
}

// testErasingForgets: a record that is erased, by whomever, takes the results of all
// along, in one transaction; an audit that was under way then keeps none.
func testErasingForgets(t *testing.T, s *shared) {
	res := &results.Results{SchemaVersion: results.SchemaVersion}
	for _, role := range []string{"owner", "cleo", "dora"} {
		keep(t.Context(), s.db[role], fingerprint(t, s.db[role]), keyOf(role), res)
		require.Equal(t, 1, s.kept(t, role), role)
	}
	cleo := s.db["cleo"]
	require.NoError(t, Erase(cleo, func() error { return cleo.EraseCase(t.Context(), caseAt(t, cleo, 0)) }))
	for _, role := range []string{"owner", "cleo", "dora"} {
		assert.Zero(t, s.kept(t, role), role)
	}
	// Erased between the last look at the records and the keeping.
	state := fingerprint(t, s.db["owner"])
	require.NoError(t, cleo.EraseCase(t.Context(), caseAt(t, cleo, 0)))
	keep(t.Context(), s.db["owner"], state, keyOf("late"), res)
	assert.Zero(t, s.kept(t, "owner"))
	// Who changes records at this moment is not waited for, and nothing is kept of it.
	state = fingerprint(t, s.db["owner"])
	tx, err := cleo.Begin(t.Context())
	require.NoError(t, err)
	_, err = tx.ExecContext(t.Context(), "DELETE FROM movements WHERE case_id = (SELECT min(case_id) FROM movements)")
	require.NoError(t, err)
	keep(t.Context(), s.db["owner"], state, keyOf("late"), res)
	assert.Zero(t, s.kept(t, "owner"))
	require.NoError(t, tx.Rollback())
	keep(t.Context(), s.db["owner"], state, keyOf("late"), res)
	assert.Equal(t, 1, s.kept(t, "owner"), "nothing was changed after all")
	last, _ := answered(t, task(s.db["owner"]))
	assert.False(t, last)
}

// testKeepsResultsApart: a member who knows the key of another's results gets, changes
// and forges none of them, whatever an older roles.sql had granted.
func testKeepsResultsApart(t *testing.T, s *shared) {
	answered(t, task(s.db["cleo"]))
	s.exec(t, "GRANT SELECT ON ALL TABLES IN SCHEMA shortfall TO shortfall_reader", "GRANT INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA shortfall TO shortfall_writer")
	_, key := task(s.db["cleo"]).key(t.Context())
	mine, _, err := s.db["cleo"].KeptResults(t.Context(), key)
	require.NoError(t, err)
	require.NotZero(t, len(mine))
	got, _, err := s.db["dora"].KeptResults(t.Context(), key)
	require.NoError(t, err)
	assert.Zero(t, len(got))
	c, err := pgx.Connect(t.Context(), s.server.AddressOf("dora", s.name))
	require.NoError(t, err)
	defer c.Close(context.Background())
	for _, query := range []string{
		"SELECT count(*) FROM shortfall.last_results", "SELECT count(*) FROM shortfall.changes",
		"WITH gone AS (DELETE FROM shortfall.last_results RETURNING 1) SELECT count(*) FROM gone",
		"WITH anew AS (UPDATE shortfall.changes SET mark = gen_random_uuid() RETURNING 1) SELECT count(*) FROM anew",
		// A table of one's own does not stand in for the owner's.
		"CREATE TEMP TABLE last_results AS SELECT 'dora'::name AS kept_for, 'x' AS key, 'today' AS day, ''::bytea AS results; SELECT count(*) FROM shortfall.kept_results('x')",
	} {
		read, err := c.PgConn().Exec(t.Context(), query).ReadAll()
		require.NoError(t, err, query)
		assert.Equal(t, "0", string(read[len(read)-1].Rows[0][0]), query)
	}
	_, err = c.Exec(t.Context(), "INSERT INTO shortfall.last_results VALUES ('cleo', repeat('a', 64), '', now(), '')")
	require.ErrorContains(t, err, "row-level security")
	state, _, _ := strings.Cut(fingerprint(t, s.db["cleo"]), " ")
	require.NoError(t, s.db["dora"].KeepResults(t.Context(), strings.Repeat("0", 8)+state[8:], key, "today", nil), "of no state that is")
	last, _ := answered(t, task(s.db["cleo"]))
	assert.True(t, last, "hers are as they were")
	assert.Zero(t, s.kept(t, "dora"))
}

func fingerprint(t *testing.T, db *postgres.DB) string {
	t.Helper()
	state, err := db.Fingerprint(t.Context())
	require.NoError(t, err)
	return state
}
