package pseudonym

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/privacy"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// ageBands turns the first column of dates of birth of each table that has no
// ages into one of age bands, in the cells at hand.
func (c *copier) ageBands(found *layout.Found) {
	starts := c.starts(found)
	header, _ := columns.Find(casebook.CaseKind, columns.AgeBand)
	for _, t := range found.Tables {
		birth := slices.IndexFunc(t.Columns, func(col layout.Column) bool {
			return col.Field == columns.NoField && !col.Declared && privacy.BirthHeader(col.Text)
		})
		if birth < 0 || t.Has(columns.AgeBand) || t.Has(columns.Age) {
			continue
		}
		col := t.Columns[birth].Col
		for i := range t.Sheet.Rows {
			r := &t.Sheet.Rows[i]
			birthday := r.At(col)
			if birthday.Kind == sheet.Blank || r.Number < t.Header {
				continue
			}
			text := ""
			switch {
			case r.Number == t.Header:
				text = header.Header
			case r.Number >= t.Body:
				text = c.bandAtStart(birthday, starts[codeOf(*r, t)]).String()
				if text == "" {
					c.drop(t.Sheet.Name, "cell "+sheet.Ref(r.Number, col), "no age band: the date or the start cannot be read")
				}
			}
			if text == "" {
				r.Remove(col)
				continue
			}
			r.Put(sheet.Cell{Kind: sheet.String, Text: text, Col: int32(col)})
		}
		c.drop(t.Sheet.Name, "column "+sheet.ColumnName(col), "dates of birth; the copy has age bands")
	}
}

// codeOf is the code of a row's case as it is written.
func codeOf(r sheet.Row, t *layout.Table) string {
	return strings.TrimSpace(r.At(t.Find(columns.Case)).Text)
}

// starts finds when each case started, from whatever sheet says so: the
// earliest month.
func (c *copier) starts(found *layout.Found) map[string]casebook.Month {
	out := map[string]casebook.Month{}
	for _, t := range found.Tables {
		for _, f := range []columns.Field{columns.StartMonth, columns.CourseStart} {
			id, start := t.Find(columns.Case), t.Find(f)
			if id == 0 || start == 0 {
				continue
			}
			for _, r := range t.Sheet.Rows {
				m, err := c.month(r.At(start))
				key := codeOf(r, t)
				if r.Number >= t.Body && err == nil && key != "" && (out[key] == 0 || m < out[key]) {
					out[key] = m
				}
			}
		}
	}
	return out
}

// month of a cell in a column of months.
func (c *copier) month(cell sheet.Cell) (casebook.Month, error) {
	switch cell.Kind {
	case sheet.Date:
		return values.Serial(cell.Text, c.book.Date1904)
	case sheet.Number:
		return values.NumberMonth(cell.Text, c.book.Date1904)
	}
	return values.ParseMonth(cell.Text, values.Undeclared)
}

// bandAtStart counts whole years from the month of birth to the month of the
// start; in the month of a birthday the older band is taken.
func (c *copier) bandAtStart(cell sheet.Cell, start casebook.Month) casebook.AgeBand {
	birth, ok := birthMonth(cell, c.book.Date1904)
	if !ok || start == 0 || birth > start {
		return casebook.NoAgeBand
	}
	return casebook.AgeBandOf(int(start-birth) / 12)
}

// birthMonth reads a date of birth. values reads months of treatment only,
// from 1990 on, so older years are read here; where day and month cannot be
// told apart the cell is not read.
func birthMonth(cell sheet.Cell, date1904 bool) (casebook.Month, bool) {
	if cell.Kind == sheet.Date || cell.Kind == sheet.Number {
		days, err := strconv.ParseFloat(cell.Text, 64)
		if err != nil || days < 366 || days > 100000 {
			return 0, false
		}
		epoch := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
		if date1904 {
			epoch = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
		}
		t := epoch.AddDate(0, 0, int(days))
		return casebook.NewMonth(t.Year(), int(t.Month())), true
	}
	s := strings.TrimSpace(cell.Text)
	for _, form := range []string{"2006-1-2", "2006/1/2", "2.1.2006", "2 January 2006", "2 Jan 2006", "January 2, 2006", "2006-01"} {
		if t, err := time.Parse(form, s); err == nil {
			return casebook.NewMonth(t.Year(), int(t.Month())), true
		}
	}
	first, err1 := time.Parse("2/1/2006", s)
	second, err2 := time.Parse("1/2/2006", s)
	switch {
	case err1 == nil && err2 == nil && first != second:
		return 0, false
	case err1 == nil:
		return casebook.NewMonth(first.Year(), int(first.Month())), true
	case err2 == nil:
		return casebook.NewMonth(second.Year(), int(second.Month())), true
	}
	return 0, false
}
