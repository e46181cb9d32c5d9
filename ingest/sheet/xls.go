package sheet

import (
	"bytes"
	"context"
	"encoding/binary"
	"io"
	"math"
	"slices"
	"strconv"
	"unicode/utf16"

	"github.com/richardlehane/mscfb"

	"shortfall/ingest/rules"
)

// Records of the old binary workbook (BIFF8) that hold sheets and cells; numbers
// and layouts as in the open specification [MS-XLS], section 2.4. The container
// ([MS-CFB]) is read by a library.
const (
	xlsFormula     = 0x0006
	xlsEOF         = 0x000A
	xlsDate1904    = 0x0022
	xlsFilePass    = 0x002F
	xlsContinue    = 0x003C
	xlsColInfo     = 0x007D
	xlsBoundSheet  = 0x0085
	xlsMulRK       = 0x00BD
	xlsXF          = 0x00E0
	xlsMergedCells = 0x00E5
	xlsSST         = 0x00FC
	xlsLabelSST    = 0x00FD
	xlsNumber      = 0x0203
	xlsLabel       = 0x0204
	xlsBoolErr     = 0x0205
	xlsString      = 0x0207
	xlsRow         = 0x0208
	xlsRK          = 0x027E
	xlsFormat      = 0x041E
	xlsNote        = 0x001C
	xlsName        = 0x0018
	xlsPrinter     = 0x004D
	xlsFilter      = 0x009E
	xlsPivot       = 0x00B0
	xlsPictures    = 0x00EB
	xlsObject      = 0x005D
	xlsOtherBook   = 0x01AE
	xlsCondition   = 0x01B1
	xlsTextBox     = 0x01B6
	xlsLink        = 0x01B8
	xlsCheck       = 0x01BE
	xlsBOF         = 0x0809
	xlsHeader      = 0x0014
	xlsFooter      = 0x0015
	xlsWriteAccess = 0x005C
)

// biff is one record: its data, and where the data of continuing records begin.
type biff struct {
	kind  uint16
	data  []byte
	seams []int
}

// xlsReader reads the stream of one workbook.
type xlsReader struct {
	ctx     context.Context
	limits  Limits
	book    *Book
	frame   *frame // takes the texts outside the cells
	stream  []byte
	formats map[uint16]string
	styles  []numberStyle
	texts   []string
	sheets  []xlsSheet
	cells   int
}

type xlsSheet struct {
	at     uint32
	name   string
	hidden bool
}

func isOldWorkbook(data []byte) bool {
	return bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"))
}

var errOld = rules.New(rules.FileDamaged, "the old binary workbook is cut off or malformed")

func (b *Book) readOldWorkbook(ctx context.Context, data []byte, l Limits) error {
	b.Format = Workbook
	r, err := mscfb.New(bytes.NewReader(data))
	if err != nil {
		return errOld
	}
	in := newXlsReader(ctx, b, l)
	for _, f := range r.File {
		switch {
		case len(f.Path) == 0 && f.Name == "Workbook":
			if f.Size < 0 || f.Size > l.UnpackedBytes {
				return rules.New(rules.FileTooLarge, "the workbook stream exceeds %d MiB", l.UnpackedBytes>>20)
			}
			if in.stream, err = io.ReadAll(io.LimitReader(f, f.Size)); err != nil || int64(len(in.stream)) != f.Size {
				return errOld
			}
		case len(f.Path) == 0 && f.Name == "Book":
			return oldKind("this is a workbook of the first binary format (.xls of 1995 or before)")
		default:
			if err := in.frame.stream(f); err != nil {
				return err
			}
		}
	}
	if in.stream == nil {
		return oldKind("this is a document of an older program and no workbook")
	}
	if err := in.read(); err != nil {
		return err
	}
	in.frame.describe()
	return nil
}

func newXlsReader(ctx context.Context, b *Book, l Limits) *xlsReader {
	return &xlsReader{ctx: ctx, limits: l, book: b, formats: map[uint16]string{}, frame: newFrame(b, &pack{ctx: ctx, limits: l}, layout{})}
}

// read reads the stream: what stands before the sheets, then each sheet.
func (in *xlsReader) read() error {
	if err := in.globals(); err != nil {
		return err
	}
	for _, s := range in.sheets {
		if err := in.sheet(s); err != nil {
			return place(problemOf(err), in.book.File.Name, s.name)
		}
	}
	return nil
}

func oldKind(message string) error {
	p := rules.New(rules.FileKind, "%s", message)
	p.Remedy = "Open it in a spreadsheet program and save it as .xlsx"
	return p
}

// record reads the record at a place and the place after it, joined with the
// records that continue it.
func (in *xlsReader) record(at int) (biff, int, error) {
	if at+4 > len(in.stream) {
		return biff{}, 0, errOld
	}
	r := biff{kind: binary.LittleEndian.Uint16(in.stream[at:])}
	n := int(binary.LittleEndian.Uint16(in.stream[at+2:]))
	if at += 4; at+n > len(in.stream) {
		return biff{}, 0, errOld
	}
	r.data = in.stream[at : at+n]
	at += n
	pieces := [][]byte{r.data} // joined once: a record may go on in any number of others
	for size := n; at+4 <= len(in.stream) && r.kind != xlsContinue && binary.LittleEndian.Uint16(in.stream[at:]) == xlsContinue; {
		n := int(binary.LittleEndian.Uint16(in.stream[at+2:]))
		if at+4+n > len(in.stream) {
			return biff{}, 0, errOld
		}
		r.seams = append(r.seams, size)
		pieces = append(pieces, in.stream[at+4:at+4+n])
		at, size = at+4+n, size+n
	}
	if len(pieces) > 1 {
		r.data = slices.Concat(pieces...)
	}
	return r, at, nil
}

