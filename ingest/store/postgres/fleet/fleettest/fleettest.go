// Package fleettest makes fleets of PostgreSQL servers for tests, as an operator would by
// the scripts of package fleet.
//
// Place in the pipeline: none; imported by tests alone.
package fleettest

import (
	"fmt"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/ingest/store/postgres/fleet"
	"shortfall/ingest/store/postgres/pgtest"
)

// Password of the coordinator, on servers that live as long as the test.
const Password = "not a secret"

// Databases on the servers: each has its share, and the first the coordinator's.
const (
	Share       = "share"
	Coordinator = "coordinator"
)

// Servers are three that run.
type Servers struct {
	List []*pgtest.Server
	made atomic.Int64
}

// Start starts three servers, or skips the test where PostgreSQL is not installed.
func Start(t testing.TB, settings ...string) *Servers {
	t.Helper()
	s := &Servers{List: pgtest.StartSeveral(t, 3, settings...)}
	for _, one := range s.List {
		one.Exec(t, "postgres", "CREATE DATABASE "+Share)
	}
	s.List[0].Exec(t, "postgres", "CREATE DATABASE "+Coordinator)
	return s
}

// Plan of a fleet in schemas of its own.
func (s *Servers) Plan() *fleet.Plan {
	p := &fleet.Plan{Schema: fmt.Sprintf("place%d", s.made.Add(1)), Partitions: 5}
	for i, name := range []string{"one", "two", "three"} {
		p.Servers = append(p.Servers, fleet.Server{Name: name, Host: "127.0.0.1", Port: s.List[i].Port, Database: Share})
	}
	return p
}

// Make carries a plan out, roles aside, and gives the address of its coordinator.
func (s *Servers) Make(t testing.TB, p *fleet.Plan) string {
	t.Helper()
	scripts, err := fleet.Scripts(p)
	require.NoError(t, err)
	failed := make(chan error, len(s.List))
	for i, one := range s.List {
		go func() { failed <- one.TryPsql(Share, scripts[i].Text, "SHORTFALL_SHARD_PASSWORD="+Password) }()
	}
	for range s.List {
		require.NoError(t, <-failed)
	}
	s.List[0].Psql(t, Coordinator, scripts[len(s.List)].Text, "SHORTFALL_SHARD_PASSWORD="+Password)
	return s.Address("owner", p)
}

// Address of a coordinator for a role.
func (s *Servers) Address(role string, p *fleet.Plan) string {
	return s.List[0].AddressOf(role, Coordinator) + "&search_path=" + p.Schema
}
