package postgres_test

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store"
	"shortfall/ingest/store/postgres"
	"shortfall/ingest/store/postgres/fleet"
	"shortfall/ingest/store/postgres/fleet/fleettest"
	"shortfall/ingest/store/storetest"
)

// older makes a fleet by the scripts that earlier programs wrote (testdata, written for three
// servers on ports 60001 to 60003): of schema 1, or of 2, which differed by one column.
func older(t *testing.T, s *fleettest.Servers, schema string, version int) (address string) {
	t.Helper()
	fill := func(file string, more ...string) string {
		text, err := os.ReadFile("testdata/" + file)
		require.NoError(t, err)
		ports := []string{"olderfleet", schema}
		for i, one := range s.List {
			ports = append(ports, fmt.Sprint(60001+i), fmt.Sprint(one.Port))
		}
		if version == 2 {
			const last = "-- Practices that older databases of another kind could not tell apart: none here.\nCREATE TABLE unsettled (\n  case_id    TEXT COLLATE \"C\" NOT NULL PRIMARY KEY,\n  practices  TEXT NOT NULL\n);\n"
			ports = append(ports, last, last+"ALTER TABLE movements ADD COLUMN confirmed TEXT CHECK (confirmed = 'as measured');\nUPDATE version SET number = 2;\n",
				"', 1, '{", "', 2, '{")
		}
		script := strings.NewReplacer(append(ports, more...)...).Replace(string(text))
		require.Equal(t, version == 2, strings.Contains(script, "confirmed"))
		return script
	}
	with := "SHORTFALL_SHARD_PASSWORD=" + fleettest.Password
	for i, one := range s.List {
		name, parts := []string{"one", "two", "three"}[i], [][2]string{{"0, 3", "{0, 3}"}, {"1, 4", "{1, 4}"}, {"2", "{2}"}}[i]
		script := fill("first-shard.sql", "[0, 3]", "["+parts[0]+"]")
		script = strings.NewReplacer("('one', 0)", "('"+name+"', 0)", "('one', "+fmt.Sprint(version)+", '{0, 3}'", "('"+name+"', "+fmt.Sprint(version)+", '"+parts[1]+"'").Replace(script)
		one.Psql(t, fleettest.Share, script, with)
	}
	s.List[0].Psql(t, fleettest.Coordinator, fill("first-coordinator.sql"), with)
	return s.List[0].AddressOf("owner", fleettest.Coordinator) + "&search_path=" + schema
}

// oldImport keeps a few records as the older program did: in one write of the coordinator.
func oldImport(t *testing.T, address string) {
	t.Helper()
	c, err := pgx.Connect(t.Context(), address)
	require.NoError(t, err)
	defer c.Close(context.Background())
	_, err = c.PgConn().Exec(t.Context(), `BEGIN;
		INSERT INTO writes (done) VALUES (true);
		SELECT set_config('shortfall.write', (SELECT max(id) FROM writes)::text, true);
		UPDATE latest SET write = (SELECT max(id) FROM writes);
		INSERT INTO files (name, sha256, size, invented, reading) VALUES ('old.csv', repeat('a', 64), 1, 1, '');
		INSERT INTO sheets SELECT id, 0, '1', 'movement', 40, 40, 0, 0 FROM files;
		INSERT INTO layouts (file_id, cells) SELECT id, '[]' FROM files;
		INSERT INTO movements (case_id, practice, course, tooth, axis, unit, planned, achieved, size_only, style, file_id, sheet, row, layout_id, original)
			SELECT 'C-' || i, 'P1', 1, 11, 'rotation', 'deg', 10, 5 + i / 10.0, 0, 'none', f.id, '1', i + 1, l.id, '[]' FROM files f, layouts l, generate_series(1, 40) i;
		INSERT INTO tallies SELECT id, 'movement', 40, 0, 0, 0 FROM files;
		COMMIT;`).ReadAll()
	require.NoError(t, err)
}

