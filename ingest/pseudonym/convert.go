package pseudonym

import (
	"fmt"
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

// convert gives the cell as the copy may hold it: blank where it may not.
func (c *copier) convert(f columns.Field, cell sheet.Cell, sheetName, place string) sheet.Cell {
	if cell.Kind == sheet.Blank {
		return sheet.Cell{}
	}
	switch f {
	case columns.Case:
		return c.caseCell(cell)
	case columns.StartMonth, columns.EndMonth, columns.CourseStart:
		if m, err := c.month(cell); err == nil {
			return text(m.String())
		}
	case columns.Clinician, columns.Practice:
		if c.rule(cell, f) != "" {
			c.summary.Recoded++
			return text(c.key.name(string(strings.ToUpper(f.String())[0]), f.String(), strings.TrimSpace(cell.Text)))
		}
	}
	if cell.Kind == sheet.Date {
		c.drop(sheetName, place, "a date where none belongs")
		return sheet.Cell{}
	}
	if id := c.rule(cell, f); id != "" {
		c.drop(sheetName, place, string(id))
		return sheet.Cell{}
	}
	cell.Col = 0
	return cell
}

func text(s string) sheet.Cell { return sheet.Cell{Kind: sheet.String, Text: s} }

func (c *copier) rule(cell sheet.Cell, f columns.Field) string {
	kind := privacy.Text
	switch cell.Kind {
	case sheet.Number:
		kind = privacy.Number
	case sheet.Date:
		kind = privacy.Date
	}
	return string(privacy.CellRule(privacy.Cell{Row: 1, Col: 1, Text: cell.Text, Kind: kind}, f, c.book.Date1904))
}

// caseCell gives a case number its pseudonym.
func (c *copier) caseCell(cell sheet.Cell) sheet.Cell {
	id := strings.TrimSpace(cell.Text)
	if id == "" || values.IsTotal(id) || strings.EqualFold(id, columns.ExampleID) || cell.Kind == sheet.String && layout.Names(id) {
		return text(id)
	}
	p := c.key.name("P", columns.Case.String(), id)
	if other, ok := c.cases[p]; ok && other != id {
		c.cases[p] = collided
	} else if !ok {
		c.cases[p] = id
	}
	return text(p)
}

// collided marks a pseudonym that two case numbers share.
const collided = "\x00"

func (c *copier) collision() error {
	for _, id := range c.cases {
		if id == collided {
			return fmt.Errorf("two case numbers have the same pseudonym under this key; use another key for this practice")
		}
	}
	return nil
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

// startMonths finds when each case started, from whatever sheet says so: the
// earliest month.
func (c *copier) startMonths() map[string]casebook.Month {
	out := map[string]casebook.Month{}
	for _, t := range c.found.Tables {
		for _, f := range []columns.Field{columns.StartMonth, columns.CourseStart} {
			id, start := t.Find(columns.Case), t.Find(f)
			if id == 0 || start == 0 {
				continue
			}
			for _, r := range t.Sheet.Rows {
				m, err := c.month(r.At(start))
				key := strings.TrimSpace(r.At(id).Text)
				if r.Number >= t.Body && err == nil && key != "" && (out[key] == 0 || m < out[key]) {
					out[key] = m
				}
			}
		}
	}
	return out
}

// ageBands is a column of bands in place of ages or dates of birth.
func (c *copier) ageBands(t *layout.Table, col layout.Column, sheetName string) source {
	d, _ := columns.Find(casebook.CaseKind, columns.AgeBand)
	id := t.Find(columns.Case)
	return source{header: d.Header, cell: func(r sheet.Row) sheet.Cell {
		cell := r.At(col.Col)
		if cell.Kind == sheet.Blank {
			return sheet.Cell{}
		}
		band := casebook.NoAgeBand
		if col.Field == columns.Age {
			band = bandOfAge(cell.Text)
		} else if start := c.starts[strings.TrimSpace(r.At(id).Text)]; id > 0 && start != 0 {
			band = c.bandAtStart(cell, start)
		}
		if band == casebook.NoAgeBand {
			c.drop(sheetName, "cell "+sheet.Ref(r.Number, col.Col), "no age band: the date, the age or the start cannot be read")
			return sheet.Cell{}
		}
		return text(band.String())
	}}
}

func bandOfAge(s string) casebook.AgeBand {
	years, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(s), ",", ".", 1), 64)
	if err != nil || years < 0 || years > 120 {
		return casebook.NoAgeBand
	}
	return casebook.AgeBandOf(int(years))
}

// bandAtStart counts whole years from the month of birth to the month of the
// start; in the month of a birthday the older band is taken.
func (c *copier) bandAtStart(cell sheet.Cell, start casebook.Month) casebook.AgeBand {
	birth, ok := birthMonth(cell, c.book.Date1904)
	if !ok || birth > start {
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
