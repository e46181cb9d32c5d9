package sheet

import (
	"context"
	"encoding/xml"
	"errors"
	"slices"
	"strconv"

	"shortfall/ingest/rules"
)

// odsReader streams the sheets of an OpenDocument spreadsheet (ISO/IEC 26300,
// part 3: 9.1 tables, 19.385 values). No library for it is well kept in Go; the
// limits and the checks of the XML are those of workbooks.
type odsReader struct {
	ctx    context.Context
	limits Limits
	book   *Book
	frame  *frame          // takes the texts outside the cells
	hidden map[string]bool // table styles that are not shown
	cells  int
}

func isOpenDocument(p *pack) bool {
	_, ok := p.parts["content.xml"]
	return ok
}

func (b *Book) readOpenDocument(ctx context.Context, p *pack, l Limits) error {
	b.Format = Workbook
	if encrypted(p) {
		return rules.New(rules.FilePassword, "the workbook is protected by a password")
	}
	f := newFrame(b, p, layout{})
	if err := f.aroundTables(); err != nil {
		return err
	}
	rc, err := p.open("content.xml")
	if err != nil {
		return err
	}
	defer rc.Close()
	in := &odsReader{ctx: ctx, limits: l, book: b, hidden: map[string]bool{}, frame: f}
	if err := in.read(newTokens(rc)); err != nil {
		name := ""
		if n := len(b.Sheets); n > 0 {
			name = b.Sheets[n-1].Name
		}
		return place(problemOf(err), b.File.Name, name)
	}
	if len(b.Sheets) == 0 {
		return rules.New(rules.FileKind, "this is an OpenDocument file and no spreadsheet")
	}
	f.describe()
	return nil
}

func (in *odsReader) read(t *tokens) error {
	style := ""
	return t.starts(func(e xml.StartElement) (err error) {
		switch e.Name.Local {
		case "style":
			style = prefixed(e, "name")
		case "table-properties":
			if prefixed(e, "display") == "false" {
				in.hidden[style] = true
			}
		case "tracked-changes": // cells as they were before a change
			in.frame.unchecked["cells as they were before changes"]++
			err = t.skip()
		case "table":
			err = in.table(t, e)
		default:
			err = in.frame.besideTables(t, e)
		}
		return err
	})
}

// table reads one sheet.
func (in *odsReader) table(t *tokens, e xml.StartElement) error {
	s := &Sheet{Name: prefixed(e, "name"), Hidden: in.hidden[prefixed(e, "style-name")]}
	in.book.Sheets = append(in.book.Sheets, s)
	row, col := 1, 1
	for depth := len(t.open); len(t.open) >= depth; {
		tok, err := t.next()
		if err != nil {
			return err
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		switch e.Name.Local {
		case "table-column":
			n := repeated(e, "number-columns-repeated")
			if prefixed(e, "visibility") == "collapse" {
				s.HiddenCols = append(s.HiddenCols, Area{Col1: col, Col2: col + n - 1})
			}
			col += n
		case "table-row":
			if row, err = in.row(t, e, s, row); err != nil {
				return err
			}
		case "shapes":
			if err := in.frame.drawn(t); err != nil {
				return err
			}
		case "tracked-changes":
			in.frame.unchecked["cells as they were before changes"]++
			if err := t.skip(); err != nil {
				return err
			}
		case "named-expression", "named-range", "database-range", "scenario":
			if err := in.frame.besideTables(t, e); err != nil {
				return err
			}
		case "table", "sub-table":
			return damaged("a table stands inside a table")
		}
	}
	return s.arrange()
}

// mostRepeated is beyond every limit on rows, columns and cells, and small enough
// that sums and products of it stay whole numbers.
const mostRepeated = 1 << 24

// repeated is how often a row, column or cell stands for itself.
func repeated(e xml.StartElement, name string) int {
	n, err := strconv.ParseUint(prefixed(e, name), 10, 64)
	if errors.Is(err, strconv.ErrRange) {
		return mostRepeated
	}
	if err != nil || n < 1 {
		return 1
	}
	return int(min(n, mostRepeated))
}

// row reads a row, which may stand for several, and gives the number of the next.
func (in *odsReader) row(t *tokens, e xml.StartElement, s *Sheet, number int) (int, error) {
	times := repeated(e, "number-rows-repeated")
	v := prefixed(e, "visibility")
	r := s.NewRow(number)
	r.Hidden = v == "collapse" || v == "filter"
	col := 1
	for depth := len(t.open); len(t.open) >= depth; {
		tok, err := t.next()
		if err != nil {
			return 0, err
		}
		e, ok := tok.(xml.StartElement)
		if !ok || e.Name.Local != "table-cell" && e.Name.Local != "covered-table-cell" {
			continue
		}
		n := repeated(e, "number-columns-repeated")
		across, down := repeated(e, "number-columns-spanned"), repeated(e, "number-rows-spanned")
		if across > 1 || down > 1 {
			if len(s.Merged) >= in.limits.Merged {
				return 0, rules.New(rules.FileTooLarge, "the sheet has more than %d merged areas", in.limits.Merged)
			}
			s.Merged = append(s.Merged, Area{number, col, number + down - 1, col + across - 1})
		}
		c, err := in.cell(t, e, s, Ref(number, min(col, in.limits.Columns)))
		if err != nil {
			return 0, err
		}
		if c.Kind != Blank {
			if err := in.put(&r, c, col, n, times); err != nil {
				return 0, err
			}
		}
		col += n
	}
	if r.Len() == 0 {
		return number + times, nil
	}
	if number+times-1 > in.limits.Rows {
		return 0, rules.New(rules.FileTooLarge, "the sheet reaches row %d; the limit is %d", number+times-1, in.limits.Rows)
	}
	for i := range times {
		again := r
		again.Number = number + i
		if i > 0 {
			again.cells = slices.Clone(r.cells)
		}
		s.Rows = append(s.Rows, again)
	}
	if len(s.Rows)%1024 == 0 {
		return number + times, in.ctx.Err()
	}
	return number + times, nil
}

// put writes a cell as often as it stands for itself, within the limits.
func (in *odsReader) put(r *Row, c Cell, col, n, rows int) error {
	if col+n-1 > in.limits.Columns {
		return rules.New(rules.FileTooLarge, "the sheet reaches more than %d columns", in.limits.Columns)
	}
	if rows > in.limits.Cells || in.cells+n*rows > in.limits.Cells {
		return rules.New(rules.FileTooLarge, "the workbook holds more than %d cells", in.limits.Cells)
	}
	in.cells += n * rows
	for i := range n {
		c.Col = int32(col + i)
		r.Add(c)
	}
	return nil
}
