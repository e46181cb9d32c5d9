package sheet

import (
	"bytes"
	"encoding/xml"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/rules"
)

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
