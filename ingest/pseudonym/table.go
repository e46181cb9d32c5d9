package pseudonym

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/privacy"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
)

// table is one sheet of the copy.
type table struct {
	name    string
	headers []string
	rows    [][]sheet.Cell // blank where a cell holds nothing; Col is not used
}

// copier is the state of one copy.
type copier struct {
	key    Key
	book   *sheet.Book
	found  *layout.Found
	starts map[string]casebook.Month // by case number as written
	cases  map[string]string         // pseudonym to case number
	// caseHeader is the header that the caller named for the column of cases.
	caseHeader string
	summary    Summary
}

// source is one column of the copy and how its cells come about.
type source struct {
	header string
	cell   func(sheet.Row) sheet.Cell
	fixed  bool // a constant of the table: the same in every row
}

func (c *copier) tables() ([]*table, error) {
	c.starts = c.startMonths()
	used := map[string]bool{}
	var out []*table
	for i, s := range c.book.Sheets {
		at := slices.IndexFunc(c.found.Tables, func(t *layout.Table) bool { return t.Sheet == s })
		if at < 0 {
			if len(s.Rows) > 0 && s.Name != columns.InstructionsSheet && s.Name != columns.ListsSheet {
				c.drop(c.sheetName(i), "", "no table of records was recognised on it")
			}
			continue
		}
		t := c.found.Tables[at]
		if !t.Has(columns.Case) {
			return nil, fmt.Errorf("%s: no column tells the cases apart; name it with --case", c.sheetName(i))
		}
		copied, err := c.table(t, i, used)
		if err != nil {
			return nil, err
		}
		out = append(out, copied)
		c.summary.Sheets++
		c.summary.Rows += len(copied.rows)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("no sheet holds a table of records that is recognised; describe it in a mapping file")
	}
	c.summary.Cases = len(c.cases)
	return out, nil
}

// sheetName is the name to print.
func (c *copier) sheetName(i int) string {
	if name := c.book.Sheets[i].Name; privacy.LabelRule(name) == "" {
		return name
	}
	return fmt.Sprintf("number %d", i+1)
}

// drop notes what is left out; a rule is said in words.
func (c *copier) drop(sheet, place, why string) {
	if r, ok := rules.Find(rules.ID(why)); ok {
		why = strings.ToLower(r.Title[:1]) + r.Title[1:] + " [" + why + "]"
	}
	c.summary.Dropped = append(c.summary.Dropped, Dropped{sheet, place, why})
}

// table copies the rows of one table under a single header row.
func (c *copier) table(t *layout.Table, i int, used map[string]bool) (*table, error) {
	out := &table{name: c.newName(t, i, used)}
	sources := c.sources(t, c.sheetName(i))
	for _, s := range sources {
		out.headers = append(out.headers, s.header)
	}
	merged := mergedFrom(t)
	for _, r := range t.Sheet.Rows {
		if r.Number < t.Body || r.Number > t.Last || len(r.Cells) == 0 {
			continue
		}
		if r.Broken {
			c.drop(c.sheetName(i), fmt.Sprintf("row %d", r.Number), "a quotation mark is out of place, so its cells cannot be told apart")
			continue
		}
		row := make([]sheet.Cell, len(sources))
		holds := false
		for j, s := range sources {
			row[j] = s.cell(filled(r, merged))
			holds = holds || row[j].Kind != sheet.Blank && !s.fixed
		}
		if !holds {
			c.drop(c.sheetName(i), fmt.Sprintf("row %d", r.Number), "nothing in it is read by the audit")
			continue
		}
		out.rows = append(out.rows, row)
	}
	return out, c.collision()
}

// newName keeps a clean sheet name, or gives the sheet the name of its kind.
func (c *copier) newName(t *layout.Table, i int, used map[string]bool) string {
	name := c.book.Sheets[i].Name
	if c.sheetName(i) != name || t.Constants[columns.Case] == name {
		name = columns.SheetName(t.Kind)
	}
	for n, plain := 2, name; used[strings.ToLower(name)]; n++ {
		name = fmt.Sprintf("%s %d", plain, n)
	}
	used[strings.ToLower(name)] = true
	return name
}

