package page

import (
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/look"
)

// leaving is a column that a file with identifiers can be read without: nothing of a
// column that is not read is kept.
type leaving struct{ ID, Name string }

// leavable lists the columns in which everything stands that the screen found, none where
// something stands elsewhere: in a name, a comment, above the table or on a sheet that
// was taken apart.
func leavable(found []casebook.Problem, v *look.View) (out []leaving) {
	if v == nil {
		return nil
	}
	for _, p := range found {
		letter := strings.TrimRight(strings.SplitN(p.Cell, ":", 2)[0], "0123456789")
		s := v.Sheet(p.Sheet)
		if letter == "" || s == nil || s.Header == 0 || s.Apart() || rowOf(p.Cell) < s.Header {
			return nil
		}
		i := slices.IndexFunc(s.Columns, func(c look.Column) bool { return c.Letter == letter })
		if i < 0 {
			return nil
		}
		l := leaving{s.Columns[i].ID, called(s, i)}
		if !slices.Contains(out, l) {
			out = append(out, l)
		}
	}
	slices.SortFunc(out, func(a, b leaving) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// called is a column by its letter, and by its header where that names nobody.
func called(s *look.Sheet, i int) string {
	for _, row := range s.Rows(s.Header, 1) {
		if c := s.Cells(row)[i]; c.Text != "" {
			return s.Columns[i].Letter + " “" + c.Text + "”"
		}
	}
	return s.Columns[i].Letter
}
