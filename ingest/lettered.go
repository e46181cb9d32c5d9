package ingest

import (
	"slices"

	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/privacy"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// lettered says so where the letters of the codes of cases could be initials or parts of
// names. No code is repeated, and none refused: a code of letters can be anything.
func (r *reader) lettered() {
	codes := r.Batch.CaseCodes()
	n := privacy.Lettered(codes)
	i := slices.IndexFunc(r.Tables, func(t *layout.Table) bool { return t.Has(columns.Case) })
	if n == 0 || i < 0 {
		return
	}
	t := r.Tables[i]
	p := rules.New(rules.CodeLettered, "%d of %d codes of cases have letters of their own, as initials and parts of names are", n, len(codes))
	p.File, p.Sheet, p.Cell, p.Row, p.Count = r.Book.File.Name, t.Sheet.Name, sheet.Ref(t.Header, t.Find(columns.Case)), t.Header, n
	r.Batch.Problems = append(r.Batch.Problems, p)
}