// sources lists the columns of the copy: constants of the table first, since
// they stood above it, then its columns in order.
func (c *copier) sources(t *layout.Table, sheetName string) []source {
	var out []source
	for _, f := range slices.SortedFunc(constants(t), cmp.Compare[columns.Field]) {
		out = append(out, c.constant(t, f, sheetName))
	}
	banded := t.Has(columns.AgeBand)
	for _, col := range t.Columns {
		place := "column " + sheet.ColumnName(col.Col)
		switch {
		case col.Field == columns.Age || col.Field == columns.NoField && privacy.BirthHeader(col.Text):
			if banded {
				c.drop(sheetName, place, "dates of birth or ages; the sheet has age bands")
				continue
			}
			banded = true
			c.drop(sheetName, place, "dates of birth or ages; copied as age bands")
			out = append(out, c.ageBands(t, col, sheetName))
		case col.Field == columns.NoField:
			c.drop(sheetName, place, unreadWhy(col.Text))
		default:
			out = append(out, c.column(t, col, sheetName))
		}
	}
	return out
}

func unreadWhy(header string) string {
	if id := privacy.HeaderRule(header, columns.NoField); id != "" {
		return string(id)
	}
	return "not read by the audit"
}

func constants(t *layout.Table) func(func(columns.Field) bool) {
	return func(yield func(columns.Field) bool) {
		for f := range t.Constants {
			if t.Find(f) == 0 && !yield(f) {
				return
			}
		}
	}
}

func (c *copier) constant(t *layout.Table, f columns.Field, sheetName string) source {
	cell := c.convert(f, sheet.Cell{Kind: sheet.String, Text: t.Constants[f]}, sheetName, "value above the table")
	return source{header: canonical(t.Kind, f), fixed: true, cell: func(sheet.Row) sheet.Cell { return cell }}
}

// canonical is the header of the template for a field; a sheet of movements may
// hold those of its case and its course.
func canonical(k casebook.Kind, f columns.Field) string {
	for _, kind := range []casebook.Kind{k, casebook.CaseKind, casebook.CourseKind} {
		if d, ok := columns.Find(kind, f); ok {
			return d.Header
		}
	}
	return f.String()
}

func (c *copier) column(t *layout.Table, col layout.Column, sheetName string) source {
	text := col.Text
	personal := privacy.HeaderRule(text, col.Field) != "" || col.Declared && privacy.HeaderRule(text, columns.NoField) != ""
	// A header that only --case explains would be unknown to ingest.
	if personal || col.Declared && text == c.caseHeader {
		text = canonical(t.Kind, col.Field)
		c.drop(sheetName, "column "+sheet.ColumnName(col.Col), "its header; the copy says \""+text+"\"")
	}
	return source{header: text, cell: func(r sheet.Row) sheet.Cell {
		return c.convert(col.Field, r.At(col.Col), sheetName, "cell "+sheet.Ref(r.Number, col.Col))
	}}
}

// mergedFrom maps the rows of merged areas below the header to the cells that
// hold their value.
func mergedFrom(t *layout.Table) map[int][]sheet.Cell {
	out := map[int][]sheet.Cell{}
	for _, a := range t.Sheet.Merged {
		i, ok := slices.BinarySearchFunc(t.Sheet.Rows, a.Row1, func(r sheet.Row, n int) int { return cmp.Compare(r.Number, n) })
		if a.Row1 < t.Body || !ok {
			continue
		}
		first := t.Sheet.Rows[i].At(a.Col1)
		for row := a.Row1 + 1; row <= a.Row2 && first.Kind != sheet.Blank; row++ {
			out[row] = append(out[row], first)
		}
	}
	return out
}

// filled gives a row the values of the merged areas that reach into it.
func filled(r sheet.Row, merged map[int][]sheet.Cell) sheet.Row {
	more := merged[r.Number]
	if len(more) == 0 {
		return r
	}
	r.Cells = slices.Clone(r.Cells)
	for _, m := range more {
		if r.At(int(m.Col)).Kind == sheet.Blank {
			r.Cells = append(r.Cells, m)
		}
	}
	slices.SortFunc(r.Cells, func(a, b sheet.Cell) int { return cmp.Compare(a.Col, b.Col) })
	return r
}
