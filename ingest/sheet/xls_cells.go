package sheet

import (
	"encoding/binary"
	"math"
	"strconv"

	"shortfall/ingest/rules"
)

// sheet reads the cells of one sheet.
func (in *xlsReader) sheet(x xlsSheet) error {
	s := &Sheet{Name: x.name, Hidden: x.hidden}
	in.book.Sheets = append(in.book.Sheets, s)
	rows := map[int]int{} // row number to index in s.Rows
	depth, waiting := 0, Cell{}
	var waitingRow int
	for at, n := int(x.at), 0; ; n++ {
		r, next, err := in.record(at)
		if err != nil {
			return err
		}
		at = next
		if n%4096 == 0 && in.ctx.Err() != nil {
			return in.ctx.Err()
		}
		switch r.kind {
		case xlsBOF: // charts nest
			depth++
			continue
		case xlsEOF:
			if depth--; depth <= 0 {
				return s.arrange()
			}
			continue
		}
		if depth > 1 {
			in.frame.unchecked["charts"] = 0
			continue
		}
		if r.kind == xlsString && waitingRow > 0 {
			t, _, err := r.text(0, 2)
			if err != nil {
				return err
			}
			c := text(t)
			c.Col = waiting.Col
			if err := in.put(s, rows, waitingRow, c); err != nil {
				return err
			}
			waitingRow = 0
			continue
		}
		if r.kind == xlsFormula && len(r.data) >= 14 && r.u16(12) == 0xFFFF && r.data[6] == 0 {
			waiting, waitingRow = Cell{Col: int32(r.u16(2)) + 1}, int(r.u16(0))+1
			continue
		}
		if err := in.content(s, rows, r); err != nil {
			return err
		}
	}
}

// content reads one record of a sheet.
func (in *xlsReader) content(s *Sheet, rows map[int]int, r biff) error {
	row, col := int(r.u16(0))+1, int32(r.u16(2))+1
	short := map[uint16]int{xlsNumber: 14, xlsRK: 10, xlsMulRK: 12, xlsLabelSST: 10, xlsLabel: 8, xlsBoolErr: 8, xlsFormula: 14, xlsRow: 16, xlsColInfo: 10}
	if len(r.data) < short[r.kind] {
		return damaged("a record is cut off")
	}
	put := func(c Cell) error {
		c.Col = col
		return in.put(s, rows, row, c)
	}
	switch r.kind {
	case xlsNumber:
		return put(in.number(math.Float64frombits(binary.LittleEndian.Uint64(r.data[6:])), r.u16(4)))
	case xlsRK:
		return put(in.number(rk(binary.LittleEndian.Uint32(r.data[6:])), r.u16(4)))
	case xlsMulRK:
		for at := 4; at+6 <= len(r.data)-2; at, col = at+6, col+1 {
			if err := put(in.number(rk(binary.LittleEndian.Uint32(r.data[at+2:])), r.u16(at))); err != nil {
				return err
			}
		}
	case xlsLabelSST:
		n := binary.LittleEndian.Uint32(r.data[6:])
		if int64(n) >= int64(len(in.texts)) {
			return damaged("a cell refers to a text the workbook does not hold")
		}
		return put(text(in.texts[n]))
	case xlsLabel:
		t, _, err := r.text(6, 2)
		if err != nil {
			return err
		}
		return put(text(t))
	case xlsBoolErr:
		return put(boolOrError(r.data[6], r.data[7] == 1))
	case xlsFormula:
		in.frame.unchecked[formulas] = 0
		return put(in.formula(r))
	case xlsRow:
		if r.u16(12)&0x20 != 0 {
			i := in.rowAt(s, rows, row)
			s.Rows[i].Hidden = true
		}
	case xlsColInfo:
		if r.u16(8)&1 != 0 {
			s.HiddenCols = append(s.HiddenCols, Area{Col1: int(r.u16(0)) + 1, Col2: int(r.u16(2)) + 1})
		}
	case xlsMergedCells:
		for i := range int(r.u16(0)) {
			at := 2 + 8*i
			if at+8 > len(r.data) || len(s.Merged) >= in.limits.Merged {
				return damaged("the merged areas are malformed")
			}
			s.Merged = append(s.Merged, Area{int(r.u16(at)) + 1, int(r.u16(at+4)) + 1, int(r.u16(at+2)) + 1, int(r.u16(at+6)) + 1})
		}
	default:
		return in.around(r)
	}
	return nil
}

func (in *xlsReader) rowAt(s *Sheet, rows map[int]int, number int) int {
	i, ok := rows[number]
	if !ok {
		i = len(s.Rows)
		rows[number] = i
		s.Rows = append(s.Rows, s.NewRow(number))
	}
	return i
}

func (in *xlsReader) put(s *Sheet, rows map[int]int, row int, c Cell) error {
	if c.Kind == Blank {
		return nil
	}
	if in.cells++; in.cells > in.limits.Cells {
		return rules.New(rules.FileTooLarge, "the workbook holds more than %d cells", in.limits.Cells)
	}
	if row > in.limits.Rows || int(c.Col) > in.limits.Columns {
		return rules.New(rules.FileTooLarge, "the sheet reaches cell %s; the limit is %d rows and %d columns", Ref(row, int(c.Col)), in.limits.Rows, in.limits.Columns)
	}
	i := in.rowAt(s, rows, row)
	s.Rows[i].Add(c)
	return nil
}

// number writes a stored number with the fewest digits that give it back.
func (in *xlsReader) number(v float64, style uint16) Cell {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Cell{Kind: ErrorValue, Text: "#NUM!"}
	}
	c := Cell{Kind: Number, Text: strconv.FormatFloat(v, 'f', -1, 64)}
	if int(style) < len(in.styles) {
		switch in.styles[style] {
		case dateStyle:
			c.Kind = Date
		case percentStyle:
			c.Percent = true
		}
	}
	return c
}

// formula gives the value that a formula was saved with; texts stand in a record
// of their own behind it.
func (in *xlsReader) formula(r biff) Cell {
	if r.u16(12) != 0xFFFF {
		return in.number(math.Float64frombits(binary.LittleEndian.Uint64(r.data[6:])), r.u16(4))
	}
	switch r.data[6] {
	case 1:
		return boolOrError(r.data[8], false)
	case 2:
		return boolOrError(r.data[8], true)
	}
	return Cell{} // an empty text
}

// boolOrError names error values as [MS-XLS] 2.5.10 numbers them.
func boolOrError(v byte, isError bool) Cell {
	if !isError {
		return Cell{Kind: Bool, Text: map[bool]string{true: "TRUE", false: "FALSE"}[v == 1]}
	}
	names := map[byte]string{0x00: "#NULL!", 0x07: "#DIV/0!", 0x0F: "#VALUE!", 0x17: "#REF!", 0x1D: "#NAME?", 0x24: "#NUM!", 0x2A: "#N/A"}
	if s, ok := names[v]; ok {
		return Cell{Kind: ErrorValue, Text: s}
	}
	return Cell{Kind: ErrorValue, Text: "#ERROR"}
}
