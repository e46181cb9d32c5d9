package sheet

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"io"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"shortfall/ingest/rules"
)

// readText reads text with separators as one sheet named after the file.
func (b *Book) readText(ctx context.Context, data []byte, l Limits) error {
	b.Format = Text
	plain, page, err := decodeText(data)
	if err != nil {
		return err
	}
	if page != "" {
		b.Problems = append(b.Problems, rules.New(rules.TextEncoding, "the text is not UTF-8 and was read as %s", page))
	}
	plain = lineEnds(plain)
	body, sep, err := separator(plain)
	if err != nil {
		return err
	}
	if err := measure(ctx, body, sep, l); err != nil {
		return err
	}
	s := &Sheet{Name: strings.TrimSuffix(b.File.Name, filepath.Ext(b.File.Name)), texts: newTexts(nil)}
	b.Sheets = []*Sheet{s}
	return s.readRecords(ctx, body, sep, l)
}

// lineEnds makes one of every line end: CR LF, LF and the CR of older programs,
// which one file may mix after it went through several hands.
func lineEnds(data []byte) []byte {
	if !bytes.Contains(data, []byte("\r")) {
		return data
	}
	out := make([]byte, 0, len(data))
	for i, c := range data {
		switch {
		case c == '\r':
			out = append(out, '\n')
		case c == '\n' && i > 0 && data[i-1] == '\r':
		default:
			out = append(out, c)
		}
	}
	return out
}

// measure bounds the columns and cells of text before it is split into any.
// Quotation marks are taken at their word: inside them a separator counts for
// a text.
func measure(ctx context.Context, body []byte, sep rune, l Limits) error {
	quoted, row, columns, cells := false, 1, 1, 0
	for i := range body {
		switch c := body[i]; {
		case c == '"':
			quoted = !quoted
		case c == '\n' && !quoted:
			row++
			columns = 1
		case rune(c) == sep && !quoted:
			columns++
			cells++
		}
		switch {
		case columns > l.Columns:
			return rules.New(rules.FileTooLarge, "line %d has more than %d columns", row, l.Columns)
		case cells > 2*l.Cells:
			return rules.New(rules.FileTooLarge, "the file holds more than %d cells", l.Cells)
		case i%(1<<20) == 0 && ctx.Err() != nil:
			return ctx.Err()
		}
	}
	return nil
}

// decodeText finds the encoding: a byte order mark, else UTF-16 by its zero
// bytes, else UTF-8 where valid, else Windows-1250 where its letters stand in words, else
// Windows-1252. page names one of the two.
func decodeText(data []byte) (out []byte, page string, err error) {
	var enc encoding.Encoding
	switch {
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		data = data[3:]
	case bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("\xfe\xff")):
		enc = unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM)
	case zeroBytes(data, 1):
		enc = unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)
	case zeroBytes(data, 0):
		enc = unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)
	}
	if enc == nil && !utf8.Valid(data) {
		enc, page = charmap.Windows1252, "Windows-1252"
		if centralEuropean(data) {
			enc, page = charmap.Windows1250, "Windows-1250"
		}
	}
	if enc != nil {
		if data, err = enc.NewDecoder().Bytes(data); err != nil {
			return nil, "", rules.New(rules.FileDamaged, "the text cannot be decoded")
		}
	}
	if bytes.IndexByte(data, 0) >= 0 {
		return nil, "", rules.New(rules.FileKind, "this is neither a workbook nor text")
	}
	return data, page, nil
}

// centralEuropean finds a Polish letter within a word: what Windows-1250 writes as ą, ł and ż
// are the signs ¹, ³ and ¿ of Windows-1252, which stand between no two letters. (The tables of
// the Unicode Consortium, CP1250.TXT and CP1252.TXT; from memory.)
func centralEuropean(data []byte) bool {
	letter := func(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }
	for i := 1; i+1 < len(data); i++ {
		if c := data[i]; (c == 0xb9 || c == 0xb3 || c == 0xbf) && letter(data[i-1]) && data[i+1] >= 'a' && data[i+1] <= 'z' {
			return true
		}
	}
	return false
}

// zeroBytes reports whether most bytes at the parity are zero, as in UTF-16
// text of Western languages.
func zeroBytes(data []byte, parity int) bool {
	head := data[:min(len(data), 4096)]
	zeros := 0
	for i := parity; i < len(head); i += 2 {
		if head[i] == 0 {
			zeros++
		}
	}
	return len(head) > 3 && zeros > len(head)/4
}

// readRecords splits the text into rows. A row is numbered as a spreadsheet
// program shows it: blank lines count, line breaks inside quotes do not.
func (s *Sheet) readRecords(ctx context.Context, body []byte, sep rune, l Limits) error {
	r := csv.NewReader(bytes.NewReader(body))
	r.Comma, r.FieldsPerRecord = sep, -1
	broken, cells := 0, 0
	for {
		before := r.InputOffset()
		fields, err := r.Read()
		if err == io.EOF {
			return nil
		}
		line, stray := 0, false
		if err != nil {
			if fields, line, stray = strayQuote(err, body[before:r.InputOffset()], sep); !stray {
				return quotes(err, broken)
			}
		} else {
			line, _ = r.FieldPos(0)
		}
		row := s.NewRow(line - broken)
		row.Broken = stray
		switch {
		case row.Number > l.Rows:
			return rules.New(rules.FileTooLarge, "the file reaches row %d; the limit is %d", row.Number, l.Rows)
		case len(fields) > l.Columns:
			return rules.New(rules.FileTooLarge, "row %d has %d columns; the limit is %d", row.Number, len(fields), l.Columns)
		}
		for i, f := range fields {
			broken += strings.Count(f, "\n")
			if len(f) > l.CellBytes {
				return rules.New(rules.FileTooLarge, "a cell of row %d holds more than %d bytes of text", row.Number, l.CellBytes)
			}
			if c := text(f); c.Kind != Blank {
				c.Col = int32(i + 1)
				row.Add(c)
			}
		}
		if cells += row.Len(); cells > l.Cells {
			return rules.New(rules.FileTooLarge, "the file holds more than %d cells", l.Cells)
		}
		if row.Len() > 0 {
			s.Rows = append(s.Rows, row)
		}
		if len(s.Rows)%1024 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
	}
}

// strayQuote splits a line that has quotation marks inside cells and none at the
// start of a cell. In no reading does such a line go on in the next one, so the
// lines after it are safe; its own cells may be divided wrongly.
func strayQuote(err error, text []byte, sep rune) (fields []string, line int, ok bool) {
	pe, is := errors.AsType[*csv.ParseError](err)
	if !is || !errors.Is(pe.Err, csv.ErrBareQuote) || pe.StartLine != pe.Line {
		return nil, 0, false
	}
	text = bytes.TrimRight(text, "\r\n")
	text = text[bytes.LastIndexByte(text, '\n')+1:] // blank lines before it
	fields = strings.Split(string(text), string(sep))
	for _, f := range fields {
		if strings.HasPrefix(strings.TrimSpace(f), `"`) {
			return nil, 0, false
		}
	}
	return fields, pe.StartLine, true
}

// quotes locates a misplaced quotation mark.
func quotes(err error, broken int) error {
	pe, ok := errors.AsType[*csv.ParseError](err)
	if !ok {
		return rules.New(rules.FileDamaged, "the text cannot be split into cells")
	}
	p := rules.New(rules.TextQuotes, "a quotation mark is not closed, or stands inside an unquoted cell, on line %d of the text", pe.StartLine)
	p.Row = pe.StartLine - broken
	return p
}
