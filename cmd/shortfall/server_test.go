package main

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/exit"
	"shortfall/ingest/store/postgres/fleet/fleettest"
	"shortfall/ingest/store/postgres/pgtest"
)

// The same file, in a database of a server and in one of one file, gives the same
// results, to the byte; the verbs speak of both alike.
func TestServerGivesTheSameResults(t *testing.T) {
	if os.Getenv("SHORTFALL_LONG") == "" {
		t.Skip("with SHORTFALL_LONG: everyday a server is started by the tests of its store")
	}
	s := pgtest.Start(t)
	address := s.Empty()
	workplace(t)
	write(t, "a.csv", clinicFile("A", 8, 5))
	must(t, "shortfall ingest --db "+address+" a.csv")
	must(t, "shortfall ingest --db clinic.db a.csv")
	must(t, "shortfall audit --db "+address+" --json server.json")
	must(t, "shortfall audit --db clinic.db --json file.json")
	server, err := os.ReadFile("server.json")
	require.NoError(t, err)
	file, err := os.ReadFile("file.json")
	require.NoError(t, err)
	assert.Equal(t, string(file), string(server))
	there, _ := must(t, "shortfall records --cases --db "+address)
	here, _ := must(t, "shortfall records --cases --db clinic.db")
	assert.Equal(t, here, there)
	answersAgain(t, address)
}

// answersAgain tries an audit twice, the second from the last results, in the same bytes,
// until a case is erased.
func answersAgain(t *testing.T, address string) {
	t.Helper()
	said, _ := must(t, "shortfall audit --db "+address+" --json again.json")
	first, err := os.ReadFile("server.json")
	require.NoError(t, err)
	again, err := os.ReadFile("again.json")
	require.NoError(t, err)
	assert.Contains(t, said, "as computed on ")
	assert.Equal(t, string(first), string(again))
	cases, _ := must(t, "shortfall records --cases --db "+address)
	id := strings.Fields(strings.Split(cases, "\n")[1])[0]
	must(t, "shortfall remove --db "+address+" "+id+" --erase --reason mistaken")
	said, _ = must(t, "shortfall audit --db "+address+" --force --json again.json")
	assert.NotContains(t, said, "as computed on ")
}

// The sample gives the same results, to the byte, from one file, and from a fleet of three
// servers made by the scripts that the command writes and found right by its check. Everyday
// one server stands for them, and package fleet makes its own.
func TestFleetGivesTheSameResults(t *testing.T) {
	if os.Getenv("SHORTFALL_LONG") == "" {
		t.Skip("with SHORTFALL_LONG: starts three servers")
	}
	s := fleettest.Start(t)
	workplace(t)
	line := "shortfall fleet -q -o scripts --partitions 5"
	for _, server := range s.Plan().Servers {
		line += fmt.Sprintf(" --server %s=%s:%d/%s", server.Name, server.Host, server.Port, server.Database)
	}
	must(t, line)
	run := func(server int, database, script string) {
		text, err := os.ReadFile("scripts/" + script)
		require.NoError(t, err)
		s.List[server].Psql(t, database, string(text), "SHORTFALL_SHARD_PASSWORD="+fleettest.Password)
	}
	for i, name := range []string{"one", "two", "three"} {
		run(i, fleettest.Share, "shard-"+name+".sql")
	}
	run(0, fleettest.Coordinator, "coordinator.sql")
	address := s.List[0].Address(fleettest.Coordinator)
	out, _ := must(t, "shortfall fleet check --db "+address)
	assert.NotContains(t, out, "wrong:")
	assert.Contains(t, out, "right: sums are made by the servers")
	for name, db := range map[string]string{"file": "clinic.db", "fleet": address} {
		must(t, "shortfall ingest -q --db "+db+" practice.csv")
		must(t, "shortfall audit -q --db "+db+" --json "+name+".json")
		totals, _ := must(t, "shortfall records --totals --db "+db)
		write(t, name+".txt", totals)
	}
	for _, kind := range []string{".json", ".txt"} {
		file, err := os.ReadFile("file" + kind)
		require.NoError(t, err)
		fleet, err := os.ReadFile("fleet" + kind)
		require.NoError(t, err)
		assert.True(t, bytes.Equal(file, fleet), kind)
	}
	require.NoError(t, os.Rename("fleet.json", "server.json"))
	answersAgain(t, address)
	out, _ = must(t, "shortfall fleet upgrade -o upgrade --db "+address)
	assert.Contains(t, out, "there is nothing to bring on")
	code, out, _ := shell(t, "shortfall fleet check --db "+s.List[0].Address("postgres"))
	assert.Equal(t, exit.CodeDatabase, code, out)
}
