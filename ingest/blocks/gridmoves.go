package blocks

import (
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// put takes the amounts of a row whose names say a movement and a role, or a role alone below
// the plan of the movement above.
func (g *grid) put(whose string, told map[int]cell, names []cell, under map[int]cell) bool {
	name, role, ok := moveOf(names)
	if !ok {
		return false
	}
	if last := len(g.moves) - 1; name.Text == "" && last >= 0 && g.moves[last].whose == whose {
		name = g.moves[last].name
	}
	if name.Text == "" {
		return false
	}
	at := slices.IndexFunc(g.moves, func(m *gridMove) bool { return m.whose == whose && m.name.Text == name.Text })
	if at < 0 {
		at = len(g.moves)
		g.moves = append(g.moves, &gridMove{whose, name, told, map[columns.Field]map[int]cell{}})
	}
	if g.moves[at].amounts[role] != nil {
		return false
	}
	g.moves[at].amounts[role] = under
	return true
}

// moveOf parts "extrusion planned", in one cell or two, into the movement and what its amounts
// are; the movement is empty where the row names none.
func moveOf(names []cell) (name cell, role columns.Field, ok bool) {
	for _, c := range names {
		var rest []string
		for _, w := range strings.Fields(c.Text) {
			said := lexicon.Of(lexicon.Tokens(w))
			is := columns.NoField
			switch {
			case said[lexicon.Planned], said[lexicon.Target]:
				is = columns.Planned
			case said[lexicon.Achieved], said[lexicon.Outcome]:
				is = columns.Achieved
			default:
				rest = append(rest, w)
				continue
			}
			if role != columns.NoField {
				return name, role, false
			}
			role = is
		}
		if len(rest) == 0 {
			continue
		}
		if name.Text != "" {
			return name, role, false
		}
		name = c
		name.Text = strings.Trim(strings.Join(rest, " "), " :-,")
	}
	if name.Text != "" {
		if axis, _, err := values.ParseAxis(name.Text); err != nil || axis == casebook.NoAxis {
			return name, role, false
		}
	}
	return name, role, role != columns.NoField
}

// flush writes the records of a chart.
func (g *grid) flush(t *table) {
	if g == nil {
		return
	}
	head := func(col int) place { return place{nil, g.head, col} }
	for _, m := range g.moves {
		for _, col := range sorted(g.teeth) {
			planned, achieved := m.amounts[columns.Planned][col], m.amounts[columns.Achieved][col]
			if planned.Kind == sheet.Blank && achieved.Kind == sheet.Blank {
				continue
			}
			row := map[int]cell{}
			for _, l := range g.said {
				row[t.column(l.head(), l.cell.place)] = l.cell
			}
			for _, at := range sorted(g.pass) {
				row[t.column(text(g.pass[at].Cell), g.pass[at].place)] = m.told[at]
			}
			row[t.column(columns.Tooth.String(), head(g.first))] = g.teeth[col]
			row[t.column("Type of movement", head(m.name.col))] = m.name
			row[t.column(columns.Planned.String(), head(g.first))] = planned
			row[t.column(columns.Achieved.String(), head(g.first))] = achieved
			for _, x := range g.extras {
				if x.whose == m.whose {
					row[t.column(text(x.head.Cell), x.head.place)] = x.cells[col]
				}
			}
			t.rows = append(t.rows, row)
		}
	}
}
