package found

import (
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/look"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// Leaving is a column that a file with identifiers can be read without: nothing of a
// column that is not read is kept.
type Leaving struct{ ID, Name string }

// Letter of the column.
func (l Leaving) Letter() string {
	letter, _, _ := strings.Cut(l.Name, " ")
	return letter
}

// Leavable lists the columns in which everything stands that the screen found, none where
// something stands elsewhere: in a name, a comment, above the table or on a sheet that
// was taken apart.
func Leavable(found []casebook.Problem, v *look.View) (out []Leaving) {
	if v == nil {
		return nil
	}
	for _, p := range found {
		row, col := sheet.Place(p.Cell)
		s := v.Sheet(p.Sheet)
		if col == 0 || s == nil || s.Header == 0 || s.Apart() || row < s.Header {
			return nil
		}
		i := slices.IndexFunc(s.Columns, func(c look.Column) bool { return c.Letter == sheet.ColumnName(col) })
		if i < 0 {
			return nil
		}
		l := Leaving{s.Columns[i].ID, called(s, i)}
		if !slices.Contains(out, l) {
			out = append(out, l)
		}
	}
	slices.SortFunc(out, func(a, b Leaving) int { return strings.Compare(a.Name, b.Name) })
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

// Unread names the columns of which nothing is taken, as the terminal does: those with cells
// whose header no field has, or that have none. What a person left out stands with the answers.
func Unread(problems []casebook.Problem, v *look.View) (out []string) {
	if v == nil {
		return nil
	}
	for _, p := range problems {
		_, col := sheet.Place(p.Cell)
		if rules.ID(p.Rule) != rules.ColumnUnread || col == 0 {
			continue
		}
		name := sheet.ColumnName(col)
		if s := v.Sheet(p.Sheet); s != nil && s.Header > 0 && !s.Apart() && col <= len(s.Columns) {
			name = called(s, col-1)
		}
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}
