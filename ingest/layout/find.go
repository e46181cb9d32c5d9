package layout

import (
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/mapping"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// searchRows is how many rows are looked at for a header.
const searchRows = 40

// candidate is a place where a header may be.
type candidate struct {
	index, rows int // index into Sheet.Rows, number of header rows
	kind        casebook.Kind
	texts       map[int]string // by column
	matched     int
}

// find looks for the best header of a sheet. Declared columns count as matched.
func find(s *sheet.Sheet, declared *mapping.Sheet) (candidate, bool) {
	var best candidate
	kinds := casebook.Kinds()
	if k := declared.KindOf(); k != casebook.NoKind {
		kinds = []casebook.Kind{k}
	} else if k := kindByName(s.Name); k != casebook.NoKind {
		// The name of a sheet of the template decides between equal kinds.
		kinds = slices.Concat([]casebook.Kind{k}, kinds)
	}
	for i := range s.Rows[:min(len(s.Rows), searchRows)] {
		for _, c := range headersAt(s, i, declared) {
			for _, k := range kinds {
				c := c
				c.kind = k
				c.matched = c.count(declared)
				if k == casebook.MovementKind && len(kinds) > 1 && !c.ofMovements(s, declared) {
					c.matched /= 2 // a list of cases or courses has most of these columns too
				}
				if c.better(best, declared) {
					best = c
				}
			}
		}
	}
	return best, best.matched >= 2
}

// better prefers more matched columns, and with as many a kind whose required
// columns are all there.
func (c candidate) better(o candidate, declared *mapping.Sheet) bool {
	if c.matched != o.matched {
		return c.matched > o.matched
	}
	return c.matched > 0 && c.complete(declared) > o.complete(declared)
}

// complete counts the required columns of the kind that the header has.
func (c candidate) complete(declared *mapping.Sheet) int {
	n := 0
	for _, d := range columns.Of(c.kind) {
		if !d.Required {
			continue
		}
		n--
		for col, text := range c.texts {
			f, _, ok := declared.Field(text, sheet.ColumnName(col))
			if !ok {
				f = parse(text, c.kind).Field
			}
			if f == d.Field {
				n++
				break
			}
		}
	}
	return n
}

// ofMovements reports a header that names a tooth, an axis or, over values that can
// be one, an amount: "Outcome" over "done" and "stopped" is none.
func (c candidate) ofMovements(s *sheet.Sheet, declared *mapping.Sheet) bool {
	t := &Table{Sheet: s, Body: s.Rows[c.index].Number + c.rows}
	for col, text := range c.texts {
		f, _, ok := declared.Field(text, sheet.ColumnName(col))
		h := Header{Field: f}
		if !ok {
			h = parse(text, casebook.MovementKind)
		}
		amount := !h.Weak && (h.Field == columns.Planned || h.Field == columns.Achieved)
		if h.wide() || h.Field == columns.Tooth || h.Field == columns.Axis || amount && (ok || t.profile(col).fits(h.Field)) {
			return true
		}
	}
	return false
}

func kindByName(name string) casebook.Kind {
	for _, k := range casebook.Kinds() {
		if strings.EqualFold(strings.TrimSpace(name), columns.SheetName(k)) {
			return k
		}
	}
	return casebook.NoKind
}

// count is how many columns are known; amounts of one meaning, as in the lower row of a
// header of two rows, are known once.
func (c candidate) count(declared *mapping.Sheet) int {
	n := 0
	seen := map[claim]bool{}
	for col, text := range c.texts {
		f, _, ok := declared.Field(text, sheet.ColumnName(col))
		_, own := columns.Find(c.kind, f) // none is of a column that is not to be read
		own = own || c.kind == casebook.MovementKind && caseFields[f]
		if ok && own {
			n++
			continue
		}
		h := parse(text, c.kind)
		k := claim{h.Field, Pairing{h.Tooth, h.Axis, h.Direction, h.Course}}
		if !ok && h.Field != columns.NoField && !(OfOneMovement(h.Field) && seen[k]) {
			seen[k] = true
			n++
		}
	}
	return n
}

// headersAt gives the row alone, and joined with the one below where that one
// holds texts only.
func headersAt(s *sheet.Sheet, i int, declared *mapping.Sheet) []candidate {
	row := s.Rows[i]
	if declared != nil && declared.Header > 0 && declared.Header != row.Number {
		return nil
	}
	single := candidate{index: i, rows: 1, texts: sheet.Texts(row)}
	out := []candidate{single}
	if i+1 < len(s.Rows) && s.Rows[i+1].Number == row.Number+1 && onlyWords(s.Rows[i+1]) {
		joined := s.JoinRows(row, s.Rows[i+1])
		out = append(out, candidate{index: i, rows: 2, texts: joined})
	}
	if declared != nil && declared.HeaderRows > 0 {
		out = slices.DeleteFunc(out, func(c candidate) bool { return c.rows != declared.HeaderRows })
	}
	return out
}

// onlyWords tells a second header row from data: texts, and no number among them.
func onlyWords(r sheet.Row) bool {
	for _, c := range r.All() {
		if c.Kind != sheet.String {
			return false
		}
		if _, err := values.ParseAmount(c.Text, 0); err == nil {
			return false
		}
	}
	return r.Len() > 0
}
