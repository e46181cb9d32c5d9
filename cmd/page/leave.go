package page

import (
	"context"
	"encoding/json"
	"slices"
	"strings"

	"shortfall/cmd/job"
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/look"
	"shortfall/ingest/question"
	"shortfall/ingest/sheet"
	"shortfall/ingest/store"
)

// leaving is a column that a file with identifiers can be read without: nothing of a
// column that is not read is kept.
type leaving struct{ ID, Name string }

// Letter of the column.
func (l leaving) Letter() string {
	letter, _, _ := strings.Cut(l.Name, " ")
	return letter
}

// codeColumns are the letters of the columns that are proposed as the codes of cases:
// without them nobody would be left.
func codeColumns(open []question.Question, ps *points) map[string]bool {
	out := map[string]bool{}
	for _, q := range open {
		if id, _ := ps.means(q.ID, ""); id != "column "+columns.Case.String() {
			continue
		}
		for _, c := range q.Choices {
			if letter, ok := strings.CutPrefix(c.Text, "column "); ok && c.Word == q.Proposed {
				letter, _, _ = strings.Cut(letter, ",")
				letter, _, _ = strings.Cut(letter, ":")
				out[letter] = true
			}
		}
	}
	return out
}

// leavable lists the columns in which everything stands that the screen found, none where
// something stands elsewhere: in a name, a comment, above the table or on a sheet that
// was taken apart.
func leavable(found []casebook.Problem, v *look.View) (out []leaving) {
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

// unread names the columns with a header of which nothing is taken.
func unread(v *look.View) (out []string) {
	if v == nil {
		return nil
	}
	for _, s := range v.Sheets {
		if s.Header == 0 || s.Apart() || !slices.ContainsFunc(s.Columns, func(c look.Column) bool { return c.Meaning != "" }) {
			continue
		}
		for i, c := range s.Columns {
			if name := called(s, i); c.Meaning == "" && name != c.Letter {
				out = append(out, name)
			}
		}
	}
	return out
}

// mostLost movements are looked up and named before a file is kept.
const mostLost = 50

// lost says which movements on record the file holds and refuses: where it is a later
// version of theirs, they go with it. Cases of which the file names no practice are of
// the one that is proposed.
func (p *practice) lost(ctx context.Context, b *casebook.Batch, whose *string) (string, error) {
	var out []string
	taken := map[casebook.MovementKey]bool{}
	if len(b.RefusedMovements) > 0 {
		for i := range b.Movements {
			taken[b.Movements[i].Value.Key()] = true
		}
	}
	current := map[casebook.CaseKey][]store.Version{}
	for _, k := range b.RefusedMovements[:min(len(b.RefusedMovements), mostLost)] {
		if taken[k] {
			continue // another row gives it
		}
		if k.Case.Practice == "" && whose != nil {
			k.Case.Practice = *whose
		}
		if _, known := current[k.Case]; !known {
			var err error
			if current[k.Case], err = p.db.Current(ctx, k.Case); err != nil {
				return "", err
			}
		}
		for _, v := range current[k.Case] {
			var m struct {
				Course, Tooth int
				Axis          casebook.Axis
			}
			if v.Kind != casebook.MovementKind || json.Unmarshal(v.Value, &m) != nil {
				continue
			}
			if m.Course == k.Course && m.Tooth == int(k.Tooth) && m.Axis == k.Axis {
				out = append(out, k.Case.String()+", tooth "+k.Tooth.In(shown(b.Notation))+", "+k.Axis.String())
			}
		}
	}
	if len(out) == 0 {
		return "", nil
	}
	return job.Plural(len(out), "movement") + " on record refused in this version, which would go where it takes the place of the earlier one: " + strings.Join(out, "; "), nil
}

// shown is a notation, FDI where there is none.
func shown(n casebook.Notation) casebook.Notation {
	if n == casebook.NoNotation {
		return casebook.FDI
	}
	return n
}
