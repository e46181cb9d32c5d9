package sheet

import (
	"bytes"
	"encoding/binary"
	"io"
	"strings"
	"unicode/utf16"

	"github.com/richardlehane/mscfb"
	"golang.org/x/text/encoding/charmap"
)

// around notes the texts of a record that holds no cell, as [MS-XLS] lays it out, and
// counts those of which the texts are not read. What is cut off is not text.
func (in *xlsReader) around(r biff) error {
	f := in.frame
	switch r.kind {
	case xlsHeader, xlsFooter:
		return f.record(r, 0, "page text")
	case xlsWriteAccess:
		return f.record(r, 0, "last modified by")
	case xlsName: // 2.4.150
		if r.u16(0)&0x20 != 0 || len(r.data) < 16 { // built in
			return nil
		}
		s, _, err := r.characters(15, int(r.data[3]), r.data[14]&1 != 0)
		if err != nil {
			return nil
		}
		return f.text("defined name", s)
	case xlsNote: // 2.4.179; what it says stands in a text box
		in.book.Comments = append(in.book.Comments, Comment{in.here(), Ref(int(r.u16(0))+1, int(r.u16(2))+1), ""})
		return f.record(r, 8, "comment author")
	case xlsTextBox: // 2.4.329
		if len(r.seams) == 0 || r.seams[0] >= len(r.data) {
			return nil
		}
		s, _, err := r.characters(r.seams[0]+1, int(r.u16(10)), r.data[r.seams[0]]&1 != 0)
		if err != nil {
			return nil
		}
		return f.text("text box", s)
	case xlsCheck: // 2.4.95
		return f.check(r)
	case xlsObject: // 2.4.181; the text of a note stands in its text box, the arrow of a list has none
		if kind := r.u16(4); kind != arrowObject && kind != noteObject {
			f.unchecked["drawings"] = 0
		}
	case xlsPictures: // [MS-ODRAW] 2.2.20: a store of pictures is one record of the group
		if bytes.Contains(r.data, []byte{0x01, 0xF0}) {
			f.unchecked["pictures"] = 0
		}
	case xlsOtherBook:
		if len(r.data) > 4 && !f.lay.links {
			f.lay.links = true
			f.unchecked["names of other files"] = 0
		}
	default:
		if kind := xlsUnread[r.kind]; kind != "" {
			f.unchecked[kind] = 0
		}
	}
	return nil
}

// Kinds of objects ([MS-XLS] 2.5.143).
const (
	arrowObject = 0x14
	noteObject  = 0x19
)

// xlsUnread are records that may hold texts which are not read.
var xlsUnread = map[uint16]string{
	xlsPrinter: printers, xlsFilter: "filters", xlsPivot: "pivot tables",
	xlsCondition: "conditions of formats", xlsLink: "links",
}

// here is the name of the sheet that is being read.
func (in *xlsReader) here() string {
	if n := len(in.book.Sheets); n > 0 {
		return in.book.Sheets[n-1].Name
	}
	return ""
}

// record notes the text at a place of a record.
func (f *frame) record(r biff, at int, as string) error {
	s, _, err := r.text(at, 2)
	if err != nil {
		return nil
	}
	return f.text(as, s)
}

// check notes the messages of a check on cells, and what it lists.
func (f *frame) check(r biff) error {
	at := 4
	for range 4 {
		s, next, err := r.text(at, 2)
		if err != nil {
			return nil
		}
		if err := f.text("message of a check", s); err != nil {
			return err
		}
		at = next
	}
	const stringToken = 0x17 // [MS-XLS] 2.5.198.89
	if at += 4; at >= len(r.data) || r.data[at] != stringToken {
		return nil
	}
	list, _, err := r.text(at+1, 1)
	if err != nil {
		return nil
	}
	for item := range strings.SplitSeq(list, "\x00") {
		if err := f.text("list of a check", item); err != nil {
			return err
		}
	}
	return nil
}

// stream looks at what the container holds beside the workbook.
func (f *frame) stream(e *mscfb.File) error {
	top := e.Name
	if len(e.Path) > 0 {
		top = e.Path[0]
	}
	switch top = strings.TrimLeft(top, "\x01\x05"); {
	case top == "SummaryInformation", top == "DocumentSummaryInformation":
		return f.oldProperties(e)
	case top == "_VBA_PROJECT_CUR":
		f.lay.macros = true
	case top == "_SX_DB_CUR":
		f.unchecked["copies of data behind pivot tables"] = 0
	case strings.HasPrefix(top, "MBD"):
		f.unchecked["embedded files"] = 0
	case top == "CompObj", top == "Ole", top == "Root Entry":
	default:
		f.unchecked["other parts"]++
	}
	return nil
}

// The properties of the document by their numbers ([MS-OLEPS] 2.21 and 3.1).
var oldNames = map[int]string{2: "title", 3: "subject", 4: "author", 5: "keywords", 6: "description", 8: "last modified by", 14: "manager", 15: "company"}

// mostOldProperties of a set; programs write some twenty.
const mostOldProperties = 1000

// oldProperties notes the texts among the document properties, and all of the second set
// of them, which a user adds.
func (f *frame) oldProperties(e io.Reader) error {
	data, err := io.ReadAll(io.LimitReader(e, 1<<20))
	if err != nil || len(data) < 48 {
		return nil
	}
	u32 := func(at int) int {
		if at < 0 || at+4 > len(data) {
			return 0
		}
		return int(binary.LittleEndian.Uint32(data[at:]))
	}
	for set := range min(u32(24), 2) {
		begin := u32(28 + 20*set + 16)
		for i := range min(u32(begin+4), mostOldProperties) {
			id, at := u32(begin+8+8*i), begin+u32(begin+12+8*i)
			name := oldNames[id]
			if set == 1 {
				name = "custom property"
			}
			if name == "" || at < 0 || at+8 > len(data) {
				continue
			}
			if err := f.text(name, oldText(data[at:])); err != nil {
				return err
			}
		}
	}
	return nil
}

// oldText decodes a property that is a text, of one byte or two a character; "" for others.
func oldText(data []byte) string {
	const narrow, wide = 0x1E, 0x1F
	kind, n := binary.LittleEndian.Uint32(data), int(binary.LittleEndian.Uint32(data[4:]))
	data = data[8:]
	switch {
	case kind == narrow && n >= 1 && n <= len(data):
		if s, err := charmap.Windows1252.NewDecoder().Bytes(data[:n]); err == nil {
			return strings.TrimRight(string(s), "\x00")
		}
	case kind == wide && n >= 1 && n <= len(data)/2:
		units := make([]uint16, n)
		for i := range units {
			units[i] = binary.LittleEndian.Uint16(data[2*i:])
		}
		return strings.TrimRight(string(utf16.Decode(units)), "\x00")
	}
	return ""
}
