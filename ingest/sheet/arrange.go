package sheet

import (
	"cmp"
	"slices"

	"shortfall/ingest/rules"
)

// grownRows are so many that memory matters.
const grownRows = 1 << 17

// arrange puts rows and cells in order, joins rows given in pieces, drops
// blanks and refuses two cells in one place.
func (s *Sheet) arrange() error {
	byNumber := func(a, b Row) int { return cmp.Compare(a.Number, b.Number) }
	if !slices.IsSortedFunc(s.Rows, byNumber) {
		slices.SortStableFunc(s.Rows, byNumber)
	}
	out := s.Rows[:0]
	for _, r := range s.Rows {
		if n := len(out); n > 0 && out[n-1].Number == r.Number {
			out[n-1].cells = append(out[n-1].cells, r.cells...)
			out[n-1].Hidden = out[n-1].Hidden || r.Hidden
			continue
		}
		out = append(out, r)
	}
	s.Rows = out
	for i := range s.Rows {
		if err := s.Rows[i].arrange(); err != nil {
			return err
		}
	}
	s.Rows = slices.DeleteFunc(s.Rows, func(r Row) bool { return r.Len() == 0 })
	if n := len(s.Rows); n > grownRows && cap(s.Rows)-n > n/8 {
		s.Rows = append(make([]Row, 0, n), s.Rows...) // what they grew into is given back
	}
	return nil
}

func (r *Row) arrange() error {
	byCol := func(a, b compact) int { return cmp.Compare(a.col, b.col) }
	if !slices.IsSortedFunc(r.cells, byCol) {
		slices.SortStableFunc(r.cells, byCol)
	}
	for i := 1; i < len(r.cells); i++ {
		if r.cells[i].col == r.cells[i-1].col {
			p := rules.New(rules.SheetDamaged, "two cells stand in one place")
			p.Cell = Ref(r.Number, int(r.cells[i].col))
			return p
		}
	}
	r.cells = slices.DeleteFunc(r.cells, func(c compact) bool { return c.kind == Blank })
	return nil
}
