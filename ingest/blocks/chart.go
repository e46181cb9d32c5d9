package blocks

import (
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// chart reads teeth across, and down a row for each movement with what was
// planned and one with what was achieved; a block a case and course.
func (in *reader) chart(s *sheet.Sheet) []*table {
	t := &table{how: "teeth across, planned and achieved down"}
	var block *chartBlock
	said := []label(nil)
	fresh := true
	for _, r := range s.Rows {
		if r.Len() == 0 {
			continue
		}
		if teeth := in.toothRow(r); teeth != nil {
			block.flush(t)
			block = &chartBlock{head: cellsOf(r)[0], teeth: teeth, said: said}
			fresh = true
			continue
		}
		if ls := in.labels(r, false); len(ls) > 0 {
			if fresh {
				said, fresh = nil, false
			}
			said = append(said, ls...)
			block.flush(t)
			block = nil
			continue
		}
		if block == nil {
			if r.Len() == 1 && len(t.rows) == 0 {
				continue // a title
			}
			return nil
		}
		if !in.chartRow(block, r) {
			return nil
		}
	}
	block.flush(t)
	if len(t.rows) == 0 {
		return nil
	}
	return []*table{t}
}

// toothRow gives the teeth of a row that names teeth across, all in one notation.
func (in *reader) toothRow(r sheet.Row) map[int]cell {
	if r.Len() < 4 || in.named(text(r.Cell(0))) != columns.Tooth {
		return nil
	}
	out := map[int]cell{}
	fdi, universal, palmer := true, true, true
	for _, c := range cellsOf(r)[1:] {
		x := values.ParseTooth(c.Text)
		fdi, universal, palmer = fdi && x.FDI != 0, universal && x.Universal != 0, palmer && x.Palmer != 0
		out[c.col] = c
	}
	if !fdi && !universal && !palmer {
		return nil
	}
	return out
}

// chartBlock is one chart.
type chartBlock struct {
	head  cell
	teeth map[int]cell
	said  []label
	moves []*chartMove
	extra []chartExtra
}

type chartMove struct {
	name      cell
	amounts   map[columns.Field]map[int]cell
	headCells map[columns.Field]cell
}

// chartExtra is a row that tells something of each tooth: its attachment.
type chartExtra struct {
	head  cell
	cells map[int]cell
}

// chartRow reads one row of a chart; false where it is not understood.
func (in *reader) chartRow(b *chartBlock, r sheet.Row) bool {
	var names []cell
	under := map[int]cell{}
	for _, c := range cellsOf(r) {
		if _, ok := b.teeth[c.col]; ok {
			under[c.col] = c
		} else {
			names = append(names, c)
		}
	}
	if len(names) == 0 || len(names) > 2 {
		return false
	}
	if len(names) == 1 {
		switch f := in.named(text(names[0].Cell)); f {
		case columns.Style, columns.Shape, columns.Orientation, columns.FeatureSize, columns.Lost, columns.Staging:
			b.extra = append(b.extra, chartExtra{names[0], under})
			return true
		case columns.Planned, columns.Achieved:
			return len(b.moves) > 0 && b.moves[len(b.moves)-1].put(f, names[0], under)
		}
		return false
	}
	f := in.named(text(names[1].Cell))
	axis, _, err := values.ParseAxis(names[0].Text)
	if err != nil || axis == casebook.NoAxis || f != columns.Planned && f != columns.Achieved {
		return false
	}
	if n := len(b.moves); n == 0 || b.moves[n-1].name.Text != names[0].Text {
		b.moves = append(b.moves, &chartMove{name: names[0], amounts: map[columns.Field]map[int]cell{}, headCells: map[columns.Field]cell{}})
	}
	return b.moves[len(b.moves)-1].put(f, names[1], under)
}

func (m *chartMove) put(f columns.Field, head cell, under map[int]cell) bool {
	if m.amounts[f] != nil {
		return false
	}
	m.amounts[f], m.headCells[f] = under, head
	return true
}

// flush writes the records of a chart.
func (b *chartBlock) flush(t *table) {
	if b == nil {
		return
	}
	for _, m := range b.moves {
		for _, col := range sorted(b.teeth) {
			planned, achieved := m.amounts[columns.Planned][col], m.amounts[columns.Achieved][col]
			if planned.Kind == sheet.Blank && achieved.Kind == sheet.Blank {
				continue
			}
			row := map[int]cell{}
			for _, l := range b.said {
				row[t.column(l.head(), l.cell.place)] = l.cell
			}
			row[t.column(text(b.head.Cell), b.head.place)] = b.teeth[col]
			row[t.column("Type of movement", m.name.place)] = m.name
			// The planned column comes first, whatever block of a chart does.
			for _, f := range []columns.Field{columns.Planned, columns.Achieved} {
				if h, ok := m.headCells[f]; ok {
					row[t.column(strings.TrimSpace(text(h.Cell)), h.place)] = m.amounts[f][col]
				}
			}
			for _, x := range b.extra {
				row[t.column(text(x.head.Cell), x.head.place)] = x.cells[col]
			}
			t.rows = append(t.rows, row)
		}
	}
}
