package blocks

import (
	"slices"

	"shortfall/ingest/columns"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// grid reads teeth across under columns that say of each row whose it is, which movement, and
// whether it was planned or achieved, in one text or in two cells.
func (in *reader) grid(s *sheet.Sheet) []*table {
	g := (*grid)(nil)
	t := &table{how: "teeth across, what was planned and what was achieved in rows of their own"}
	var said []label // titles of the rows below them
	for i, r := range s.Rows {
		if r.Len() == 0 || g != nil && in.gridRow(g, r) {
			continue
		}
		if next := in.gridHead(r, g); next != nil {
			g.flush(t)
			next.said, g = said, next
			continue
		}
		ls := in.labels(r, false)
		switch {
		case len(ls) > 0 && g != nil && len(g.moves) > 0: // below the same teeth
			g.flush(t)
			said = nil
			g = &grid{head: g.head, names: g.names, first: g.first, teeth: g.teeth, pass: g.pass, above: map[int]cell{}}
		case len(ls) == 0 && !(g == nil && r.Len() == 1 || g.noteFrom(s.Rows[i:])):
			return nil
		}
		if said = append(said, ls...); g != nil {
			g.said = said
		}
	}
	g.flush(t)
	if len(t.rows) == 0 {
		return nil
	}
	return []*table{t}
}

// noteFrom reports rows of which none has a cell at a tooth: notes below a chart.
func (g *grid) noteFrom(rows []sheet.Row) bool {
	return g != nil && !slices.ContainsFunc(rows, func(r sheet.Row) bool { return sheet.LastCol(r) >= g.first })
}

// grid is one chart.
type grid struct {
	head   int // its row
	names  string
	first  int // column of the first tooth
	teeth  map[int]cell
	pass   map[int]cell // headers of columns that say something of the whole row
	said   []label
	above  map[int]cell // last cell of each of those
	moves  []*gridMove
	extras []gridExtra
}

type gridMove struct {
	whose   string
	name    cell
	told    map[int]cell
	amounts map[columns.Field]map[int]cell
}

// gridExtra is a row that tells something of each tooth.
type gridExtra struct {
	whose string
	chartExtra
}

// fewestTeeth across make a chart.
const fewestTeeth = 2

// gridHead reads a row of names followed by teeth, all different and in one notation: the names
// are those of the chart above, where there is one, and say nothing of amounts. A row of amounts
// from 1 to 8 is none.
func (in *reader) gridHead(r sheet.Row, above *grid) *grid {
	g := &grid{head: r.Number, teeth: map[int]cell{}, pass: map[int]cell{}, above: map[int]cell{}}
	fdi, universal, palmer := true, true, true
	seen := map[string]bool{}
	for _, c := range cellsOf(r) {
		x := values.ParseTooth(c.Text)
		switch {
		case x != values.Tooth{}:
			fdi, universal, palmer = fdi && x.FDI != 0, universal && x.Universal != 0, palmer && x.Palmer != 0
			if g.first == 0 {
				g.first = c.col
			}
			if g.teeth[c.col] = c; seen[text(c.Cell)] {
				return nil
			}
			seen[text(c.Cell)] = true
		case len(g.teeth) > 0 || c.Kind != sheet.String:
			return nil
		default:
			if f := in.named(text(c.Cell)); stated[f] != "" {
				g.pass[c.col] = c
			}
			if _, role, _ := moveOf([]cell{c}); role != columns.NoField {
				return nil
			}
			g.names += text(c.Cell) + "\x00"
		}
	}
	if above != nil && g.names != above.names {
		return nil
	}
	if len(g.teeth) < fewestTeeth || g.first == 1 || !fdi && !universal && !palmer {
		return nil
	}
	return g
}

// gridRow reads a row below the teeth; false where it is not understood.
func (in *reader) gridRow(g *grid, r sheet.Row) bool {
	under, told := map[int]cell{}, map[int]cell{}
	var names []cell
	for _, c := range cellsOf(r) {
		_, tooth := g.teeth[c.col]
		_, pass := g.pass[c.col]
		switch {
		case tooth:
			under[c.col] = c
		case pass:
			told[c.col] = c
		case c.Kind != sheet.String || c.col > g.first:
			return false
		default:
			names = append(names, c)
		}
	}
	for col, c := range told { // any order: each column by itself
		g.above[col] = c
	}
	whose := ""
	for _, col := range sorted(g.pass) {
		told[col] = g.above[col]
		whose += g.above[col].Text + "\x00"
	}
	if len(names) == 1 {
		switch in.named(text(names[0].Cell)) {
		case columns.Style, columns.Shape, columns.Orientation, columns.FeatureSize, columns.Lost, columns.Staging:
			g.extras = append(g.extras, gridExtra{whose, chartExtra{names[0], under}})
			return true
		}
	}
	return g.put(whose, told, names, under)
}
