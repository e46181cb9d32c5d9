package fleet

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/jackc/pgx/v5"

	"shortfall/ingest/store"
	"shortfall/ingest/store/postgres"
)

// Finding is one thing that was looked at.
type Finding struct {
	What   string
	Wrong  string // what is wrong; "" where it is right
	Remedy string
	Advice bool // worth knowing, and no fault
}

// leastVersion is the first with views that keep the reader's rights (security_invoker).
const leastVersion = 150000

// checking is one check under way.
type checking struct {
	ctx      context.Context
	c        *pgx.Conn
	schema   string
	findings []Finding
	err      error
}

// Check looks a fleet over through its coordinator, over the connections that it uses
// itself: that it and its servers answer, are of the right version and encrypted beyond the
// coordinator's machine, that every partition is where it should be and like the
// coordinator's, that nobody gets past the policies, and that sums are made by the servers.
// The error is a *store.Error: the coordinator cannot be reached or is none.
func Check(ctx context.Context, address string) ([]Finding, error) {
	db, c, schema, err := postgres.OpenCoordinator(ctx, address)
	if err != nil {
		return nil, err
	}
	defer db.Close()
	defer c.Close(ctx)
	plan, err := db.PlanOfSums(ctx)
	if err != nil {
		return nil, err
	}
	k := &checking{ctx: ctx, c: c, schema: schema}
	k.coordinator()
	shards := k.shards()
	for i := range shards {
		k.server(&shards[i])
	}
	k.together(db, shards)
	k.partitions(shards)
	k.roles()
	k.pushedDown(plan, shards)
	k.unfinished()
	return k.findings, db.Wrap(k.err)
}

func (k *checking) note(what, wrong, remedy string) {
	k.findings = append(k.findings, Finding{What: what, Wrong: wrong, Remedy: remedy})
}

// judge notes one thing that must hold.
func (k *checking) judge(ok bool, what, wrong, remedy string) {
	if ok {
		wrong, remedy = "", ""
	}
	k.note(what, wrong, remedy)
}

// row reads one row of the coordinator; the first error ends the check.
func (k *checking) row(query string, args []any, targets ...any) bool {
	if k.err == nil {
		k.err = k.c.QueryRow(k.ctx, query, args...).Scan(targets...)
	}
	return k.err == nil
}

// rows reads a query row by row.
func rows[T any](k *checking, query string, args ...any) (out []T) {
	if k.err != nil {
		return nil
	}
	r, err := k.c.Query(k.ctx, query, args...)
	if err == nil {
		out, err = pgx.CollectRows(r, pgx.RowToStructByPos[T])
	}
	k.err = err
	return out
}

func (k *checking) coordinator() {
	var version int
	if k.row("SELECT current_setting('server_version_num')::integer", nil, &version) {
		k.judge(version >= leastVersion, "the coordinator's PostgreSQL is 15 or later", fmt.Sprintf("it is %d", version/10000), "Move the coordinator's database to a later one")
	}
}

// together looks, where all servers answer, whether none was put back from a copy alone.
func (k *checking) together(db *postgres.DB, shards []shard) {
	if k.err != nil || slices.ContainsFunc(shards, func(s shard) bool { return s.about == nil }) {
		return
	}
	var apart *store.Error
	err := db.Together(k.ctx)
	switch {
	case err == nil:
		k.note("coordinator and servers are of one moment", "", "")
	case errors.As(err, &apart):
		k.note("coordinator and servers are of one moment", apart.Message, apart.Remedy)
	default:
		k.err = err
	}
}

// shard is what the coordinator has written down of a server, and how it connects.
type shard struct {
	Name, Server string
	Partitions   []int32
	Options      []string
	about        *about
}

func (s *shard) option(name string) string {
	for _, o := range s.Options {
		if v, ok := strings.CutPrefix(o, name+"="); ok {
			return v
		}
	}
	return ""
}

// about is what a server says of itself.
type about struct {
	Name          string
	Version       int
	Partitions    []int32
	Modulus       int
	ServerVersion int
	Encrypted     bool
	Superuser     bool
	LogsValues    bool
	Tables        []string
}

func (k *checking) shards() (list []shard) {
	type row struct {
		Name, Server string
		Partitions   []int32
		Options      []string
	}
	for _, r := range rows[row](k, "SELECT s.name, s.server, s.partitions, coalesce(f.srvoptions, '{}') FROM shards s LEFT JOIN pg_foreign_server f ON f.srvname = s.server ORDER BY s.name") {
		list = append(list, shard{Name: r.Name, Server: r.Server, Partitions: r.Partitions, Options: r.Options})
	}
	return list
}