// A fleet of each older schema is brought on by the scripts that the command writes, whose
// rerun does nothing; it then holds what it held, takes records and is found right.
func testOlderIsBroughtOn(t *testing.T, s *fleettest.Servers) {
	for version := 1; version < postgres.SchemaVersion(); version++ {
		schema := fmt.Sprintf("older%d", version)
		address := older(t, s, schema, version)
		oldImport(t, address)
		_, err := postgres.Open(t.Context(), address)
		require.ErrorIs(t, err, store.ErrCannotOpen)
		require.ErrorContains(t, err, "shortfall fleet upgrade")
		o, err := fleet.Upgrade(t.Context(), address)
		require.NoError(t, err)
		assert.Equal(t, version, o.From)
		assert.Equal(t, []fleet.State{{Name: "one", Version: version}, {Name: "three", Version: version}, {Name: "two", Version: version}}, o.Servers)
		for range 2 {
			brought(t, s, o.Scripts)
		}
		db := open(t, address)
		ds := storetest.MustLoad(t, db)
		require.Len(t, ds.Movements, 40)
		assert.InDelta(t, 5.1, ds.Movements[0].Achieved.Value, 1e-9)
		assert.Empty(t, wrong(t, address))
		storetest.MustImport(t, db, storetest.Every())
		_, err = db.Fingerprint(t.Context())
		require.NoError(t, err)
		assert.Len(t, storetest.MustLoad(t, db).Movements, 40+len(storetest.Every().Movements))
		o, err = fleet.Upgrade(t.Context(), address)
		require.NoError(t, err)
		assert.Empty(t, o.Scripts, "nothing is left to do")
	}
}

// brought runs scripts in their order: those of the servers, then the coordinator's.
func brought(t *testing.T, s *fleettest.Servers, scripts []fleet.Script) {
	t.Helper()
	at := map[string]int{"upgrade-one.sql": 0, "upgrade-two.sql": 1, "upgrade-three.sql": 2}
	for _, script := range scripts {
		if i, of := at[script.Name]; of {
			s.List[i].Psql(t, fleettest.Share, script.Text)
		} else if script.Name == "upgrade-coordinator.sql" {
			s.List[0].Psql(t, fleettest.Coordinator, script.Text)
		}
	}
}

// One server dies in the middle of its script, and the coordinator's is run too early: both
// leave nothing half, the older state counts until the last script, and a rerun of all
// completes.
func testUpgradeDies(t *testing.T, s *fleettest.Servers) {
	address := older(t, s, "dying", 2)
	oldImport(t, address)
	o, err := fleet.Upgrade(t.Context(), address)
	require.NoError(t, err)
	scripts := map[string]string{}
	for _, script := range o.Scripts {
		scripts[script.Name] = script.Text
	}
	s.List[0].Psql(t, fleettest.Share, scripts["upgrade-one.sql"])
	require.ErrorContains(t, s.List[0].TryPsql(fleettest.Coordinator, scripts["upgrade-coordinator.sql"]), "run upgrade-three.sql there first")
	require.ErrorContains(t, s.List[1].TryPsql(fleettest.Share, scripts["upgrade-one.sql"]), "the share of another server: two")
	failed := make(chan error, 1)
	go func() {
		failed <- s.List[1].TryPsql(fleettest.Share, strings.Replace(scripts["upgrade-two.sql"], "COMMIT;", "SELECT pg_sleep(600); COMMIT;", 1))
	}()
	require.Eventually(t, func() (asleep bool) {
		scan(t, s.List[1].Address("postgres"), "SELECT EXISTS (SELECT FROM pg_stat_activity WHERE wait_event = 'PgSleep')", &asleep)
		return asleep
	}, 5*time.Minute, 10*time.Millisecond)
	s.List[1].Stop()
	require.Error(t, <-failed)
	o, err = fleet.Upgrade(t.Context(), address)
	require.NoError(t, err)
	assert.Equal(t, []fleet.State{{Name: "one", Version: 3}, {Name: "three", Version: 2}, {Name: "two", Version: 0}}, o.Servers, "two does not answer")
	s.List[1].Restart(t)
	var n int
	scan(t, address, "SELECT count(*) FROM movements", &n)
	assert.Equal(t, 40, n, "as it was, to an older program")
	oldLayout(t, s.List[1])
	require.ErrorContains(t, s.List[0].TryPsql(fleettest.Coordinator, scripts["upgrade-coordinator.sql"]), "first", "two lacks it still")
	brought(t, s, o.Scripts)
	assert.Len(t, storetest.MustLoad(t, open(t, address)).Movements, 40)
	assert.Empty(t, wrong(t, address))
}

// oldLayout makes sure that a server has nothing of a script that was broken off.
func oldLayout(t *testing.T, one interface{ Address(string) string }) {
	t.Helper()
	var functions, version int
	scan(t, one.Address(fleettest.Share), "SELECT (SELECT count(*) FROM pg_proc WHERE pronamespace = 'dying'::regnamespace), (SELECT version FROM dying.shard)", &functions, &version)
	assert.Equal(t, [2]int{0, 2}, [2]int{functions, version})
}