// globals reads what stands before the sheets: their names and places, shared
// texts, number formats.
func (in *xlsReader) globals() error {
	for at, first := 0, true; ; first = false {
		r, next, err := in.record(at)
		if err != nil {
			return err
		}
		at = next
		if first && (r.kind != xlsBOF || len(r.data) < 4 || r.u16(0) != 0x0600) {
			return oldKind("this is a workbook of an earlier binary format")
		}
		switch r.kind {
		case xlsEOF:
			if len(in.sheets) == 0 {
				return errOld
			}
			return nil
		case xlsFilePass:
			return rules.New(rules.FilePassword, "the workbook is protected by a password")
		case xlsDate1904:
			in.book.Date1904 = r.u16(0) == 1
		case xlsFormat:
			s, _, textErr := r.text(2, 2)
			if textErr != nil {
				return textErr
			}
			in.formats[r.u16(0)] = s
			err = in.frame.quoted("number format", clockWords.Replace(s))
		case xlsXF:
			in.styles = append(in.styles, in.style(r.u16(2)))
		case xlsSST:
			err = in.sharedTexts(r)
		case xlsBoundSheet:
			err = in.boundSheet(r)
		default:
			err = in.around(r)
		}
		if err != nil {
			return err
		}
	}
}

// style is what a number format says, by its number or its code.
func (in *xlsReader) style(format uint16) numberStyle {
	if code, ok := in.formats[format]; ok {
		return classify(code)
	}
	switch n := int(format); {
	case builtinDate(n):
		return dateStyle
	case n == 9 || n == 10:
		return percentStyle
	}
	return plainStyle
}

func (in *xlsReader) boundSheet(r biff) error {
	if len(r.data) < 8 {
		return errOld
	}
	name, _, err := r.text(6, 1)
	if kind := r.data[5]; err != nil || kind != 0 { // 0 is a sheet of cells; others are charts and macros
		return err
	}
	at := binary.LittleEndian.Uint32(r.data)
	if slices.ContainsFunc(in.sheets, func(s xlsSheet) bool { return s.at == at }) {
		return rules.New(rules.FileDamaged, "two sheets of the workbook are one part of it")
	}
	if in.sheets = append(in.sheets, xlsSheet{at, name, r.data[4]&3 != 0}); len(in.sheets) > in.limits.Sheets {
		return rules.New(rules.FileTooLarge, "the workbook holds more than %d sheets", in.limits.Sheets)
	}
	return nil
}

func (in *xlsReader) sharedTexts(r biff) error {
	if len(r.data) < 8 {
		return errOld
	}
	n := int(binary.LittleEndian.Uint32(r.data[4:]))
	if n > in.limits.Cells {
		return rules.New(rules.FileTooLarge, "the workbook holds more than %d texts", in.limits.Cells)
	}
	at := 8
	for range n {
		s, next, err := r.text(at, 2)
		if err != nil {
			return err
		}
		if len(s) > in.limits.CellBytes {
			return rules.New(rules.FileTooLarge, "a cell holds more than %d bytes of text", in.limits.CellBytes)
		}
		in.texts, at = append(in.texts, s), next
	}
	return nil
}

// u16 reads two bytes, 0 beyond the end: every record is checked where it matters.
func (r biff) u16(at int) uint16 {
	if at+2 > len(r.data) {
		return 0
	}
	return binary.LittleEndian.Uint16(r.data[at:])
}

// text reads a Unicode string ([MS-XLS] 2.5.293 to 2.5.296) whose length takes the given
// number of bytes. Characters may go on in a continuing record, which begins
// with a byte that says how wide they are there.
func (r biff) text(at, lengthBytes int) (string, int, error) {
	if at+lengthBytes+1 > len(r.data) {
		return "", 0, errOld
	}
	n := int(r.data[at])
	if lengthBytes == 2 {
		n = int(r.u16(at))
	}
	flags := r.data[at+lengthBytes]
	at += lengthBytes + 1
	after := 0
	if flags&8 != 0 {
		after += 4 * int(r.u16(at))
		at += 2
	}
	if flags&4 != 0 {
		if at+4 > len(r.data) {
			return "", 0, errOld
		}
		after += int(binary.LittleEndian.Uint32(r.data[at:]))
		at += 4
	}
	units, at, err := r.characters(at, n, flags&1 != 0)
	if err != nil {
		return "", 0, err
	}
	if at += after; at < 0 || at > len(r.data) {
		return "", 0, errOld
	}
	return units, at, nil
}

// characters reads n of them, wide ones of two bytes.
func (r biff) characters(at, n int, wide bool) (string, int, error) {
	units := make([]uint16, 0, min(n, len(r.data)))
	for range n {
		if _, seam := slices.BinarySearch(r.seams, at); seam && len(units) > 0 {
			if at >= len(r.data) {
				return "", 0, errOld
			}
			wide = r.data[at]&1 != 0
			at++
		}
		size := 1
		if wide {
			size = 2
		}
		if at+size > len(r.data) {
			return "", 0, errOld
		}
		if wide {
			units = append(units, r.u16(at))
		} else {
			units = append(units, uint16(r.data[at]))
		}
		at += size
	}
	return string(utf16.Decode(units)), at, nil
}

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

// rk unpacks a number kept in 30 bits ([MS-XLS] 2.5.217): bit 0 divides by 100,
// bit 1 marks a whole number.
func rk(n uint32) float64 {
	v := math.Float64frombits(uint64(n&^3) << 32)
	if n&2 != 0 {
		v = float64(int32(n) >> 2)
	}
	if n&1 != 0 {
		v /= 100
	}
	return v
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