// server asks one about itself; that it does not answer is a finding.
func (k *checking) server(s *shard) {
	if k.err != nil {
		return
	}
	the := "server " + s.Name + ": "
	r, err := k.c.Query(k.ctx, "SELECT * FROM "+k.schema+"_shards.about_"+s.Name)
	var list []about
	if err == nil {
		list, err = pgx.CollectRows(r, pgx.RowToStructByPos[about])
	}
	if err != nil || len(list) != 1 {
		k.err = k.ctx.Err()
		k.note(the+"answers", "it does not, or not to the role shortfall_shard", "Look at the coordinator's log; check host, port, password and pg_hba.conf of "+s.option("host"))
		return
	}
	a := &list[0]
	s.about = a
	k.note(the+"answers", "", "")
	k.judge(a.Name == s.Name, the+"is the one that was meant", "it calls itself "+a.Name, "Correct host and port of the server "+s.Server+" (ALTER SERVER)")
	k.judge(a.Version == postgres.SchemaVersion(), the+"has the tables of this program", fmt.Sprintf("they are of version %d, not %d", a.Version, postgres.SchemaVersion()), "Bring it to the coordinator's version")
	k.judge(a.ServerVersion >= leastVersion, the+"its PostgreSQL is 15 or later", fmt.Sprintf("it is %d", a.ServerVersion/10000), "Move its database to a later one")
	here := Server{Host: s.option("host")}
	k.judge(here.Loopback() || a.Encrypted, the+"the connection is encrypted, or stays on the coordinator's machine", "records travel in the clear", "Switch ssl on in its postgresql.conf, and let in only hostssl in pg_hba.conf")
	k.judge(here.Loopback() || s.option("sslmode") == "verify-full", the+"its certificate is checked, or it is the coordinator's machine", "sslmode is not verify-full, so that another machine could pose as it",
		"ALTER SERVER "+s.Server+" OPTIONS (SET sslmode 'verify-full')")
	k.judge(!a.Superuser, the+"the coordinator's role there is no superuser", "it may do anything there", "Let it connect as shortfall_shard")
	if a.LogsValues {
		k.findings = append(k.findings, Finding{What: the + "its log shows no values", Wrong: "statements are logged, pseudonyms among them", Remedy: "ALTER ROLE shortfall_shard SET log_statement = 'none', and so log_min_duration_statement = -1 and log_error_verbosity = 'terse'", Advice: true})
	}
}

// roles looks whether readers and writers are kept to their practices.
func (k *checking) roles() {
	var there, bare, past bool
	ok := k.row(`SELECT coalesce(has_schema_privilege(to_regrole('shortfall_reader')::oid, $1, 'USAGE'), false),
		EXISTS (SELECT FROM pg_class WHERE relnamespace = $1::regnamespace AND relname LIKE '%\_kept' AND relkind = 'p' AND NOT relrowsecurity)`, []any{k.schema}, &there, &bare)
	if !ok {
		return
	}
	if !there {
		k.findings = append(k.findings, Finding{What: "roles for readers and writers", Wrong: "there are none, so that only the owner reads and writes", Remedy: "Run roles.sql where others should", Advice: true})
		return
	}
	k.judge(!bare, "practices are kept apart", "roles are there and a table has no policy", "Run roles.sql in the coordinator's database")
	if k.row("SELECT has_schema_privilege('shortfall_reader', $1, 'USAGE')", []any{k.schema + "_shards"}, &past) {
		k.judge(!past, "partitions are reached through their tables alone", "roles may read partitions past the policies", "REVOKE ALL ON SCHEMA "+k.schema+"_shards FROM shortfall_reader, shortfall_writer")
	}
}

// pushedDown looks whether the servers make the sums: in the plan of the query each of
// their scans must group.
func (k *checking) pushedDown(plan string, shards []shard) {
	if k.err != nil {
		return
	}
	partitions := 0
	for _, s := range shards {
		partitions += len(s.Partitions)
	}
	remote := remoteStatements(plan)
	grouped := 0
	for _, r := range remote {
		if strings.Contains(r, " GROUP BY ") {
			grouped++
		}
	}
	k.judge(grouped == partitions && len(remote) == partitions, "sums are made by the servers",
		fmt.Sprintf("of %d scans %d group", len(remote), grouped), "Run ANALYZE over the tables of the coordinator; audits are right all the same, and slower")
}

// remoteStatements are those that a plan sends to servers.
func remoteStatements(plan string) (out []string) {
	for line := range strings.SplitSeq(plan, "\n") {
		if _, sql, ok := strings.Cut(line, "Remote SQL: "); ok {
			out = append(out, sql)
		}
	}
	return out
}

func (k *checking) unfinished() {
	var n int
	if k.row("SELECT count(*) FROM writes WHERE NOT done", nil, &n) && n > 0 {
		k.findings = append(k.findings, Finding{
			What: "writes that were never completed", Advice: true,
			Wrong: fmt.Sprintf("%d: refused, interrupted or under way; nothing of them counts", n), Remedy: "The next import deletes what servers kept of them",
		})
	}
}
