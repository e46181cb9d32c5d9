package blocks

import (
	"shortfall/ingest/columns"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// group is a stretch of columns that a header row repeats.
type group struct{ first, last int }

// repeats splits the texts of a header row into columns for all (left) and at
// least two groups with the same names.
func repeats(r sheet.Row) (left int, groups []group) {
	cells := r.Cells()
	n := len(cells)
	for left := 0; left <= n-4; left++ {
		for size := (n - left) / 2; size >= 2; size-- {
			if (n-left)%size != 0 || !periodic(cells[left:], size) {
				continue
			}
			var out []group
			for at := left; at < n; at += size {
				out = append(out, group{int(cells[at].Col), int(cells[at+size-1].Col)})
			}
			return left, shortest(cells[left:], out, left, r)
		}
	}
	return 0, nil
}

func periodic(cells []sheet.Cell, size int) bool {
	for i := size; i < len(cells); i++ {
		if text(cells[i]) != text(cells[i-size]) {
			return false
		}
	}
	return true
}

// shortest takes the smallest period: four equal pairs are no two groups of two.
func shortest(cells []sheet.Cell, found []group, left int, r sheet.Row) []group {
	for size := 2; size < len(cells)/2; size++ {
		if len(cells)%size != 0 || !periodic(cells, size) {
			continue
		}
		var out []group
		for at := left; at < r.Len(); at += size {
			out = append(out, group{int(r.Cell(at).Col), int(r.Cell(at + size - 1).Col)})
		}
		return out
	}
	return found
}

// cut gives the cells of a stretch of columns, where they stand.
func cut(s *sheet.Sheet, g group) *sheet.Sheet {
	out := &sheet.Sheet{Name: s.Name, Merged: s.Merged}
	for _, r := range s.Rows {
		part := out.NewRow(r.Number)
		part.Hidden, part.Broken = r.Hidden, r.Broken
		for _, c := range r.All() {
			if int(c.Col) >= g.first && int(c.Col) <= g.last {
				part.Add(c)
			}
		}
		out.Rows = append(out.Rows, part)
	}
	return out
}

// beside reads whole tables beside each other, whose titles tell them apart.
func (in *reader) beside(s *sheet.Sheet) []*table {
	for i, r := range s.Rows {
		if i > 12 {
			return nil
		}
		left, groups := repeats(r)
		if len(groups) < 2 || left > 0 {
			continue
		}
		if _, ok := in.header(r.First(r.Len() / len(groups))); !ok {
			continue
		}
		var all *table
		for _, g := range groups {
			k := in.stack(cut(s, g), nil, false)
			if len(k.tables) != 1 || k.titled == 0 && !k.hasCase() || k.loose > 2 {
				return nil
			}
			if all.repeated(k.tables[0]) {
				return nil // a copy, or an edited one: a person has to say
			}
			all = all.join(k.tables[0])
		}
		all.how = "tables beside each other"
		return []*table{all}
	}
	return nil
}

func (k *stack) hasCase() bool { return k.names(columns.Case) }

// repeated reports a table that begins with the same record.
func (t *table) repeated(o *table) bool {
	if t == nil || len(t.rows) == 0 || len(o.rows) == 0 || len(t.rows[0]) != len(o.rows[0]) {
		return false
	}
	for i, c := range o.rows[0] {
		if t.rows[0][i].Text != c.Text {
			return false
		}
	}
	return true
}

// join adds the records of a table with the same headers.
func (t *table) join(o *table) *table {
	if t == nil {
		return o
	}
	for _, r := range o.rows {
		row := map[int]cell{}
		for i, c := range r {
			row[t.column(o.heads[i].Text, o.heads[i].place)] = c
		}
		t.rows = append(t.rows, row)
	}
	return t
}

// across reads columns that are repeated for several cases, styles or courses,
// named in the row above, beside columns for all of them.
func (in *reader) across(s *sheet.Sheet) []*table {
	for i, r := range s.Rows {
		if i == 0 || i > 12 {
			continue
		}
		left, groups := repeats(r)
		if len(groups) < 2 || left == 0 {
			continue
		}
		said := in.over(s.Rows[i-1], groups)
		if said == nil || !in.amounts(r, groups[0]) {
			continue
		}
		t := &table{how: "columns repeated for each " + said[0].field.String()}
		titles := in.above(s.Rows[:i-1])
		for _, row := range s.Rows[i+1:] {
			t.unfold(r, row, groups, said, titles)
		}
		return []*table{t}
	}
	return nil
}

// above gives what the titles of a table state.
func (in *reader) above(rows []sheet.Row) []label {
	var out []label
	for _, r := range rows {
		out = append(out, in.labels(r, false)...)
	}
	return out
}

// over reads what the upper header row says of each group: all of one field,
// and all different.
func (in *reader) over(r sheet.Row, groups []group) []label {
	out := make([]label, len(groups))
	seen := map[string]bool{}
	for i, g := range groups {
		c := r.At(g.first)
		l, ok := in.groupName(text(c))
		if c.Kind != sheet.String || !ok || seen[l.cell.Text] || i > 0 && l.field != out[0].field {
			return nil
		}
		seen[l.cell.Text] = true
		l.cell.place = place{nil, r.Number, g.first}
		out[i] = l
	}
	return out
}

// groupName reads "Case code D01", "Attachment: own design", "first course".
func (in *reader) groupName(s string) (label, bool) {
	if l, ok := in.segment(s); ok {
		return l, true
	}
	if style, err := values.ParseStyle(s); err == nil && style != 0 {
		return label{columns.Style, "", cell{Cell: sheet.Cell{Kind: sheet.String, Text: s}}}, true
	}
	return label{}, false
}

// amounts reports a group that holds a planned and an achieved column.
func (in *reader) amounts(r sheet.Row, g group) bool {
	has := map[columns.Field]bool{}
	for _, c := range r.All() {
		if int(c.Col) >= g.first && int(c.Col) <= g.last {
			has[in.named(text(c))] = true
		}
	}
	return has[columns.Planned] && has[columns.Achieved]
}

// unfold makes one record of each group that a row fills.
func (t *table) unfold(head, row sheet.Row, groups []group, said, titles []label) {
	shared := map[int]cell{}
	for _, c := range cellsOf(row) {
		if h := head.At(c.col); h.Kind == sheet.String && c.col < groups[0].first {
			shared[t.column(text(h), place{nil, head.Number, c.col})] = c
		}
	}
	for _, l := range titles {
		shared[t.column(l.head(), l.cell.place)] = l.cell
	}
	for i, g := range groups {
		out := map[int]cell{}
		for _, c := range cellsOf(row) {
			if h := head.At(c.col); c.col >= g.first && c.col <= g.last && h.Kind == sheet.String {
				out[t.column(text(h), place{nil, head.Number, c.col})] = c
			}
		}
		if len(out) == 0 {
			continue
		}
		for k, c := range shared {
			out[k] = c
		}
		out[t.column(said[i].head(), said[i].cell.place)] = said[i].cell
		t.rows = append(t.rows, out)
	}
}
