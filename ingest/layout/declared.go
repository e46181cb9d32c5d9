package layout

import (
	"maps"
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/mapping"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// declaredHeader is the header of a column whose field a mapping gives: what the
// text says about unit, notation and numbering still holds.
func declaredHeader(text string, f columns.Field, k casebook.Kind) Header {
	h := parse(text, k)
	if h.Field != f {
		_, unit := stripUnit(text)
		return Header{Field: f, Unit: unit, Notation: h.Notation, Scale: h.Scale}
	}
	return Header{Scale: h.Scale, First: h.First, Field: f, Rated: h.Rated, Canonical: h.Canonical, Unit: h.Unit, Notation: h.Notation, AfterRefinement: h.AfterRefinement}
}

// declarePairs applies the wide columns a mapping declares.
func (t *Table) declarePairs(declared *mapping.Sheet) {
	if declared == nil {
		return
	}
	for _, d := range declared.Movements {
		h := Header{Tooth: d.Tooth}
		h.Axis, h.Direction, _ = values.ParseAxis(d.Axis)
		h.Course, _ = values.ParseCourse(d.Course)
		for _, of := range []struct {
			field columns.Field
			name  string
		}{{columns.Planned, d.Planned}, {columns.Achieved, d.Achieved}, {columns.StatedPercent, d.Percent}, {columns.Style, d.Style}} {
			for i := range t.Columns {
				if c := &t.Columns[i]; of.name != "" && (c.Text == of.name || "("+sheet.ColumnName(c.Col)+")" == of.name) {
					h.Field = of.field
					_, h.Unit = stripUnit(c.Text)
					c.Header, c.Declared = h, true
				}
			}
		}
	}
}

// unmatched reports what the mapping names and the file lacks.
func (f *Found) unmatched(b *sheet.Book, m *mapping.File) {
	if m == nil {
		return
	}
	for _, d := range m.Sheets {
		i := slices.IndexFunc(b.Sheets, func(s *sheet.Sheet) bool { return s.Name == d.Name })
		if d.Name != "*" && i < 0 {
			p := rules.New(rules.MappingUnmatched, "the mapping names a sheet that the file lacks")
			p.Sheet = d.Name
			f.Problems = append(f.Problems, p)
		}
	}
	for _, t := range f.Tables {
		d := m.Sheet(t.Sheet.Name)
		if d == nil || d.Name == "*" {
			continue
		}
		named := slices.Collect(maps.Keys(d.Columns))
		for _, pair := range d.Movements {
			named = append(named, pair.Planned, pair.Achieved, pair.Percent, pair.Style)
		}
		slices.Sort(named)
		for _, name := range slices.Compact(named) {
			if name != "" && !slices.ContainsFunc(t.Columns, func(c Column) bool {
				return c.Text == name || "("+sheet.ColumnName(c.Col)+")" == name
			}) {
				p := f.add(rules.MappingUnmatched, t.Sheet, "the mapping names a column that the sheet lacks")
				p.Column = name
			}
		}
	}
}
