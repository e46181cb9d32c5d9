package sqlite

import (
	"context"
	"fmt"
	"slices"
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
	if rows < d.RowsAtOnce() {
		_, err = tx.ExecContext(ctx, sqlstore.InsertRows(table, columns, rows), args...)
		return err
	}
	statement, bound := insertAlike(table, columns, args)
	if ready, all := tx.Prepared(statement); !ready && all >= mostPrepared {
		statement, bound = sqlstore.InsertRows(table, columns, rows), args
	}
	_, err = tx.Repeated(ctx, statement, bound...)
	return err
}

// mostPrepared statements of one transaction, of some 50 kB each, are for rows alike.
const mostPrepared = 64

// alikeColumns are those in which the rows of a sheet mostly have one value.
var alikeColumns = []string{"practice", "size_only", "file_id", "sheet", "layout_id", "original"}

// insertAlike is a statement for rows that binds the value of such a column once where all
// of them have it, and that leaves a column out where none has a value, since no column of
// records has another default. Binding is a third of an insert, and half of what there
// would be to bind is of these kinds.
func insertAlike(table string, columns []string, args []any) (statement string, bound []any) {
	var once, each []string
	var own []int // the columns bound once a row
	for c, name := range columns {
		switch alike := alike(args[c:], len(columns)); {
		case alike && args[c] == nil:
		case alike && slices.Contains(alikeColumns, name):
			once, bound = append(once, name), append(bound, args[c])
		default:
			each, own = append(each, name), append(own, c)
		}
	}
	values := make([]string, 0, len(columns))
	for i := range once { // numbered first, so that the others get higher numbers
		values = append(values, fmt.Sprintf("?%d", i+1))
	}
	for range each {
		values = append(values, "?")
	}
	rows := len(args) / len(columns)
	row := "(" + strings.Join(values, ",") + ")"
	statement = fmt.Sprintf("INSERT INTO %s (%s) VALUES %s", table, strings.Join(append(once, each...), ","),
		strings.TrimSuffix(strings.Repeat(row+",", rows), ","))
	bound = slices.Grow(bound, rows*len(own))
	for first := 0; first < len(args); first += len(columns) {
		for _, c := range own {
			bound = append(bound, args[first+c])
		}
	}
	return statement, bound
}

// alike reports whether every so manieth value is the same.
func alike(args []any, step int) bool {
	for i := step; i < len(args); i += step {
		if args[i] != args[0] {
			return false
		}
	}
	return true
}

// Run prepares each statement once.
func (dialect) Run(ctx context.Context, tx *sqlstore.Tx, calls []sqlstore.Call) error {
	for _, c := range calls {
		if _, err := tx.Repeated(ctx, c.Query, c.Args...); err != nil {
			return err
		}
	}
	return nil
}

// RowsAtOnce was measured; more gain nothing (see BenchmarkImport).
func (dialect) RowsAtOnce() int { return 64 }
