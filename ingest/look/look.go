// Package look shows a file to the person who gave it: its sheets as they came, what each
// column was understood to be, and no cell that nobody may see.
//
// Place in the pipeline: beside reading, for the local page; nothing of a view is kept.
package look

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest"
	"shortfall/ingest/apart"
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/privacy"
	"shortfall/ingest/rules"
	"shortfall/ingest/screen"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// View is a file as the person who gave it may look at it: its sheets as they
// came, what each column was understood to be, and no cell that is not read or that
// the screen for identifiers objects to.
type View struct {
	Sheets   []*Sheet
	date1904 bool
}

// Sheet is one sheet of a view.
type Sheet struct {
	Name    string // shown: a name that looks like an identifier is withheld
	Columns []Column
	Header  int // first row of the header, 0 where the sheet holds no plain table
	Body    int // first row below it
	Last    int // number of the last row that holds anything
	name    string
	view    *View
	rows    []sheet.Row
	fields  map[string]columns.Field // of the cells of a sheet that was taken apart
	refused map[string]bool          // cells that the screen named
}

// Column is one column of a sheet.
type Column struct {
	ID      string // of the answer that says what it holds
	Letter  string
	Meaning string // "" where the column is not read
	Whole   bool   // its header says more than a field can: a tooth, a movement, a course
	field   columns.Field
	read    bool
}

// Cell is one cell of a row. A masked one has no text.
type Cell struct {
	Ref    string
	Text   string
	Masked bool
}

// At opens a file to be looked at. The problems are those that reading it gave:
// cells that they name for the screen are masked.
func At(ctx context.Context, path string, o ingest.Options, problems []casebook.Problem) (*View, error) {
	book, err := sheet.OpenContext(ctx, path, o.Limits)
	if err != nil {
		return nil, screen.WithoutNames(err)
	}
	odd := ingest.Tables(book, o)
	v := &View{date1904: book.Date1904}
	for i, s := range book.Sheets {
		out := &Sheet{Name: s.Name, name: s.Name, view: v, rows: s.Rows, refused: map[string]bool{}}
		if privacy.LabelRule(s.Name) != "" {
			out.Name = fmt.Sprintf("number %d %s", i+1, screen.NameWithheld)
		}
		if n := len(s.Rows); n > 0 {
			out.Last = s.Rows[n-1].Number
		}
		for col := 1; col <= s.Columns(); col++ {
			out.Columns = append(out.Columns, Column{ID: odd.ColumnID(s.Name, sheet.ColumnName(col)), Letter: sheet.ColumnName(col)})
		}
		v.Sheets = append(v.Sheets, out)
	}
	for _, t := range odd.Found.Tables {
		v.table(odd.Book, t)
	}
	for _, p := range problems {
		if s := v.Sheet(p.Sheet); s != nil && p.Cell != "" && rules.Identifies(p.Rule) {
			s.refused[p.Cell] = true
		}
	}
	return v, nil
}

// Sheet finds a sheet by its name or by what is shown of it; nil where there is none.
func (v *View) Sheet(name string) *Sheet {
	i := slices.IndexFunc(v.Sheets, func(s *Sheet) bool { return s.name == name || s.Name == name })
	if i < 0 {
		return nil
	}
	return v.Sheets[i]
}

// table notes what the columns of a table are. The cells of a sheet that was taken
// apart are noted one by one, since its columns hold several things.
func (v *View) table(odd apart.Book, t *layout.Table) {
	from := odd.From(t.Sheet)
	s := v.Sheet(from.Name)
	if s == nil {
		return
	}
	if from == t.Sheet {
		s.Header, s.Body = t.Header, t.Body
		for _, c := range t.Columns {
			if c.Col <= len(s.Columns) {
				col := &s.Columns[c.Col-1]
				_, mark := t.Marks[c.Col]
				col.field, col.read = c.Field, c.Field != columns.NoField || mark || c.Col == t.NoneCol
				col.Meaning = meaning(t, c)
				col.Whole = mark || c.Col == t.NoneCol || c.Tooth != "" || c.Axis != casebook.NoAxis || c.Course > 0
			}
		}
		return
	}
	if s.fields == nil {
		s.fields = map[string]columns.Field{}
	}
	for _, row := range t.Sheet.Rows {
		for _, c := range row.All() {
			if col, ok := t.ColumnAt(int(c.Col)); ok && col.Field != columns.NoField {
				_, ref, _ := odd.Locate(t.Sheet.Name, sheet.Ref(row.Number, int(c.Col)), row.Number)
				s.fields[ref] = col.Field
			}
		}
	}
}

