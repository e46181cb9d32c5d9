package main

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store/postgres/pgtest"
)

// The same file, in a database of a server and in one of one file, gives the same
// results, to the byte; the verbs speak of both alike.
func TestServerGivesTheSameResults(t *testing.T) {
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
}
