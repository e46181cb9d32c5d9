package between

import (
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

// completed names a declared cell in full: its axis from its direction, the
// initial course where none is named, and no style.
func completed(b results.By) results.By {
	if b.Direction != casebook.NoDirection {
		b.Axis = b.Direction.Axis()
	}
	if b.Course == "" {
		b.Course = results.Initial
	}
	b.Style = casebook.NoStyle
	return b
}

// primaryCell takes the movements of the declared comparison from courses that
// ended after it was declared: what the records had shown before cannot confirm
// what they suggested.
func primaryCell(p *rows.Set) gridCell {
	g := gridCell{by: completed(p.Settings.Primary), primary: true}
	later := func(r *rows.Row) bool {
		end := p.CourseEnd(r.Cluster, r.Movement.Course)
		return rows.Featured(r) && rows.Holds(g.by, r) && p.EndOnRecord(r.Cluster, r.Movement.Course) && end != 0 && end > p.Settings.PrimaryDeclared
	}
	for i := range p.Analysed {
		if later(&p.Analysed[i]) {
			g.measured = append(g.measured, int32(i))
		}
	}
	for i := range p.Missing {
		if later(&p.Missing[i]) {
			g.missing = append(g.missing, int32(i))
		}
	}
	return g
}
