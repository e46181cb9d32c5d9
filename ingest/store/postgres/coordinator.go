package postgres

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlstore"
)

// lookAgain is how long a server that failed is given to answer.
const lookAgain = 10 * time.Second

// silent names the servers that do not answer the coordinator, "" where all do.
func (db *DB) silent() string {
	ctx, cancel := context.WithTimeout(context.Background(), lookAgain)
	defer cancel()
	rows, err := db.sql.QueryContext(ctx, "SELECT name FROM shards ORDER BY name")
	if err != nil {
		return ""
	}
	var names, out []string
	for rows.Next() {
		var n string
		if rows.Scan(&n) == nil {
			names = append(names, n)
		}
	}
	rows.Close()
	for _, n := range names {
		var version int
		if db.sql.QueryRowContext(ctx, fmt.Sprintf("SELECT version FROM %s_shards.about_%s", db.schema, n)).Scan(&version) != nil {
			out = append(out, n)
		}
	}
	return strings.Join(out, ", ")
}

// serverLost says which server of a fleet failed.
func (db *DB) serverLost() string {
	if names := db.silent(); names != "" {
		return "of the servers of the fleet " + names + " cannot be reached"
	}
	return "the connection to a server of the fleet was lost"
}

// PlanOfSums is how a coordinator means to sum the movements up, as EXPLAIN writes it.
func (db *DB) PlanOfSums(ctx context.Context) (string, error) {
	rows, err := db.sql.QueryContext(ctx, "EXPLAIN (VERBOSE, COSTS OFF) "+dialect{}.Statement(sqlstore.SumsStatement(true)), sqlstore.SumsArgs(casebook.SumsOf{})...)
	if err != nil {
		return "", db.Wrap(err)
	}
	defer rows.Close()
	var plan strings.Builder
	for rows.Next() {
		var line string
		if err := rows.Scan(&line); err != nil {
			return "", db.Wrap(err)
		}
		plan.WriteString(line + "\n")
	}
	return plan.String(), db.Wrap(rows.Err())
}

// ConnectCoordinator connects to the coordinator of a fleet of any version, which must be
// there, and gives the schema of our tables, which the connection sees, and what turns
// errors of it into a *store.Error.
func ConnectCoordinator(ctx context.Context, address string) (c *pgx.Conn, schema string, wrap func(error) error, err error) {
	config, err := configure(address)
	if err != nil {
		return nil, "", nil, err
	}
	there := &DB{path: pathOf(config), schema: config.RuntimeParams["search_path"]}
	if c, err = pgx.ConnectConfig(ctx, config); err != nil {
		return nil, "", nil, there.Wrap(err)
	}
	var coordinates bool
	err = c.QueryRow(ctx, "SELECT EXISTS (SELECT FROM pg_tables WHERE schemaname = $1 AND tablename = 'writes')", there.schema).Scan(&coordinates)
	if err == nil && !coordinates {
		err = &store.Error{
			Kind: store.NotThere, Path: there.path, Message: "there is no coordinator of a fleet",
			Remedy: "Give the address of the database in which coordinator.sql was run",
		}
	}
	if err != nil {
		c.Close(ctx)
		return nil, "", nil, there.Wrap(err)
	}
	return c, there.schema, there.Wrap, nil
}

// OpenCoordinator opens the coordinator of a fleet, which must be there, and a connection
// of its own beside it that sees our tables, in the schema that it names.
func OpenCoordinator(ctx context.Context, address string) (db *DB, c *pgx.Conn, schema string, err error) {
	c, schema, _, err = ConnectCoordinator(ctx, address)
	if err != nil {
		return nil, nil, "", err
	}
	if db, err = Open(ctx, address); err != nil {
		c.Close(ctx)
		return nil, nil, "", err
	}
	return db, c, schema, nil
}

// onlyAShard refuses a server that holds a share of a fleet.
func onlyAShard(path string) error {
	return &store.Error{
		Kind: store.Foreign, Path: path, Message: "this server holds a share of the records of a fleet",
		Remedy: "Give the address of the fleet's coordinator",
	}
}
