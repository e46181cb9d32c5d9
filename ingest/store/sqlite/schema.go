package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strings"
	"sync"

	"shortfall/ingest/store"
)

// object is one table, index, view or trigger of a database.
type object struct{ kind, name, table, sql string }

// schemas are the objects of each version, as this program makes them.
var schemas struct {
	sync.Mutex
	of map[int][]object
}

// schemaOf makes the schema of a version in memory and lists its objects, the tables first.
func schemaOf(ctx context.Context, version int) ([]object, error) {
	schemas.Lock()
	defer schemas.Unlock()
	if list, ok := schemas.of[version]; ok {
		return list, nil
	}
	pool, err := sql.Open("sqlite", ":memory:")
	if err != nil {
		return nil, err
	}
	defer pool.Close()
	pool.SetMaxOpenConns(1)
	for _, script := range migrations[:version] {
		if _, err := pool.ExecContext(ctx, script); err != nil {
			return nil, err
		}
	}
	list, err := objectsOf(ctx, pool)
	if err == nil {
		if schemas.of == nil {
			schemas.of = map[int][]object{}
		}
		schemas.of[version] = list
	}
	return list, err
}

// querier is a database or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

func objectsOf(ctx context.Context, from querier) (out []object, err error) {
	rows, err := from.QueryContext(ctx, "SELECT type, name, tbl_name, coalesce(sql, '') FROM sqlite_schema ORDER BY type <> 'table', rowid")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var o object
		if err := rows.Scan(&o.kind, &o.name, &o.table, &o.sql); err != nil {
			return nil, err
		}
		out = append(out, o)
	}
	return out, rows.Err()
}

// creation is the script that gives an empty database the newest schema at once: the
// statements that all migrations leave in one, in a tenth of their time. They leave no
// rows in it.
func creation(ctx context.Context) (string, error) {
	list, err := schemaOf(ctx, len(migrations))
	if err != nil {
		return "", err
	}
	var b strings.Builder
	for _, o := range list {
		if o.sql != "" { // SQLite makes the indexes of keys itself
			b.WriteString(o.sql + ";\n")
		}
	}
	return b.String(), nil
}

// checkSchema compares the database object by object with what this program
// makes: a trigger or a view that came with a file from elsewhere would act
// within every import, and a table without its checks would take anything.
func (db *DB) checkSchema(ctx context.Context, tx *sql.Tx, version int) error {
	want, err := schemaOf(ctx, version)
	if err != nil {
		return err
	}
	got, err := objectsOf(ctx, tx)
	if err != nil {
		return err
	}
	var odd, lacks []string
	for _, o := range got {
		if !slices.Contains(want, o) {
			odd = append(odd, fmt.Sprintf("%s %q", o.kind, o.name))
		}
	}
	for _, o := range want {
		if !slices.Contains(got, o) {
			lacks = append(lacks, fmt.Sprintf("%s %q", o.kind, o.name))
		}
	}
	if len(odd)+len(lacks) == 0 {
		return nil
	}
	slices.Sort(odd)
	slices.Sort(lacks)
	e := store.New(store.Foreign, db.path, nil)
	switch {
	case len(odd) > 0:
		e.Message = "the database holds what this program did not make: " + odd[0]
	default:
		e.Message = "the database lacks what this program makes: " + lacks[0]
	}
	e.Remedy = "It was changed by another program and is not safe to use; take the last copy that is yours alone, or make a new database from the original spreadsheets"
	return e
}
