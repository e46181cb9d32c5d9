package blocks

import (
	"slices"
	"strings"

	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/sheet"
)

// heading is the header of a table below others: one row, or two of which the upper one
// stands over several columns.
type heading struct {
	texts  map[int]string // by column
	fields map[int]columns.Field
	places map[int]place
	rows   int
}

// headingAt reads the header that begins with the first of some rows; nil where none does.
func (in *reader) headingAt(s *sheet.Sheet, rows []sheet.Row) *heading {
	if long(rows[0]) {
		return nil
	}
	one := in.asHeading(sheet.Texts(rows[0]), rows[0])
	if len(rows) > 1 && rows[1].Number == rows[0].Number+1 && words(rows[0]) && words(rows[1]) && !long(rows[1]) {
		two := in.asHeading(s.JoinRows(rows[0], rows[1]), rows[1], rows[0])
		if two != nil && (one == nil || two.amounts() && !one.amounts()) {
			return two
		}
	}
	return one
}

// longestHead is longer than any header, in bytes (common practice, no source).
const longestHead = 2000

// long reports a row with a text that is no header. A small file can say one such text in
// every cell of many rows.
func long(r sheet.Row) bool {
	return r.Any(func(c sheet.Cell) bool { return len(c.Text) > longestHead })
}

// words reports a row of texts alone, none of which is a number.
func words(r sheet.Row) bool {
	return r.Len() > 0 && !r.Any(func(c sheet.Cell) bool { return c.Kind != sheet.String || numeric(c) })
}

// asHeading takes texts as the header that some rows make: at least three known and
// different fields, hardly any unknown. Each text stands in the first of the rows that has
// a cell there.
func (in *reader) asHeading(texts map[int]string, rows ...sheet.Row) *heading {
	if len(texts) < 3 || slices.ContainsFunc(rows, func(r sheet.Row) bool { return !words(r) }) {
		return nil
	}
	h := &heading{texts: texts, fields: map[int]columns.Field{}, places: map[int]place{}, rows: len(rows)}
	different := map[columns.Field]bool{}
	for col, text := range texts { // any order: each column by itself
		f := in.named(text)
		if f == columns.NoField {
			f = amountOf(text)
		}
		if f != columns.NoField {
			h.fields[col] = f
			different[f] = true
		}
		i := slices.IndexFunc(rows, func(r sheet.Row) bool { return r.At(col).Kind != sheet.Blank })
		h.places[col] = place{nil, rows[max(i, 0)].Number, col}
	}
	if len(different) < 3 || 3*len(h.fields) < 2*len(texts) {
		return nil
	}
	return h
}

// amounts reports a header of planned and achieved amounts.
func (h *heading) amounts() bool {
	planned, achieved := false, false
	for _, f := range h.fields { // any order: both are looked for
		planned, achieved = planned || f == columns.Planned, achieved || f == columns.Achieved
	}
	return planned && achieved
}

// twice reports two columns of one text, which could not be told apart.
func (h *heading) twice() bool {
	seen := map[string]bool{}
	for _, text := range h.texts { // any order: it is whether any is there again
		if seen[text] {
			return true
		}
		seen[text] = true
	}
	return false
}

// amountOf is what the header of one movement of a wide sheet holds, whichever movement.
func amountOf(text string) columns.Field {
	of := lexicon.Of(lexicon.Tokens(text))
	switch planned, achieved := of[lexicon.Planned], of[lexicon.Achieved]; {
	case planned == achieved, strings.ContainsAny(text, "0123456789"):
		return columns.NoField
	case planned:
		return columns.Planned
	}
	return columns.Achieved
}
