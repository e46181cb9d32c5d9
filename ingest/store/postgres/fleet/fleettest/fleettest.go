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

// Servers are three that run, or one in the place of two.
type Servers struct {
	List   []*pgtest.Server
	shares []string // the database of each
	made   atomic.Int64
}

// Start starts three servers, or skips the test where PostgreSQL is not installed.
func Start(t testing.TB, settings ...string) *Servers {
	t.Helper()
	s := &Servers{List: pgtest.StartSeveral(t, 3, settings...), shares: []string{Share, Share, Share}}
	for i, one := range s.List {
		one.Exec(t, "postgres", "CREATE DATABASE "+s.shares[i])
	}
	s.List[0].Exec(t, "postgres", "CREATE DATABASE "+Coordinator)
	return s
}

// On takes one server that runs in the place of two: it has a database for each. To the
// coordinator they are two servers, of which none can fail alone.
func On(t testing.TB, one *pgtest.Server) *Servers {
	t.Helper()
	one.Exec(t, "postgres", "CREATE DATABASE "+Coordinator)
	return &Servers{List: []*pgtest.Server{one, one}, shares: []string{one.Database(t), one.Database(t)}}
}

// Plan of a fleet in schemas of its own.
func (s *Servers) Plan() *fleet.Plan {
	p := &fleet.Plan{Schema: fmt.Sprintf("place%d", s.made.Add(1)), Partitions: 5}
	for i := range s.List {
		p.Servers = append(p.Servers, fleet.Server{Name: []string{"one", "two", "three"}[i], Host: "127.0.0.1", Port: s.List[i].Port, Database: s.shares[i]})
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
		run := func() { failed <- one.TryPsql(s.shares[i], scripts[i].Text, "SHORTFALL_SHARD_PASSWORD="+Password) }
		if s.List[0] == s.List[1] { // one after another, as each makes the role where there is none
			run()
		} else {
			go run()
		}
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
