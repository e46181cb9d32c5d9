package sheet

import (
	"context"
	"encoding/xml"
	"slices"
	"strconv"

	"shortfall/ingest/rules"
)

// cellReader streams the cells of the sheets of one workbook.
type cellReader struct {
	ctx         context.Context
	limits      Limits
	texts       *texts        // of the whole book
	shared      int           // how many of them cells refer to by number
	styles      []numberStyle // by index of the cell format
	frame       *frame        // takes the texts outside the cells
	col         int32         // of the last cell of the row
	piece       []byte        // of the value being read
	cells, rows int           // of all sheets so far
	arena       []compact     // of the rows that are scanned
}

// sheet reads one sheet whole or gives an error; nothing in between.
func (in *cellReader) sheet(p *pack, part sheetPart) (*Sheet, error) {
	rc, err := p.open(part.part)
	if err != nil {
		return nil, err
	}
	defer rc.Close()
	s := &Sheet{Name: part.name, Hidden: part.hidden, texts: in.texts}
	if err := in.read(newTokens(rc), s); err != nil {
		return nil, err
	}
	return s, s.arrange()
}

func (in *cellReader) read(t *tokens, s *Sheet) error {
	return t.starts(func(e xml.StartElement) (err error) {
		switch e.Name.Local {
		case "col":
			err = s.addColumn(e)
		case "sheetData":
			err = in.quick(t, s)
		case "row":
			if err = in.row(t, e, s); err == nil {
				err = in.quick(t, s)
			}
		case "c":
			err = damaged("a cell stands outside a row")
		case "mergeCell":
			err = s.addMerged(e, in.limits)
		case "hyperlink":
			for _, name := range []string{"location", "tooltip", "display"} {
				if err == nil {
					err = in.frame.text("link", attr(e, name))
				}
			}
		case "dataValidation":
			err = in.validation(t, e)
		case "oddHeader", "oddFooter", "evenHeader", "evenFooter", "firstHeader", "firstFooter":
			err = in.pageText(t, e.Name.Local)
		default:
			err = in.frame.ofSheet(t, e)
		}
		return err
	})
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value
		}
	}
	return ""
}

func isTrue(s string) bool { return s == "1" || s == "true" }

// row reads the cells of one row; rows and cells without a reference follow
// the one before.
func (in *cellReader) row(t *tokens, e xml.StartElement, s *Sheet) error {
	number := s.last + 1
	if ref := attr(e, "r"); ref != "" {
		n, err := strconv.Atoi(ref)
		if err != nil || n < 1 {
			return damaged("a row has no valid number")
		}
		number = n
	}
	if number > in.limits.Rows {
		return rules.New(rules.FileTooLarge, "the sheet reaches row %d; the limit is %d", number, in.limits.Rows)
	}
	r := Row{Number: number, Hidden: isTrue(attr(e, "hidden")), texts: in.texts}
	if n := len(s.Rows); n > 0 {
		r.cells = make([]compact, 0, s.Rows[n-1].Len()) // rows of a table are alike
	}
	depth := len(t.open)
	in.col = 0
	for {
		tok, err := t.next()
		if err != nil {
			return err
		}
		switch e := tok.(type) {
		case xml.StartElement:
			switch e.Name.Local {
			case "c":
				if err := in.cell(t, e, &r); err != nil {
					return err
				}
			case "row":
				return damaged("a row stands inside a row")
			}
		case xml.EndElement:
			if len(t.open) < depth {
				return in.ended(s, r)
			}
		}
	}
}

// ended keeps a row that was read.
func (in *cellReader) ended(s *Sheet, r Row) error {
	s.last = r.Number
	if r.Len() > 0 {
		if len(s.Rows) == cap(s.Rows) {
			s.Rows = slices.Grow(s.Rows, len(s.Rows)+1) // twice as many, so that few are copied
		}
		s.Rows = append(s.Rows, r)
	}
	if in.rows++; in.rows%1024 == 0 {
		return in.ctx.Err()
	}
	return nil
}

// validation notes the texts of a check on cells: what it lists and what it says.
func (in *cellReader) validation(t *tokens, e xml.StartElement) error {
	for _, name := range []string{"promptTitle", "prompt", "errorTitle", "error"} {
		if err := in.frame.text("message of a check", attr(e, name)); err != nil {
			return err
		}
	}
	s, err := t.content(in.limits.TextBytes)
	if err != nil {
		return err
	}
	return in.frame.quoted("list of a check", s)
}
