package ingest

import (
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// original keeps the cells of a row as they were, but for dates, of which no
// more than the month may be kept.
func (r *reader) original(t *layout.Table, cells sheet.Row) []casebook.Cell {
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
	for i, c := range cells.Cells {
		col, _ := t.ColumnAt(int(c.Col))
		out[i] = casebook.Cell{Ref: all[start:ends[i]], Header: col.Text, Text: r.reduced(col.Field, c)}
		start = ends[i]
	}
	return out
}

// reduced takes the day out of dates.
func (r *reader) reduced(f columns.Field, c sheet.Cell) string {
	month := f == columns.StartMonth || f == columns.EndMonth || f == columns.CourseStart
	var m casebook.Month
	var err error
	switch {
	case c.Kind == sheet.Date:
		m, err = values.Serial(c.Text, r.book.Date1904)
	case month && c.Kind == sheet.Number:
		m, err = values.NumberMonth(c.Text, r.book.Date1904)
	case month && c.Kind == sheet.String:
		m, err = values.ParseMonth(c.Text, r.dates)
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
