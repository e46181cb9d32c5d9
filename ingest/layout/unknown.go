package layout

import (
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// saysNothingElse reports a sheet of movements that names neither a column of movements
// nor one of plans: what stands beside "plan" and "got" may be the movements.
func (t *Table) saysNothingElse() bool {
	return t.Kind == casebook.MovementKind && !slices.ContainsFunc(t.Columns, func(c Column) bool {
		return c.Field == columns.Axis || c.Field == columns.Planned
	})
}

// askUnknown asks which movement two unread columns are of whose headers are alike but for
// "plan" in one and "got" in the other.
func (f *Found) askUnknown(t *Table) {
	of := map[string]int{}
	for i := range t.Columns {
		if field, bare := t.unknownRole(i); field == columns.Achieved {
			if _, twice := of[bare]; !twice {
				of[bare] = i
			}
		}
	}
	for i := range t.Columns {
		field, bare := t.unknownRole(i)
		outcome, found := of[bare]
		if field != columns.Planned || !found {
			continue
		}
		for k, at := range []int{i, outcome} {
			h := &t.Columns[at].Header
			*h = Header{Field: []columns.Field{columns.Planned, columns.Achieved}[k]}
			_, h.Unit = stripUnit(t.Columns[at].Text)
		}
		f.askMovement(t, i, outcome)
	}
}

// unknownRole is what an unread column says that it holds, planned or achieved amounts, and
// the rest of its header; NoField for any other column.
func (t *Table) unknownRole(i int) (columns.Field, string) {
	c := t.Columns[i]
	if c.Field != columns.NoField || c.Declared || c.Mark != casebook.NoStyle || slices.Contains(t.undecided, i) {
		return columns.NoField, ""
	}
	text, _ := stripUnit(c.Text)
	field := columns.NoField
	var rest []string
	for _, tok := range asHeader(lexicon.Tokens(text)) {
		is := map[lexicon.Concept]columns.Field{lexicon.Planned: columns.Planned, lexicon.Achieved: columns.Achieved}[tok.Concept]
		switch {
		case is != columns.NoField && field != columns.NoField:
			return columns.NoField, ""
		case is != columns.NoField:
			field = is
		case tok.Concept != lexicon.Millimetre && tok.Concept != lexicon.Degree:
			rest = append(rest, tok.Text)
		}
	}
	bare := values.Key(strings.Join(rest, " "))
	if bare == "" || !t.holdsAmounts(c.Col) {
		return columns.NoField, ""
	}
	return field, bare
}

// holdsAmounts reports a column most of whose cells are numbers, perhaps with a word beside
// them, and no dates.
func (t *Table) holdsAmounts(col int) bool {
	numbers, all := 0, 0
	for _, row := range t.Sheet.Rows {
		if c := row.At(col); row.Number >= t.Body && strings.TrimSpace(c.Text) != "" {
			all++
			if _, err := values.ParseAmount(strings.TrimSuffix(c.Text, " in"), '.'); err == nil && c.Kind != sheet.Date {
				numbers++
			}
		}
	}
	return all == 0 || 2*numbers > all
}

// guessOf is the movement that everyday words of a header most likely mean; it is only
// proposed.
func guessOf(text string) string {
	set := lexicon.Of(lexicon.Tokens(text))
	switch {
	case set[lexicon.Up] && set[lexicon.Down]:
		return casebook.Vertical.String()
	case set[lexicon.Inward] && set[lexicon.Outward]:
		return casebook.BuccolingualShift.String()
	case slices.Contains(strings.Fields(lexicon.Fold(text)), "turn"):
		return casebook.Rotation.String()
	}
	return ""
}
