package layout

import (
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// claim is what the header of a column says that it holds, which one column can.
type claim struct {
	Field columns.Field
	Pairing
}

// sameField settles or refuses two columns with one field.
func (f *Found) sameField(t *Table) {
	claims := map[claim][]int{}
	var order []claim // by the first column of each
	for i, c := range t.Columns {
		if c.Field != columns.NoField {
			k := claim{c.Field, Pairing{c.Tooth, c.Axis, c.Direction, c.Course}}
			if claims[k] == nil {
				order = append(order, k)
			}
			claims[k] = append(claims[k], i)
		}
	}
	twice := 0
	var refused [][]int
	for _, k := range order {
		at := claims[k]
		if len(at) < 2 || f.twins(t, k.Field, at) {
			continue
		}
		if k.Field == columns.Case || k.Field == columns.Tooth || k.Field == columns.Planned {
			twice++
		}
		winners := slices.DeleteFunc(slices.Clone(at), func(i int) bool { return !t.Columns[i].Declared })
		if len(winners) == 0 && !(k.Field == columns.Status && t.hasOutcome(at)) {
			winners = slices.DeleteFunc(slices.Clone(at), func(i int) bool { return !t.Columns[i].Canonical })
		}
		if len(winners) != 1 {
			refused = append(refused, at)
			continue
		}
		for _, i := range at {
			if i != winners[0] {
				t.Columns[i].Header = Header{}
			}
		}
	}
	if twice >= 2 && len(refused) > 0 {
		p := f.add(rules.TablesSeveral, t.Sheet, "the header names the same columns twice, side by side")
		first := slices.MinFunc(refused, func(a, b []int) int { return a[1] - b[1] })
		p.Cell = sheet.Ref(t.Header, t.Columns[first[1]].Col)
		return
	}
	for _, at := range refused {
		f.askWhich(t, at)
	}
}

// twins notes an amount that the sheet keeps in two columns, one in millimetres
// and one in degrees.
func (f *Found) twins(t *Table, fld columns.Field, at []int) bool {
	d, _ := columns.Find(t.Kind, fld)
	if len(at) != 2 || d.Type != columns.Amount || d.Unit == casebook.Millimetre.String() {
		return false
	}
	a, b := t.Columns[at[0]], t.Columns[at[1]]
	if a.wide() || b.wide() {
		return false
	}
	if a.Unit == casebook.Degree {
		a, b = b, a
	}
	if a.Unit != casebook.Millimetre || b.Unit != casebook.Degree {
		return false
	}
	if t.twins == nil {
		t.twins = map[columns.Field]Twins{}
	}
	t.twins[fld] = Twins{a.Col, b.Col}
	p := f.add(rules.LayoutAssumed, t.Sheet, "%s is kept in two columns, one in mm and one in degrees; each row was read from the one it fills", fld)
	p.Cell = sheet.Ref(t.Header, min(a.Col, b.Col))
	return true
}
