package blocks

import (
	"slices"
	"strings"

	"shortfall/ingest/columns"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// turned reads a sheet with the fields down and a movement a column.
func (in *reader) turned(s *sheet.Sheet) []*table {
	if len(s.Rows) > 60 {
		return nil
	}
	found := map[columns.Field]bool{}
	wide := 0
	for _, r := range s.Rows {
		if r.Len() == 0 || r.Cell(0).Col != 1 || r.Cell(0).Kind != sheet.String {
			continue
		}
		if f := in.named(text(r.Cell(0))); f != columns.NoField {
			if found[f] {
				return nil
			}
			found[f] = true
			if r.Len() > 3 {
				wide++
			}
		}
	}
	if wide < 5 || !found[columns.Tooth] || !found[columns.Planned] {
		return nil
	}
	if _, plain := in.header(s.Rows[0]); plain {
		return nil
	}
	t := &table{how: "fields down, a movement a column"}
	rows := map[int]map[int]cell{}
	for _, r := range s.Rows {
		if r.Len() < 2 || r.Cell(0).Col != 1 {
			continue
		}
		cells := cellsOf(r)
		i := t.column(text(cells[0].Cell), cells[0].place)
		for _, c := range cells[1:] {
			if rows[c.col] == nil {
				rows[c.col] = map[int]cell{}
			}
			rows[c.col][i] = c
		}
	}
	for _, col := range sorted(rows) {
		t.rows = append(t.rows, rows[col])
	}
	return []*table{t}
}

// joiners stand between values joined in one cell, as their header writes them.
var joiners = []string{" \u2192 ", "\u2192", " -> ", "->", " \u2013 ", " - ", " / ", "/", " | ", "; ", " + ", "-"}

// joinable are the fields that people join in one cell.
var joinable = map[columns.Field]bool{
	columns.Case: true, columns.Course: true, columns.Tooth: true, columns.Planned: true, columns.Achieved: true, columns.Clinician: true,
}

// joined parts cells that hold several values, where the header names them in
// the same order and with the same sign between them.
func (in *reader) joined(s *sheet.Sheet) []*table {
	for i, r := range s.Rows[:min(len(s.Rows), 12)] {
		split := map[int]string{}
		for _, c := range r.All() {
			if sep := in.joinerOf(c); sep != "" && splits(s.Rows[i+1:], int(c.Col), sep, len(strings.Split(text(c), sep))) {
				split[int(c.Col)] = sep
			}
		}
		if len(split) == 0 {
			continue
		}
		t := &table{how: "several values in one cell, as the header says"}
		for _, row := range s.Rows[i+1:] {
			in.part(t, r, row, split)
		}
		return []*table{t}
	}
	return nil
}

func (in *reader) joinerOf(c sheet.Cell) string {
	if c.Kind != sheet.String {
		return ""
	}
	for _, sep := range joiners {
		names := strings.Split(text(c), sep)
		seen := map[columns.Field]bool{}
		for _, n := range names {
			f := in.named(strings.TrimSpace(n))
			if !joinable[f] || seen[f] {
				seen = nil
				break
			}
			seen[f] = true
		}
		if len(seen) > 1 {
			return sep
		}
	}
	return ""
}

// splits reports a column nearly all of whose cells split into n parts.
func splits(rows []sheet.Row, col int, sep string, n int) bool {
	all, good := 0, 0
	for _, r := range rows {
		c := r.At(col)
		if c.Kind == sheet.Blank || values.IsTotal(c.Text) {
			continue
		}
		all++
		if parted(text(c), sep, n) != nil {
			good++
		}
	}
	return all > 0 && 10*good >= 9*all
}

// parted gives the n parts of a text between which the sign of the header stands, with or
// without spaces, or another arrow where that is one; nil where there are not as many.
func parted(s, sep string, n int) []string {
	signs := []string{sep, strings.TrimSpace(sep)}
	if slices.Contains(arrows, signs[1]) && signs[1] != "/" {
		signs = append(signs, arrows...)
	}
	for _, sign := range signs {
		if parts := strings.Split(s, sign); len(parts) == n {
			return parts
		}
	}
	return nil
}

// headed is a cell under the name of its column.
type headed struct {
	name string
	cell cell
}

// spread writes a row whose cells are parted: of gives what stands in a cell, each part
// under a name of its own, in the column of the cell.
func (t *table) spread(head, row sheet.Row, of func(h sheet.Cell, c cell) []headed) {
	out := map[int]cell{}
	for _, c := range cellsOf(row) {
		h := head.At(c.col)
		if h.Kind == sheet.Blank {
			continue
		}
		for _, p := range of(h, c) {
			out[t.column(p.name, place{nil, head.Number, c.col})] = p.cell
		}
	}
	if len(out) > 0 {
		t.rows = append(t.rows, out)
	}
}

// part writes a row with its joined cells parted.
func (in *reader) part(t *table, head, row sheet.Row, split map[int]string) {
	t.spread(head, row, func(h sheet.Cell, c cell) (out []headed) {
		sep, ok := split[c.col]
		if !ok {
			return []headed{{text(h), c}}
		}
		names := strings.Split(text(h), sep)
		parts := parted(text(c.Cell), sep, len(names))
		for i, n := range names {
			v := c
			v.Text, v.Kind = text(c.Cell), sheet.String // a cell that does not split is refused where it is read
			switch f := in.named(strings.TrimSpace(n)); {
			case parts != nil:
				v.Text = strings.TrimSpace(parts[i])
			case f == columns.Planned || f == columns.Achieved:
				v.Text = unparted(c.Cell)
			}
			if v.Text != "" {
				out = append(out, headed{strings.TrimSpace(n), v})
			}
		}
		return out
	})
}
