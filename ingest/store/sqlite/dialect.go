package sqlite

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/store/sqlstore"
)

// dialect is what SQLite's SQL has of its own; each transaction has one.
type dialect struct {
	sqlstore.InPlace
	alike map[string]alikeRows // statements for rows alike, by table and what is bound
	bound []any                // of the last of them
}

var _ sqlstore.Dialect = (*dialect)(nil)

// alikeRows is a statement for rows alike of some columns.
type alikeRows struct {
	columns   []string
	statement string
}

func (*dialect) Statement(query string) string { return query }
func (*dialect) Args(args []any) []any         { return args }

func (*dialect) Object(row string, columns []string) string {
	pairs := make([]string, len(columns))
	for i, c := range columns {
		pairs[i] = "'" + c + "', " + row + "." + c
	}
	return "json_object(" + strings.Join(pairs, ", ") + ")"
}

func (*dialect) Field(_, column, object string) string {
	return "json_extract(" + object + ", '$." + column + "')"
}

func (*dialect) WithPractice(object, practice string) string {
	return "json_set(" + object + ", '$.practice', " + practice + ")"
}

// Insert is one statement, which SQLite undoes alone where a row is refused.
func (d *dialect) Insert(ctx context.Context, tx *sqlstore.Tx, table string, columns []string, args []any) (err error) {
	rows := len(args) / len(columns)
	if rows < d.RowsAtOnce() {
		_, err = tx.ExecContext(ctx, sqlstore.InsertRows(table, columns, rows), args...)
		return err
	}
	statement, bound := d.insertAlike(table, columns, args)
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

// What of a column is bound: nothing, one value, or one of each row.
const (
	boundNever = '0' + iota
	boundOnce
	boundEach
)

// insertAlike is a statement for rows that binds the value of such a column once where all
// of them have it, and that leaves a column out where none has a value, since no column of
// records has another default. Binding is a third of an insert, and half of what there
// would be to bind is of these kinds. What is bound holds until the next one.
func (d *dialect) insertAlike(table string, columns []string, args []any) (statement string, bound []any) {
	bound = d.bound[:0]
	kinds := append([]byte(table), ' ')
	var own []int // the columns bound once a row
	for c, name := range columns {
		switch alike := alike(args[c:], len(columns)); {
		case alike && args[c] == nil:
			kinds = append(kinds, boundNever)
		case alike && slices.Contains(alikeColumns, name):
			kinds, bound = append(kinds, boundOnce), append(bound, args[c])
		default:
			kinds, own = append(kinds, boundEach), append(own, c)
		}
	}
	for first := 0; first < len(args); first += len(columns) {
		for _, c := range own {
			bound = append(bound, args[first+c])
		}
	}
	d.bound = bound
	known := d.alike[string(kinds)]
	if !slices.Equal(known.columns, columns) {
		known = alikeRows{columns, statementAlike(table, columns, kinds[len(table)+1:], len(args)/len(columns))}
		if d.alike == nil || len(d.alike) >= mostPrepared {
			d.alike = map[string]alikeRows{}
		}
		d.alike[string(kinds)] = known
	}
	return known.statement, bound
}

// statementAlike writes the statement for so many rows.
func statementAlike(table string, columns []string, kinds []byte, rows int) string {
	var once, each, values []string
	for c, name := range columns {
		switch kinds[c] {
		case boundOnce: // numbered first, so that the others get higher numbers
			once, values = append(once, name), append(values, fmt.Sprintf("?%d", len(once)+1))
		case boundEach:
			each = append(each, name)
		}
	}
	for range each {
		values = append(values, "?")
	}
	row := "(" + strings.Join(values, ",") + ")"
	return fmt.Sprintf("INSERT INTO %s (%s) VALUES %s", table, strings.Join(append(once, each...), ","),
		strings.TrimSuffix(strings.Repeat(row+",", rows), ","))
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
func (*dialect) Run(ctx context.Context, tx *sqlstore.Tx, calls []sqlstore.Call) error {
	for _, c := range calls {
		if _, err := tx.Repeated(ctx, c.Query, c.Args...); err != nil {
			return err
		}
	}
	return nil
}

// RowsAtOnce was measured; more gain nothing (see BenchmarkImport).
func (*dialect) RowsAtOnce() int { return 64 }
