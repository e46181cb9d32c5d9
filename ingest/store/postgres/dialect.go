package postgres

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"

	"shortfall/ingest/store/sqlstore"
)

// dialect is what PostgreSQL's SQL has of its own.
type dialect struct{ sqlstore.InPlace }

var _ sqlstore.Dialect = dialect{}

// Statement numbers the arguments: "?" becomes "$1", "?2" becomes "$2". No
// statement of ours has a question mark in a text.
func (dialect) Statement(query string) string {
	var b strings.Builder
	next := 0
	for i := 0; i < len(query); i++ {
		if query[i] != '?' {
			b.WriteByte(query[i])
			continue
		}
		b.WriteByte('$')
		if i+1 < len(query) && query[i+1] >= '1' && query[i+1] <= '9' {
			continue // the digits follow
		}
		next++
		b.WriteString(strconv.Itoa(next))
	}
	return b.String()
}

// Args turns truth into 0 and 1, as the schema has it.
func (dialect) Args(args []any) []any {
	out := args
	for i, a := range args {
		truth, ok := a.(bool)
		if !ok {
			continue
		}
		if &out[0] == &args[0] {
			out = append([]any{}, args...)
		}
		out[i] = int64(0)
		if truth {
			out[i] = int64(1)
		}
	}
	return out
}

// Object is built by row_to_json, whose names are those of the columns.
func (dialect) Object(row string, columns []string) string {
	from := make([]string, len(columns))
	for i, c := range columns {
		from[i] = row + "." + c
	}
	return "(SELECT row_to_json(o)::text FROM (SELECT " + strings.Join(from, ", ") + ") AS o)"
}

// Field reads the object as a row of the table, which gives the column its type.
func (dialect) Field(table, column, object string) string {
	return fmt.Sprintf("(json_populate_record(NULL::%s, %s::json)).%s", table, object, column)
}

// WithPractice changes the text of the object, which keeps its names in their order: a
// quote within a value is escaped, so that what is found is the name.
func (dialect) WithPractice(object, practice string) string {
	return fmt.Sprintf(`regexp_replace(%s, '"practice" *: *("([^"\\]|\\.)*"|null)', '"practice":' || replace(to_json(%s::text)::text, '\', '\\'))`, object, practice)
}

// Insert copies the rows (COPY FROM STDIN) into a table beside the one they belong
// to, and from there into it: COPY itself takes no table whose rows are apart by
// practice (roles.sql). All of it stands behind a savepoint, so that a refused row
// undoes these rows alone.
func (d dialect) Insert(ctx context.Context, tx *sqlstore.Tx, table string, columns []string, args []any) error {
	if _, err := tx.Tx.ExecContext(ctx, "SAVEPOINT rows"); err != nil {
		return err
	}
	err := d.stage(ctx, tx, table, columns, args)
	end := "RELEASE rows"
	if err != nil {
		end = "ROLLBACK TO rows"
	}
	if _, e := tx.Tx.ExecContext(ctx, end); e != nil && err == nil {
		return e
	}
	return err
}

func (d dialect) stage(ctx context.Context, tx *sqlstore.Tx, table string, columns []string, args []any) error {
	staged, list := "staged_"+table, strings.Join(columns, ", ")
	if _, err := tx.Tx.ExecContext(ctx, fmt.Sprintf(
		"CREATE TEMP TABLE IF NOT EXISTS %s ON COMMIT DROP AS SELECT %s FROM %s WITH NO DATA", staged, list, table)); err != nil {
		return err
	}
	args = d.Args(args)
	rows := make([][]any, 0, len(args)/len(columns))
	for i := 0; i < len(args); i += len(columns) {
		rows = append(rows, args[i:i+len(columns)])
	}
	err := tx.Conn.Raw(func(c any) error {
		_, err := c.(*stdlib.Conn).Conn().CopyFrom(ctx, pgx.Identifier{staged}, columns, pgx.CopyFromRows(rows))
		return err
	})
	if err != nil {
		return err
	}
	for _, q := range []string{
		fmt.Sprintf("INSERT INTO %s (%s) SELECT %s FROM %s", table, list, list, staged), "TRUNCATE " + staged,
	} {
		if _, err := tx.Tx.ExecContext(ctx, q); err != nil {
			return err
		}
	}
	return nil
}

// callsAtOnce go to the server before the first answer is waited for.
const callsAtOnce = 1000

// Run sends many statements at once; each is prepared once.
func (dialect) Run(ctx context.Context, tx *sqlstore.Tx, calls []sqlstore.Call) error {
	return tx.Conn.Raw(func(c any) error {
		for some := range slices.Chunk(calls, callsAtOnce) {
			b := &pgx.Batch{}
			for _, call := range some {
				b.Queue(tx.Statement(call.Query), tx.Args(call.Args)...)
			}
			if err := c.(*stdlib.Conn).Conn().SendBatch(ctx, b).Close(); err != nil {
				return err
			}
		}
		return nil
	})
}

// RowsAtOnce bounds what a refused row makes to be written one by one.
func (dialect) RowsAtOnce() int { return 2000 }
