package sheet

import (
	"bytes"
	"encoding/binary"
	"io"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/richardlehane/mscfb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// biffStream is the stream of records of a fixture.
func biffStream(t *testing.T) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("..", "testdata", "files", "lo-clean.xls"))
	require.NoError(t, err)
	r, err := mscfb.New(bytes.NewReader(data))
	require.NoError(t, err)
	for _, e := range r.File {
		if e.Name == "Workbook" {
			stream, err := io.ReadAll(e)
			require.NoError(t, err)
			return stream
		}
	}
	t.Fatal("no stream")
	return nil
}

func record(kind uint16, data ...byte) []byte {
	return append(binary.LittleEndian.AppendUint16(binary.LittleEndian.AppendUint16(nil, kind), uint16(len(data))), data...)
}

// counted is a text of one byte a character, after its length and the byte of its width.
func counted(s string, lengthBytes int) []byte {
	out := []byte{byte(len(s))}
	if lengthBytes == 2 {
		out = append(out, 0)
	}
	return append(append(out, 0), s...)
}

// planted puts records before the end of the globals, whose sheets move, or of the last sheet.
func plantRecords(t *testing.T, stream, records []byte, globals bool) []byte {
	t.Helper()
	in := &xlsReader{stream: slices.Clone(stream)}
	var sheets []int // where the records of sheets give their places
	for at := 0; ; {
		r, next, err := in.record(at)
		require.NoError(t, err)
		if r.kind == xlsBoundSheet {
			sheets = append(sheets, at+4)
		}
		if r.kind == xlsEOF && (globals || next == len(stream)) {
			for _, s := range sheets {
				if globals {
					binary.LittleEndian.PutUint32(in.stream[s:], binary.LittleEndian.Uint32(in.stream[s:])+uint32(len(records)))
				}
			}
			return slices.Concat(in.stream[:at], records, in.stream[at:])
		}
		at = next
	}
}

// Texts outside the cells of an old workbook are looked at, or the file says what was not.
func TestTextsOutsideTheCellsOfOldWorkbooks(t *testing.T) {
	const name = "Brenka Tolmov"
	stream := biffStream(t)
	for what, c := range map[string]struct {
		records   []byte
		globals   bool
		as        string
		unchecked string
	}{
		"defined name":   {records: record(xlsName, slices.Concat([]byte{0, 0, 0, byte(len(name))}, make([]byte, 10), []byte{0}, []byte(name))...), globals: true, as: "defined name"},
		"last user":      {records: record(xlsWriteAccess, counted(name, 2)...), globals: true, as: "last modified by"},
		"number format":  {records: record(xlsFormat, slices.Concat([]byte{200, 0}, counted(`0.0"`+name+`"`, 2))...), globals: true, as: "number format"},
		"page text":      {records: record(xlsHeader, counted("&C"+name, 2)...), as: "page text"},
		"comment author": {records: record(xlsNote, slices.Concat(make([]byte, 8), counted(name, 2))...), as: "comment author"},
		"text box": {records: slices.Concat(record(xlsTextBox, slices.Concat(make([]byte, 10), []byte{byte(len(name))}, make([]byte, 7))...),
			record(xlsContinue, append([]byte{0}, name[:5]...)...), record(xlsContinue, append([]byte{0}, name[5:]...)...)), as: "text box"},
		"message of a check": {records: record(xlsCheck, slices.Concat(make([]byte, 4), counted("a", 2), counted("b", 2), counted(name, 2), counted("c", 2))...), as: "message of a check"},
		"list of a check": {records: record(xlsCheck, slices.Concat(make([]byte, 4), counted("\x00", 2), counted("\x00", 2), counted("\x00", 2), counted("\x00", 2),
			[]byte{9, 0, 0, 0, 0x17}, counted("one\x00"+name, 1))...), as: "list of a check"},
		"hyperlink":        {records: record(xlsLink, []byte(name)...), unchecked: "links"},
		"drawing":          {records: record(xlsObject, 21, 0, 18, 0, 6, 0, 1, 0), unchecked: "drawings"},
		"picture":          {records: record(xlsPictures, 0x0F, 0, 0x01, 0xF0, 0), globals: true, unchecked: "pictures"},
		"pivot table":      {records: record(xlsPivot, []byte(name)...), unchecked: "pivot tables"},
		"filter":           {records: record(xlsFilter, []byte(name)...), unchecked: "filters"},
		"another file":     {records: record(xlsOtherBook, counted(name, 2)...), globals: true, unchecked: "names of other files"},
		"format condition": {records: record(xlsCondition, []byte(name)...), unchecked: "conditions of formats"},
		"chart":            {records: slices.Concat(record(xlsBOF, 0, 6, 32, 0), record(xlsHeader, counted(name, 2)...), record(xlsEOF)), unchecked: "charts"},
	} {
		b := &Book{Format: Workbook}
		in := newXlsReader(t.Context(), b, Limits{}.withDefaults())
		in.stream = plantRecords(t, stream, c.records, c.globals)
		require.NoError(t, in.read(), what)
		in.frame.describe()
		found := ""
		for _, p := range b.Properties {
			if p.Value == name || p.Value == "&C"+name {
				found = p.Name
			}
		}
		assert.Equal(t, c.as, found, what)
		said := ""
		for _, p := range b.Problems {
			said += p.Message
		}
		assert.Contains(t, said, c.unchecked, what)
	}
}

// Properties of an old workbook, of one byte and of two a character, and those a user adds.
func TestOldProperties(t *testing.T) {
	le := binary.LittleEndian
	text := func(kind uint32, s []byte, n int) []byte {
		return append(le.AppendUint32(le.AppendUint32(nil, kind), uint32(n)), s...)
	}
	set := func(id uint32, value []byte) []byte {
		out := le.AppendUint32(le.AppendUint32(nil, uint32(16+len(value))), 1)
		return append(le.AppendUint32(le.AppendUint32(out, id), 16), value...)
	}
	first, second := set(4, text(0x1E, []byte("Tolmov\x00"), 7)), set(2, text(0x1F, []byte("B\x00r\x00\x00\x00"), 3))
	data := make([]byte, 68)
	le.PutUint32(data[24:], 2)
	le.PutUint32(data[44:], 68)
	le.PutUint32(data[64:], uint32(68+len(first)))
	f := newFrame(&Book{}, &pack{ctx: t.Context(), limits: Limits{}.withDefaults()}, layout{})
	require.NoError(t, f.oldProperties(bytes.NewReader(slices.Concat(data, first, second))))
	assert.Equal(t, []Property{{"author", "Tolmov"}, {"custom property", "Br"}}, f.book.Properties)
	for n := range len(data) + len(first) + len(second) { // cut off anywhere
		assert.NoError(t, f.oldProperties(bytes.NewReader(slices.Concat(data, first, second)[:n])))
	}
}
