package sheet

import (
	"cmp"
	"context"
	"encoding/xml"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/rules"
)

// cellReader streams the cells of the sheets of one workbook.
type cellReader struct {
	ctx         context.Context
	limits      Limits
	texts       []string
	styles      []numberStyle // by index of the cell format
	frame       *frame        // takes the texts outside the cells
	col         int32         // of the last cell of the row
	piece       []byte        // of the value being read
	cells, rows int           // of all sheets so far
	arena       []Cell        // of the rows that are scanned
	known       known
}

// sheet reads one sheet whole or gives an error; nothing in between.
func (in *cellReader) sheet(p *pack, part sheetPart) (*Sheet, error) {
	rc, err := p.open(part.part)
	if err != nil {
		return nil, err
	}
	defer rc.Close()
	s := &Sheet{Name: part.name, Hidden: part.hidden}
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
	r := Row{Number: number, Hidden: isTrue(attr(e, "hidden"))}
	if n := len(s.Rows); n > 0 {
		r.Cells = make([]Cell, 0, len(s.Rows[n-1].Cells)) // rows of a table are alike
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
	if len(r.Cells) > 0 {
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

// stored is a cell as the XML holds it.
type stored struct {
	kind, value, inline string
	style               int
	styled              bool
	hasValue, formula   bool
	code                []byte // of the formula, where it may hold texts
}

// cell reads one c element.
func (in *cellReader) cell(t *tokens, e xml.StartElement, r *Row) error {
	col := in.col + 1
	st := stored{}
	for _, a := range e.Attr {
		switch a.Name.Local {
		case "r":
			c, row, err := excelize.CellNameToCoordinates(a.Value)
			if err != nil || row != r.Number {
				return damaged("a cell of row %d has a reference that does not fit the row", r.Number)
			}
			col = int32(c)
		case "t":
			st.kind = a.Value
		case "s":
			n, err := strconv.Atoi(a.Value)
			if err != nil {
				return damaged("a cell of row %d refers to no style", r.Number)
			}
			st.style, st.styled = n, true
		}
	}
	if int(col) > in.limits.Columns {
		return rules.New(rules.FileTooLarge, "the sheet reaches column %s; the limit is %d columns", ColumnName(int(col)), in.limits.Columns)
	}
	if err := in.content(t, &st); err != nil {
		return err
	}
	if st.formula {
		if err := in.frame.formula(string(st.code)); err != nil {
			return err
		}
	}
	c, err := in.value(st)
	if err != nil {
		p := problemOf(err)
		p.Cell = Ref(r.Number, int(col))
		return p
	}
	c.Col, in.col = col, col // a later cell without a reference counts from a blank one too
	if c.Kind == Blank {
		return nil
	}
	r.Cells = append(r.Cells, c)
	if in.cells++; in.cells > in.limits.Cells {
		return rules.New(rules.FileTooLarge, "the workbook holds more than %d cells", in.limits.Cells)
	}
	return nil
}

// content reads the children of a c element.
func (in *cellReader) content(t *tokens, st *stored) error {
	depth := len(t.open)
	inV, inF := false, false
	in.piece = in.piece[:0]
	for {
		tok, err := t.next()
		if err != nil {
			return err
		}
		switch e := tok.(type) {
		case xml.StartElement:
			switch e.Name.Local {
			case "v":
				inV, st.hasValue = true, true
			case "f":
				inF, st.formula = true, true
			case "is":
				if st.inline, err = t.text(in.limits.CellBytes); err != nil {
					return err
				}
			case "c", "row":
				return damaged("a cell stands inside a cell")
			}
		case xml.CharData:
			if inV {
				in.piece = append(in.piece, e...)
			}
			if inF {
				st.code = append(st.code, e...)
			}
			if len(in.piece)+len(st.code) > in.limits.CellBytes {
				return rules.New(rules.FileTooLarge, "a cell holds more than %d bytes of text", in.limits.CellBytes)
			}
		case xml.EndElement:
			inV, inF = false, false
			if len(t.open) < depth {
				st.value = string(in.piece)
				return nil
			}
		}
	}
}

// value turns the stored form into a cell.
func (in *cellReader) value(st stored) (Cell, error) {
	var ns numberStyle
	if st.styled {
		var err error
		if ns, err = in.style(st.style); err != nil {
			return Cell{}, err
		}
	}
	if st.formula && (!st.hasValue || st.value == "" && st.kind != "str") {
		return Cell{Kind: NoValue}, nil
	}
	switch st.kind {
	case "", "n":
		v := strings.TrimSpace(st.value)
		if v == "" {
			return Cell{}, nil
		}
		if f, err := strconv.ParseFloat(v, 64); err != nil || math.IsInf(f, 0) || math.IsNaN(f) {
			return Cell{}, damaged("a number is malformed")
		}
		if ns == dateStyle {
			return Cell{Kind: Date, Text: v}, nil
		}
		return Cell{Kind: Number, Text: v, Percent: ns == percentStyle}, nil
	case "s":
		n, err := strconv.Atoi(strings.TrimSpace(st.value))
		if st.value == "" {
			return Cell{}, nil
		}
		if err != nil || n < 0 || n >= len(in.texts) {
			return Cell{}, damaged("a cell refers to a text the workbook does not hold")
		}
		return text(in.texts[n]), nil
	case "inlineStr":
		return text(st.inline), nil
	case "str", "d":
		return text(unescape(st.value)), nil
	case "b":
		return Cell{Kind: Bool, Text: map[bool]string{true: "TRUE", false: "FALSE"}[isTrue(st.value)]}, nil
	case "e":
		return Cell{Kind: ErrorValue, Text: st.value}, nil
	}
	return Cell{}, damaged("a cell is of no known type")
}

func text(s string) Cell {
	if strings.TrimSpace(s) == "" {
		return Cell{}
	}
	return Cell{Kind: String, Text: s}
}

// arrange puts rows and cells in order, joins rows given in pieces, drops
// blanks and refuses two cells in one place.
func (s *Sheet) arrange() error {
	byNumber := func(a, b Row) int { return cmp.Compare(a.Number, b.Number) }
	if !slices.IsSortedFunc(s.Rows, byNumber) {
		slices.SortStableFunc(s.Rows, byNumber)
	}
	out := s.Rows[:0]
	for _, r := range s.Rows {
		if n := len(out); n > 0 && out[n-1].Number == r.Number {
			out[n-1].Cells = append(out[n-1].Cells, r.Cells...)
			out[n-1].Hidden = out[n-1].Hidden || r.Hidden
			continue
		}
		out = append(out, r)
	}
	s.Rows = out
	for i := range s.Rows {
		if err := s.Rows[i].arrange(); err != nil {
			return err
		}
	}
	s.Rows = slices.DeleteFunc(s.Rows, func(r Row) bool { return len(r.Cells) == 0 })
	return nil
}

func (r *Row) arrange() error {
	byCol := func(a, b Cell) int { return cmp.Compare(a.Col, b.Col) }
	if !slices.IsSortedFunc(r.Cells, byCol) {
		slices.SortStableFunc(r.Cells, byCol)
	}
	for i := 1; i < len(r.Cells); i++ {
		if r.Cells[i].Col == r.Cells[i-1].Col {
			p := rules.New(rules.SheetDamaged, "two cells stand in one place")
			p.Cell = Ref(r.Number, int(r.Cells[i].Col))
			return p
		}
	}
	r.Cells = slices.DeleteFunc(r.Cells, func(c Cell) bool { return c.Kind == Blank })
	return nil
}