// meaning says what a column was understood to be.
func meaning(t *layout.Table, c layout.Column) string {
	if style, ok := t.Marks[c.Col]; ok {
		return "attachment " + style.String() + ", yes or no"
	}
	if c.Col == t.NoneCol {
		return "no attachment, yes or no"
	}
	if c.Field == columns.NoField {
		return ""
	}
	out := []string{ingest.NameOf(c.Field)}
	if c.Tooth != "" {
		out = append(out, "tooth "+c.Tooth)
	}
	if c.Direction != casebook.NoDirection {
		out = append(out, c.Direction.String())
	} else if c.Axis != casebook.NoAxis {
		out = append(out, c.Axis.String())
	}
	if c.Course > 0 {
		out = append(out, fmt.Sprintf("course %d", c.Course))
	}
	if u := c.Unit; u != casebook.NoUnit {
		out = append(out, u.String())
	}
	return strings.Join(out, ", ")
}

// Rows gives the rows with the numbers from first on, at most so many that hold
// anything.
func (s *Sheet) Rows(first, most int) []sheet.Row {
	i, _ := slices.BinarySearchFunc(s.rows, first, func(r sheet.Row, n int) int { return r.Number - n })
	return s.rows[i:min(len(s.rows), i+most)]
}

// Apart reports a sheet that was taken apart: its columns hold several things each, so
// none has a meaning of its own.
func (s *Sheet) Apart() bool { return s.fields != nil }

// Count is the number of rows that hold anything.
func (s *Sheet) Count() int { return len(s.rows) }

// Place of a row among those that hold anything.
func (s *Sheet) Place(number int) int {
	i, _ := slices.BinarySearchFunc(s.rows, number, func(r sheet.Row, n int) int { return r.Number - n })
	return i
}

// Cells gives the cells of a row, one a column, blank ones too.
func (s *Sheet) Cells(r sheet.Row) []Cell {
	out := make([]Cell, len(s.Columns))
	for i := range out {
		out[i].Ref = sheet.Ref(r.Number, i+1)
	}
	for _, c := range r.All() {
		v := &out[c.Col-1]
		if v.Text = c.Text; s.masks(r.Number, c, v.Ref) {
			v.Text, v.Masked = "", true
		} else if m, err := values.Serial(c.Text, s.view.date1904); c.Kind == sheet.Date && err == nil {
			v.Text = m.String() // what is stored is a count of days, and the month is what is kept
		}
	}
	return out
}

// masks decides by what a cell is read as; what is not read is not shown, unless it
// is made of words of the trade alone.
func (s *Sheet) masks(row int, c sheet.Cell, ref string) bool {
	switch {
	case c.Text == "":
		return false
	case s.refused[ref]:
		return true
	case c.Kind == sheet.String && lexicon.AllKnown(c.Text):
		return false
	case s.Header > 0 && row >= s.Header && row < s.Body:
		return privacy.LabelRule(c.Text) != ""
	}
	field, read := s.fields[ref]
	if s.Header > 0 {
		col := s.Columns[c.Col-1]
		field, read = col.field, col.read && row >= s.Body
	}
	return !read || privacy.CellRule(screened(row, c), field, s.view.date1904) != ""
}

// screened is a cell as the screen looks at it.
func screened(row int, c sheet.Cell) privacy.Cell {
	kind := privacy.Text
	switch c.Kind {
	case sheet.Number:
		kind = privacy.Number
	case sheet.Date:
		kind = privacy.Date
	}
	return privacy.Cell{Row: row, Col: int(c.Col), Text: c.Text, Kind: kind}
}
