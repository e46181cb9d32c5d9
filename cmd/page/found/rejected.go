package found

import (
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/store"
	"shortfall/ingest/values"
)

// Rejected is one row that was read and not accepted, with one reason.
type Rejected struct{ Place, Of, Rule, Reason, Remedy string }

// RejectedRows says of each row why it was not accepted, a line a reason.
func RejectedRows(list []store.RejectedRow) (out []Rejected) {
	for _, row := range list {
		for _, reason := range row.Reasons {
			out = append(out, rejectedOf(row, reason))
		}
	}
	return out
}

// OfCase are the rows of a case, as far as their case could be read.
func OfCase(list []store.RejectedRow, code string) (out []store.RejectedRow) {
	for _, row := range list {
		if values.TypedCode(readText(row.Original, columns.Case)) == code {
			out = append(out, row)
		}
	}
	return out
}

// rejectedOf is one reason, with what the row says as far as it was kept.
func rejectedOf(row store.RejectedRow, reason casebook.Problem) Rejected {
	l := Rejected{Place: row.File.Name + ", sheet " + row.Source.Sheet + ", row " + strconv.Itoa(row.Source.Row), Rule: reason.Rule, Reason: reason.Rule}
	if reason.Cell != "" {
		l.Place += ", " + reason.Cell
	}
	if rule, ok := rules.Find(rules.ID(reason.Rule)); ok { // the database keeps no words of a sheet
		l.Reason, l.Remedy = rule.Title, InWindow(rule.Remedy)
	}
	several := 0 // movements in the row: the amounts of the first are not those of the reason
	for _, c := range row.Original.Cells() {
		if c.Kept == columns.Planned.String() {
			several++
		}
	}
	var of []string
	for _, c := range []struct {
		f    columns.Field
		name string
	}{{columns.Case, "case "}, {columns.Tooth, "tooth "}, {columns.Axis, ""}, {columns.Direction, ""}, {columns.Planned, "planned "}, {columns.Achieved, "achieved "}} {
		amount := c.f == columns.Planned || c.f == columns.Achieved
		if text := readText(row.Original, c.f); text != "" && !(amount && several > 1) {
			of = append(of, c.name+text)
		}
	}
	l.Of = strings.Join(of, ", ")
	return l
}

// readText is what a row says in a column that was read, "" where it says nothing.
func readText(o casebook.Original, f columns.Field) string {
	for _, c := range o.Cells() {
		if c.Kept == f.String() {
			return c.Text
		}
	}
	return ""
}
