package sheet

import (
	"bytes"
	"cmp"
	"context"
	"encoding/xml"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

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

// stored is a cell as the XML holds it.
type stored struct {
	kind              string
	value             []byte // until the next cell is read
	inline            string
	style             int
	styled            bool
	hasValue, formula bool
	code              []byte // of the formula, where it may hold texts
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
	c, err := in.value(&st)
	if err != nil {
		p := problemOf(err)
		p.Cell = Ref(r.Number, int(col))
		return p
	}
	c.col, in.col = uint16(col), col // a later cell without a reference counts from a blank one too
	if c.kind == Blank {
		return nil
	}
	r.cells = append(r.cells, c)
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
				st.value = in.piece
				return nil
			}
		}
	}
}

// value turns the stored form into a cell without its column.
func (in *cellReader) value(st *stored) (compact, error) {
	var ns numberStyle
	if st.styled {
		var err error
		if ns, err = in.style(st.style); err != nil {
			return compact{}, err
		}
	}
	if st.formula && (!st.hasValue || len(st.value) == 0 && st.kind != "str") {
		return compact{kind: NoValue}, nil
	}
	switch st.kind {
	case "", "n":
		v := bytes.TrimSpace(st.value)
		if len(v) == 0 {
			return compact{}, nil
		}
		if !plainNumber(v) && !finiteNumber(v) {
			return compact{}, damaged("a number is malformed")
		}
		if ns == dateStyle {
			return compact{kind: Date, text: number(in.texts, v)}, nil
		}
		return compact{kind: Number, text: number(in.texts, v), percent: ns == percentStyle}, nil
	case "s":
		return in.sharedText(st.value)
	case "inlineStr":
		return in.text(st.inline), nil
	case "str", "d":
		return in.text(unescape(string(st.value))), nil
	case "b":
		return in.texts.pack(Cell{Kind: Bool, Text: map[bool]string{true: "TRUE", false: "FALSE"}[isTrue(string(st.value))]}), nil
	case "e":
		return compact{kind: ErrorValue, text: number(in.texts, st.value)}, nil
	}
	return compact{}, damaged("a cell is of no known type")
}

// sharedText is a cell that refers to a text by its number.
func (in *cellReader) sharedText(value []byte) (compact, error) {
	if len(value) == 0 {
		return compact{}, nil
	}
	n, ok := digits(value)
	if !ok {
		var err error
		n, err = strconv.Atoi(strings.TrimSpace(string(value)))
		ok = err == nil
	}
	if !ok || n < 0 || n >= in.shared {
		return compact{}, damaged("a cell refers to a text the workbook does not hold")
	}
	if isBlank(in.texts.list[n+1]) {
		return compact{}, nil
	}
	return compact{kind: String, text: uint32(n + 1)}, nil
}

func (in *cellReader) text(s string) compact { return in.texts.pack(text(s)) }

// plainNumber reports digits, with a minus and a point or without, which are always a number.
func plainNumber(b []byte) bool {
	if b[0] == '-' {
		b = b[1:]
	}
	point := -1
	for i, c := range b {
		if c == '.' && point < 0 && i > 0 {
			point = i
		} else if c < '0' || c > '9' {
			return false
		}
	}
	return len(b) > 0 && len(b) < 300 && point < len(b)-1
}

// finiteNumber reports a number of any notation.
func finiteNumber(b []byte) bool {
	f, err := strconv.ParseFloat(string(b), 64)
	return err == nil && !math.IsInf(f, 0) && !math.IsNaN(f)
}

// text is a cell of text; one of blanks alone holds nothing.
func text(s string) Cell {
	if isBlank(s) {
		return Cell{}
	}
	return Cell{Kind: String, Text: s}
}

func isBlank(s string) bool {
	return (len(s) == 0 || s[0] <= ' ' || s[0] >= utf8.RuneSelf) && strings.TrimSpace(s) == ""
}

// grownRows are so many that memory matters.
const grownRows = 1 << 17

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
			out[n-1].cells = append(out[n-1].cells, r.cells...)
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
	s.Rows = slices.DeleteFunc(s.Rows, func(r Row) bool { return r.Len() == 0 })
	if n := len(s.Rows); n > grownRows && cap(s.Rows)-n > n/8 {
		s.Rows = append(make([]Row, 0, n), s.Rows...) // what they grew into is given back
	}
	return nil
}

func (r *Row) arrange() error {
	byCol := func(a, b compact) int { return cmp.Compare(a.col, b.col) }
	if !slices.IsSortedFunc(r.cells, byCol) {
		slices.SortStableFunc(r.cells, byCol)
	}
	for i := 1; i < len(r.cells); i++ {
		if r.cells[i].col == r.cells[i-1].col {
			p := rules.New(rules.SheetDamaged, "two cells stand in one place")
			p.Cell = Ref(r.Number, int(r.cells[i].col))
			return p
		}
	}
	r.cells = slices.DeleteFunc(r.cells, func(c compact) bool { return c.kind == Blank })
	return nil
}
