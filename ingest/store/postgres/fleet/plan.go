// Package fleet writes and checks the SQL that spreads the records of a group over
// several PostgreSQL servers.
//
// Place in the pipeline: beside store/postgres, for the operator of the servers. The
// records of a case, hashed by practice and pseudonym, lie on one of them: a partition
// that is a foreign table of a coordinator (postgres_fdw,
// https://www.postgresql.org/docs/15/postgres-fdw.html), whose address is then given
// like that of a single server. What the coordinator does with a write of which a server
// kept a part alone is in store/postgres.
package fleet

import (
	"fmt"
	"net"
	"regexp"
	"strconv"
	"strings"
)

// Server is one that holds a share of the records.
type Server struct {
	Name     string // for messages and for the names of objects
	Host     string
	Port     int
	Database string
}

// Plan is what the operator decides.
type Plan struct {
	Schema     string // that holds our tables, on every server
	Servers    []Server
	Partitions int    // at least as many as servers; more of them can be moved later
	RootCert   string // file on the coordinator with the authority that signed the servers' certificates; "": its usual place
}

var (
	plainName = regexp.MustCompile("^[a-z][a-z0-9_]{0,19}$")
	plainHost = regexp.MustCompile(`^[A-Za-z0-9_.:/-]+$`)
)

const (
	usualPort = 5432
	// mostPartitions keeps planning of a statement within some milliseconds.
	mostPartitions = 256
	// mostPort is the last there is.
	mostPort = 65535
)

// ParseServer reads NAME=HOST[:PORT]/DATABASE.
func ParseServer(text string) (Server, error) {
	bad := func(why string) (Server, error) {
		return Server{}, fmt.Errorf("the server %q %s: write NAME=HOST:PORT/DATABASE, such as one=db1.example.org:5432/records", text, why)
	}
	name, at, ok := strings.Cut(text, "=")
	if !ok || !plainName.MatchString(name) {
		return bad("has no plain name (a-z, 0-9 and _, at most 20)")
	}
	cut := strings.LastIndexByte(at, '/')
	if cut <= 0 || !plainName.MatchString(at[cut+1:]) {
		return bad("names no database with a plain name")
	}
	s := Server{Name: name, Host: at[:cut], Port: usualPort, Database: at[cut+1:]}
	if host, port, err := net.SplitHostPort(at[:cut]); err == nil {
		n, err := strconv.Atoi(port)
		if err != nil || n < 1 || n > mostPort {
			return bad("has no port between 1 and 65535")
		}
		s.Host, s.Port = host, n
	}
	if !plainHost.MatchString(s.Host) {
		return bad("has no host")
	}
	return s, nil
}

// Check refuses a plan that no script can be written for.
func (p *Plan) Check() error {
	switch {
	case !plainName.MatchString(p.Schema):
		return fmt.Errorf("the schema %q is not a plain name (a-z, 0-9 and _, at most 20)", p.Schema)
	case len(p.Servers) == 0:
		return fmt.Errorf("a fleet needs servers")
	case p.Partitions < len(p.Servers) || p.Partitions > mostPartitions:
		return fmt.Errorf("%d partitions for %d servers: give each server one at least, and %d in all at most", p.Partitions, len(p.Servers), mostPartitions)
	case p.RootCert != "" && !plainHost.MatchString(p.RootCert):
		return fmt.Errorf("the file of the authority, %q, has characters other than letters, digits and ./_-", p.RootCert)
	}
	names, places := map[string]bool{}, map[string]bool{}
	for _, s := range p.Servers {
		place := fmt.Sprintf("%s:%d/%s", s.Host, s.Port, s.Database)
		if names[s.Name] || places[place] {
			return fmt.Errorf("the server %s, %s, is given twice", s.Name, place)
		}
		names[s.Name], places[place] = true, true
	}
	return nil
}

// PartitionsOf lists the partitions of a server, which are dealt out in turn.
func (p *Plan) PartitionsOf(server int) (list []int) {
	for i := server; i < p.Partitions; i += len(p.Servers) {
		list = append(list, i)
	}
	return list
}

// Loopback tells whether the way to the server stays on the coordinator's machine.
func (s *Server) Loopback() bool {
	ip := net.ParseIP(s.Host)
	return s.Host == "localhost" || strings.HasPrefix(s.Host, "/") || ip != nil && ip.IsLoopback()
}
