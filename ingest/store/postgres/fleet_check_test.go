package postgres_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store"
	"shortfall/ingest/store/postgres"
	"shortfall/ingest/store/postgres/fleet"
	"shortfall/ingest/store/postgres/fleet/fleettest"
	"shortfall/ingest/store/postgres/pgtest"
)

// wrong lists what a check finds amiss, advice aside.
func wrong(t testing.TB, address string) (out []string) {
	t.Helper()
	findings, err := fleet.Check(context.Background(), address)
	require.NoError(t, err)
	require.Greater(t, len(findings), 10)
	for _, f := range findings {
		if f.Wrong != "" && !f.Advice {
			require.NotEmpty(t, f.Remedy, f.What)
			out = append(out, f.What+": "+f.Wrong)
		}
	}
	return out
}

// A fleet as the scripts make it has nothing wrong; each thing that is broken is found.
// Its length is that of the list of faults.
func testCheck(t *testing.T, s *fleettest.Servers) {
	p := s.Plan()
	address := s.Make(t, p)
	require.Empty(t, wrong(t, address))
	for _, broken := range []struct {
		name       string
		at         *pgtest.Server
		database   string
		break_     string
		mend       string
		finds      string
		moreOfThem int
	}{
		{
			"servers changed places", s.List[0], fleettest.Coordinator,
			fmt.Sprintf("ALTER SERVER %[1]s_one OPTIONS (SET port '%[2]d'); ALTER SERVER %[1]s_two OPTIONS (SET port '%[3]d')", p.Schema, s.List[1].Port, s.List[0].Port),
			fmt.Sprintf("ALTER SERVER %[1]s_one OPTIONS (SET port '%[3]d'); ALTER SERVER %[1]s_two OPTIONS (SET port '%[2]d')", p.Schema, s.List[1].Port, s.List[0].Port),
			"server one: is the one that was meant: it calls itself two", 100,
		},
		{
			"a column is missing", s.List[2], fleettest.Share,
			"ALTER TABLE " + p.Schema + ".movements_2 RENAME COLUMN staging TO stage", "ALTER TABLE " + p.Schema + ".movements_2 RENAME COLUMN stage TO staging",
			"partition movements_2: the server three has no such table", 0,
		},
		{
			"a rule is missing", s.List[2], fleettest.Share,
			"ALTER TABLE " + p.Schema + ".courses_2 DROP CONSTRAINT courses_course_check", "ALTER TABLE " + p.Schema + ".courses_2 ADD CONSTRAINT courses_course_check CHECK (course >= 1)",
			"partition courses_2: the server three has no such table", 0,
		},
		{
			"a partition is detached", s.List[0], fleettest.Coordinator,
			fmt.Sprintf("ALTER TABLE %[1]s.cases_kept DETACH PARTITION %[1]s_shards.cases_1", p.Schema),
			fmt.Sprintf("ALTER TABLE %[1]s.cases_kept ATTACH PARTITION %[1]s_shards.cases_1 FOR VALUES WITH (MODULUS 5, REMAINDER 1)", p.Schema),
			"cases: every one of 5 partitions is there: 4 are", 0,
		},
		{
			"another password", s.List[1], fleettest.Share,
			"ALTER ROLE shortfall_shard PASSWORD 'x'; SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE usename = 'shortfall_shard'", "ALTER ROLE shortfall_shard PASSWORD '" + fleettest.Password + "'",
			"server two: answers: it does not", 0,
		},
		{
			"in the clear to another machine", s.List[0], fleettest.Coordinator,
			"ALTER SERVER " + p.Schema + "_two OPTIONS (SET host 'db.example.org', ADD hostaddr '127.0.0.1')",
			"ALTER SERVER " + p.Schema + "_two OPTIONS (SET host '127.0.0.1', DROP hostaddr)",
			"records travel in the clear\nserver two: its certificate is checked, or it is the coordinator's machine: sslmode is not verify-full", 1,
		},
		{
			"another version", s.List[1], fleettest.Share,
			"UPDATE " + p.Schema + ".shard SET version = version - 1", "UPDATE " + p.Schema + ".shard SET version = version + 1",
			fmt.Sprintf("server two: has the tables of this program: they are of version %d", postgres.SchemaVersion()-1), 0,
		},
	} {
		t.Run(broken.name, func(t *testing.T) {
			broken.at.Script(t, broken.database, broken.break_)
			found := wrong(t, address)
			assert.Contains(t, strings.Join(found, "\n"), broken.finds)
			assert.LessOrEqual(t, len(found), 1+broken.moreOfThem)
			broken.at.Script(t, broken.database, broken.mend)
			assert.Empty(t, wrong(t, address))
		})
	}
	_, err := fleet.Check(context.Background(), s.List[0].Address("postgres"))
	require.ErrorIs(t, err, store.ErrNotThere)
}

func TestPlan(t *testing.T) {
	for text, want := range map[string]fleet.Server{
		"one=db1.example.org:5433/records": {Name: "one", Host: "db1.example.org", Port: 5433, Database: "records"},
		"two=db2.example.org/records":      {Name: "two", Host: "db2.example.org", Port: 5432, Database: "records"},
		"six=[2001:db8::1]:5432/r":         {Name: "six", Host: "2001:db8::1", Port: 5432, Database: "r"},
	} {
		got, err := fleet.ParseServer(text)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
	for _, text := range []string{"", "one", "=h/d", "One=h/d", "one=h", "one=/d", "one=h:0/d", "one=h:99999/d", "one=h';drop/d", "one=h/d'", "a b=h/d"} {
		_, err := fleet.ParseServer(text)
		require.ErrorContains(t, err, "NAME=HOST:PORT/DATABASE", text)
	}
	one, two := fleet.Server{Name: "one", Host: "a", Port: 1, Database: "d"}, fleet.Server{Name: "two", Host: "b", Port: 1, Database: "d"}
	good := fleet.Plan{Schema: "shortfall", Servers: []fleet.Server{one, two}, Partitions: 3}
	require.NoError(t, good.Check())
	assert.Equal(t, []int{0, 2}, good.PartitionsOf(0))
	assert.Equal(t, []int{1}, good.PartitionsOf(1))
	for _, spoil := range []func(p *fleet.Plan){
		func(p *fleet.Plan) { p.Servers = nil },
		func(p *fleet.Plan) { p.Servers = []fleet.Server{one, one} },
		func(p *fleet.Plan) { p.Partitions = 1 },
		func(p *fleet.Plan) { p.Partitions = 1000 },
		func(p *fleet.Plan) { p.Schema = "a; b" },
		func(p *fleet.Plan) { p.RootCert = "x'y" },
	} {
		p := good
		spoil(&p)
		_, err := fleet.Scripts(&p)
		require.Error(t, err)
	}
}

// Beyond the coordinator's machine a server's certificate is checked; on it there is none.
func TestScriptsEncrypt(t *testing.T) {
	p := fleet.Plan{Schema: "shortfall", Partitions: 2, RootCert: "/etc/ssl/fleet.pem", Servers: []fleet.Server{
		{Name: "near", Host: "127.0.0.1", Port: 1, Database: "d"}, {Name: "far", Host: "db.example.org", Port: 1, Database: "d"},
	}}
	scripts, err := fleet.Scripts(&p)
	require.NoError(t, err)
	text := scripts[2].Text
	near, far, ok := strings.Cut(text, "CREATE SERVER shortfall_far")
	require.True(t, ok)
	assert.NotContains(t, near, "sslmode")
	assert.Contains(t, far, "sslmode 'verify-full', sslrootcert '/etc/ssl/fleet.pem'")
}
