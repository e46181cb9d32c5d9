package sqlite

import (
	"context"
	"strings"

	"shortfall/ingest/store/sqlstore"
)

// dialect is what SQLite's SQL has of its own.
type dialect struct{ sqlstore.InPlace }

var _ sqlstore.Dialect = dialect{}

func (dialect) Statement(query string) string { return query }
func (dialect) Args(args []any) []any         { return args }

func (dialect) Object(row string, columns []string) string {
	pairs := make([]string, len(columns))
	for i, c := range columns {
		pairs[i] = "'" + c + "', " + row + "." + c
	}
	return "json_object(" + strings.Join(pairs, ", ") + ")"
}

func (dialect) Field(_, column, object string) string {
	return "json_extract(" + object + ", '$." + column + "')"
}

func (dialect) WithPractice(object, practice string) string {
	return "json_set(" + object + ", '$.practice', " + practice + ")"
}

// Insert is one statement, which SQLite undoes alone where a row is refused.
func (d dialect) Insert(ctx context.Context, tx *sqlstore.Tx, table string, columns []string, args []any) (err error) {
	rows := len(args) / len(columns)
	if statement := sqlstore.InsertRows(table, columns, rows); rows == d.RowsAtOnce() {
		_, err = tx.Repeated(ctx, statement, args...)
	} else {
		_, err = tx.ExecContext(ctx, statement, args...)
	}
	return err
}

// RowsAtOnce was measured; more gain nothing (see BenchmarkImport).
func (dialect) RowsAtOnce() int { return 64 }
