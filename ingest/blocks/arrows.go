package blocks

import (
	"slices"
	"strings"

	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// arrows between two amounts in one cell, as people type them (common practice, no source).
var arrows = []string{"\u2192", "->", "=>", "\u21d2", "\u2794", "\u279c", "\u27f6", "-->", "/"}

// twoAmounts parts "4.5 \u2192 3.2" into its amounts.
func twoAmounts(c sheet.Cell) (first, second string, ok bool) {
	if c.Kind != sheet.String {
		return "", "", false
	}
	for _, a := range arrows {
		if parts := strings.Split(text(c), a); len(parts) == 2 && isAmount(parts[0]) && isAmount(parts[1]) {
			return strings.TrimSpace(parts[0]), strings.TrimSpace(parts[1]), true
		}
	}
	return "", "", false
}

func isAmount(s string) bool {
	s = strings.TrimSpace(s)
	return values.IsMissing(s, nil) || numeric(sheet.Cell{Kind: sheet.String, Text: s})
}

// pairs reads columns named after a movement whose cells hold two amounts each. Which of
// the two was planned is asked (Part.Pairs).
func (in *reader) pairs(s *sheet.Sheet) []*table {
	for i, r := range s.Rows[:min(len(s.Rows), 12)] {
		if fields, _ := in.fieldColumns(r); fields[columns.Tooth] == 0 || fields[columns.Planned] != 0 || r.Any(numeric) {
			continue
		}
		split, sure := map[int]bool{}, false
		for _, h := range r.All() {
			all, pairs := in.pairsUnder(s.Rows[i+1:], h)
			if pairs > 0 {
				split[int(h.Col)] = true
			}
			sure = sure || pairs > 0 && 10*pairs >= 9*all
		}
		if !sure {
			continue
		}
		t := &table{how: "two amounts in one cell", pairs: true}
		for _, row := range s.Rows[i+1:] {
			t.spread(r, row, func(h sheet.Cell, c cell) []headed {
				if !split[c.col] {
					return []headed{{text(h), c}}
				}
				first, second, ok := twoAmounts(c.Cell)
				if !ok {
					first, second = unparted(c.Cell), unparted(c.Cell)
				}
				one, two := c, c
				one.Text, one.Kind, two.Text, two.Kind = first, sheet.String, second, sheet.String
				return []headed{{columns.Planned.String() + " " + text(h), one}, {columns.Achieved.String() + " " + text(h), two}}
			})
		}
		return []*table{t}
	}
	return nil
}

// pairsUnder counts the cells under the name of a movement, and those of two amounts.
func (in *reader) pairsUnder(rows []sheet.Row, h sheet.Cell) (all, pairs int) {
	if _, _, rest, named := lexicon.Axis(lexicon.Of(lexicon.Tokens(text(h)))); h.Kind != sheet.String || !named || rest[lexicon.Planned] || rest[lexicon.Achieved] {
		return 0, 0
	}
	for _, r := range rows {
		c := r.At(int(h.Col))
		if c.Kind == sheet.Blank || values.IsMissing(c.Text, nil) || values.IsTotal(c.Text) {
			continue
		}
		all++
		if _, _, ok := twoAmounts(c); ok {
			pairs++
		}
	}
	return all, pairs
}

// unparted is what stands for a cell that should hold two amounts and does not: one number
// alone is neither of them, and is refused where it is read.
func unparted(c sheet.Cell) string {
	if numeric(c) {
		return "one amount in place of two"
	}
	return text(c)
}

// Pairs reports a part whose columns of planned and achieved amounts were two amounts in one
// cell, of which the first is taken for the planned one.
func (p *Part) Pairs() bool { return p.pairs }

// Swap takes the second of two amounts for the planned one.
func (p *Part) Swap() {
	planned, achieved := columns.Planned.String()+" ", columns.Achieved.String()+" "
	head := &p.Sheet.Rows[0]
	for i := range head.Len() {
		c := head.Cell(i)
		if rest, ok := strings.CutPrefix(c.Text, planned); ok {
			c.Text = achieved + rest
		} else if rest, ok := strings.CutPrefix(c.Text, achieved); ok {
			c.Text = planned + rest
		}
		head.Put(c)
	}
}

// Undo leaves the sheet of a part as it came.
func (a *Arranged) Undo(p *Part) {
	for i, s := range a.Sheets {
		if s == p.Sheet {
			a.Sheets[i] = p.from
		}
	}
	a.Parts = slices.DeleteFunc(a.Parts, func(o *Part) bool { return o == p })
	a.Rest = slices.DeleteFunc(a.Rest, func(s *sheet.Sheet) bool { return s.Name == p.from.Name+restMark })
}
