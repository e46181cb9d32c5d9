package row

import (
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/memo"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// original gives the cells of the row, all of them for the marked copy that may
// be made while the file is at hand, and says which may be kept after that: those
// of columns that were read, where they parsed. Of dates no more than the month
// is given, and codes in the form in which they are compared.
func (r *Reader) original() casebook.Original {
	lost := r.lost()
	out := r.originals.rows.Begin(r.cells.Number, r.cells.Len())
	for i := range r.cells.Len() {
		c := r.cells.Cell(i)
		col := r.originals.column(r.t, int(c.Col))
		kept := col.field != columns.NoField && r.took[c.Col] && (lost == nil || !lost[sheet.Ref(r.cells.Number, int(c.Col))])
		if c != col.last || kept != col.kept || !col.steady {
			col.last, col.kept, col.text = c, kept, r.reduced(col.field, c)
			if kept {
				col.text = r.parsedText(col.field, col.text, c)
			}
		}
		if col.text != c.Text {
			r.originals.rows.Cell(col.number, col.text, kept)
			continue
		}
		n := r.originals.known.Get(r.t.Sheet.Number(r.cells, i), c.Text)
		r.originals.rows.Numbered(col.number, n, c.Text, kept)
	}
	return out
}

// originals writes the original rows of one table.
type originals struct {
	rows    *casebook.Rows
	known   *memo.Numbered[uint64] // numbers of texts that stay as they are
	columns []originalColumn       // by number of the column
}

// originalColumn is what a column is, and what its cell in the row above gave.
type originalColumn struct {
	field  columns.Field
	number int  // among those of the rows, -1 until it is needed
	steady bool // a cell gives the same in every row
	last   sheet.Cell
	kept   bool
	text   string
}

func (o *originals) column(t *layout.Table, col int) *originalColumn {
	for len(o.columns) <= col {
		o.columns = append(o.columns, originalColumn{number: -1})
	}
	c := &o.columns[col]
	if c.number < 0 {
		of, _ := t.ColumnAt(col)
		c.field = of.Field
		c.steady = c.field != columns.Age && c.field != columns.AgeBand && c.field != columns.Direction
		c.number = o.rows.Column(casebook.RowColumn{Place: sheet.ColumnName(col), Header: of.Text, Kept: of.Field.String()})
	}
	return c
}

// lost are the cells of the row that did not parse.
func (r *Reader) lost() map[string]bool {
	if len(r.row.Errors()) == 0 && len(r.unread) == 0 {
		return nil
	}
	lost := map[string]bool{}
	for _, p := range r.row.Errors() {
		lost[p.Cell] = true
	}
	for _, ref := range r.unread {
		lost[ref] = true
	}
	return lost
}

// parsedText is the text of a cell that parsed: a code as it is compared, of an
// age only the band, and the word of ours that the mapping gives for a word of
// the sheet.
func (r *Reader) parsedText(f columns.Field, text string, c sheet.Cell) string {
	switch f {
	case columns.Case, columns.Practice, columns.Clinician:
		text, _ = r.codeIn(f, c)
		return text
	case columns.Age, columns.AgeBand:
		return r.row.Case.AgeBand.String()
	}
	if all := r.MovementsOf(r.row); f == columns.Direction && len(all) > 0 {
		return r.MeantDirection(text, all[len(all)-1].Value.Axis)
	}
	return r.Meant(f, text)
}

// reduced takes the day out of dates.
func (r *File) reduced(f columns.Field, c sheet.Cell) string {
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
