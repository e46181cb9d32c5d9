package ingest

import (
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// original gives the cells of the row, all of them for the marked copy that may
// be made while the file is at hand, and says which may be kept after that: those
// of columns that were read, where they parsed. Of dates no more than the month
// is given, and codes in the form in which they are compared.
func (r *rowReader) original() []casebook.Cell {
	cells := r.cells
	out := make([]casebook.Cell, len(cells.Cells))
	var refs strings.Builder
	ends := make([]int, len(cells.Cells))
	number := strconv.Itoa(cells.Number)
	for i, c := range cells.Cells {
		refs.WriteString(sheet.ColumnName(int(c.Col)))
		refs.WriteString(number)
		ends[i] = refs.Len()
	}
	// One string holds all references of the row: most of the memory of a large
	// file would else be single references.
	all, start := refs.String(), 0
	lost := r.lost()
	for i, c := range cells.Cells {
		col, _ := r.t.ColumnAt(int(c.Col))
		out[i] = casebook.Cell{Ref: all[start:ends[i]], Header: col.Text, Text: r.reduced(col.Field, c)}
		if col.Field != columns.NoField && r.took[int(c.Col)] && !lost[out[i].Ref] {
			out[i].Kept, out[i].Text = col.Field.String(), r.parsedText(col.Field, out[i].Text, c)
		}
		start = ends[i]
	}
	return out
}

// lost are the cells of the row that did not parse.
func (r *rowReader) lost() map[string]bool {
	if len(r.row.errors) == 0 && len(r.row.unread) == 0 {
		return nil
	}
	lost := map[string]bool{}
	for _, p := range r.row.errors {
		lost[p.Cell] = true
	}
	for _, ref := range r.row.unread {
		lost[ref] = true
	}
	return lost
}

// parsedText is the text of a cell that parsed: a code as it is compared, of an
// age only the band, and the word of ours that the mapping gives for a word of
// the sheet.
func (r *rowReader) parsedText(f columns.Field, text string, c sheet.Cell) string {
	switch f {
	case columns.Case, columns.Practice, columns.Clinician:
		text, _ = values.Code(text, c.Kind == sheet.Number)
		return text
	case columns.Age, columns.AgeBand:
		return r.row.caseOf.AgeBand.String()
	}
	if n := len(r.row.movements); f == columns.Direction && n > 0 {
		return r.MeantDirection(text, r.row.movements[n-1].Axis)
	}
	return r.Meant(f, text)
}

// reduced takes the day out of dates.
func (r *reader) reduced(f columns.Field, c sheet.Cell) string {
	month := f == columns.StartMonth || f == columns.EndMonth || f == columns.CourseStart
	var m casebook.Month
	var err error
	switch {
	case c.Kind == sheet.Date:
		m, err = values.Serial(c.Text, r.Book.Date1904)
	case month && c.Kind == sheet.Number:
		m, err = values.NumberMonth(c.Text, r.Book.Date1904)
	case month && c.Kind == sheet.String:
		m, err = values.ParseMonth(c.Text, r.Dates)
	default:
		return c.Text
	}
	if err != nil {
		return maskDay(c.Text)
	}
	return m.String()
}

// maskDay hides every digit but those of a year of four digits.
func maskDay(s string) string {
	out := []byte(s)
	for i := 0; i < len(out); {
		if out[i] < '0' || out[i] > '9' {
			i++
			continue
		}
		end := i
		for end < len(out) && out[end] >= '0' && out[end] <= '9' {
			end++
		}
		if end-i != 4 {
			for ; i < end; i++ {
				out[i] = '#'
			}
		}
		i = end
	}
	return string(out)
}
