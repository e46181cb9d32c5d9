package page

import (
	"context"
	"net/http"
	"strconv"
	"strings"

	"shortfall/cmd/page/found"
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/store"
	"shortfall/ingest/values"
)

// rejectedLine is one row that was read and not accepted, with one reason.
type rejectedLine struct{ Place, Of, Rule, Reason, Remedy string }

func (s *server) rejectedPage(w http.ResponseWriter, r *http.Request, p *practice) error {
	list, err := p.db.Rejected(r.Context())
	if err != nil {
		return err
	}
	var lines []rejectedLine
	for _, row := range list[:min(len(list), mostCases)] {
		for _, reason := range row.Reasons {
			lines = append(lines, rejectedOf(row, reason))
		}
	}
	return s.show(w, r, http.StatusOK, "rejected", view{Title: "Rejected rows", Practice: p, Tab: "records", Data: map[string]any{"Lines": lines, "More": max(0, len(list)-mostCases)}})
}

func rejectedOf(row store.RejectedRow, reason casebook.Problem) rejectedLine {
	l := rejectedLine{Place: row.File.Name + ", sheet " + row.Source.Sheet + ", row " + strconv.Itoa(row.Source.Row), Rule: reason.Rule, Reason: reason.Rule}
	if reason.Cell != "" {
		l.Place += ", " + reason.Cell
	}
	if rule, ok := rules.Find(rules.ID(reason.Rule)); ok { // the database keeps no words of a sheet
		l.Reason, l.Remedy = rule.Title, found.InWindow(rule.Remedy)
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
		if text := keptText(row.Original, c.f); text != "" && !(amount && several > 1) {
			of = append(of, c.name+text)
		}
	}
	l.Of = strings.Join(of, ", ")
	return l
}

// keptText is what a row says in a column that was read, "" where it says nothing.
func keptText(o casebook.Original, f columns.Field) string {
	for _, c := range o.Cells() {
		if c.Kept == f.String() {
			return c.Text
		}
	}
	return ""
}

// refusedOf are the rows of a case that were read and not accepted, as far as their case
// could be read.
func (p *practice) refusedOf(ctx context.Context, k casebook.CaseKey) (out []rejectedLine, err error) {
	list, err := p.db.Rejected(ctx)
	if err != nil {
		return nil, err
	}
	for _, row := range list {
		code := values.TypedCode(keptText(row.Original, columns.Case))
		if code != k.ID {
			continue
		}
		for _, reason := range row.Reasons {
			out = append(out, rejectedOf(row, reason))
		}
	}
	return out, nil
}
