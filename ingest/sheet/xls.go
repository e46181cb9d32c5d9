package sheet

import (
	"bytes"
	"context"
	"encoding/binary"
	"io"
	"slices"

	"github.com/richardlehane/mscfb"

	"shortfall/ingest/rules"
)

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
