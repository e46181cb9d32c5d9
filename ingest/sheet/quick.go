package sheet

import (
	"bytes"
	"unicode/utf8"
)

// Nearly every row of nearly every workbook is written in one way: plain elements,
// attributes in quotation marks, no comments, no prefixes. Such rows, and such shared
// texts, are scanned here without an XML decoder. Whatever is not plainly of that
// way, and whatever is wrong, is left where it is: the decoder reads it, and says what
// is the matter. Both give the same cells (TestQuickAndSlowAgree and its fuzz target).

// quickly is off where a test wants all of a file read by the decoder.
var quickly = true

// scan is one piece of XML that is being scanned. What it does not understand makes
// it odd, for good.
type scan struct {
	b   []byte
	at  int
	odd bool
}

// has takes a text if it comes next.
func (x *scan) has(text string) bool {
	if len(x.b)-x.at < len(text) || string(x.b[x.at:x.at+len(text)]) != text {
		return false
	}
	x.at += len(text)
	return true
}

// must takes a text.
func (x *scan) must(text string) {
	if !x.has(text) {
		x.odd = true
	}
}

func (x *scan) blanks() {
	for x.at < len(x.b) && blank(x.b[x.at]) {
		x.at++
	}
}

// attribute takes the next attribute of a tag; none where the tag ends.
func (x *scan) attribute() (name, value []byte) {
	if x.at >= len(x.b) || x.b[x.at] != ' ' {
		return nil, nil
	}
	x.at++
	from := x.at
	for x.at < len(x.b) && nameByte(x.b[x.at]) {
		x.at++
	}
	name = x.b[from:x.at]
	x.must(`="`)
	from = x.at
	for x.at < len(x.b) && x.b[x.at] != '"' {
		if c := x.b[x.at]; c < 0x20 || c >= 0x7f || c == '&' || c == '<' {
			x.odd = true
			return nil, nil
		}
		x.at++
	}
	value = x.b[from:x.at]
	x.must(`"`)
	if len(name) == 0 || name[0] < 'A' || bytes.Count(name, []byte(":")) > 1 {
		x.odd = true
	}
	return name, value
}

func nameByte(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == ':' || c >= '0' && c <= '9' || c == '_' || c == '-' || c == '.'
}

// text takes characters up to the next tag. Entities, carriage returns, control
// characters and what is no UTF-8 are odd; so is what ends a section.
func (x *scan) text() []byte {
	from, ascii := x.at, true
	for x.at < len(x.b) && x.b[x.at] != '<' {
		switch c := x.b[x.at]; {
		case c >= utf8.RuneSelf:
			ascii = false
		case c == '&', c < 0x20 && c != '\n' && c != '\t', c == '>':
			x.odd = true
			return nil
		}
		x.at++
	}
	out := x.b[from:x.at]
	// U+FFFE and U+FFFF are no characters of XML (https://www.w3.org/TR/xml/#charsets).
	if !ascii && (!utf8.Valid(out) || bytes.Contains(out, []byte("\uFFFE")) || bytes.Contains(out, []byte("\uFFFF"))) {
		x.odd = true
	}
	return out
}

// quick reads rows as long as they are plain.
func (in *cellReader) quick(t *tokens, s *Sheet) error {
	if !quickly || len(t.open) == 0 || t.open[len(t.open)-1] != "sheetData" {
		return nil
	}
	for {
		x := scan{b: t.src.pieces("<row ", "</row>")}
		if x.b == nil {
			return nil
		}
		for x.at < len(x.b) {
			from, cells := x.at, in.cells
			r, ok := in.quickRow(&x, s)
			if !ok {
				in.cells = cells
				t.src.take(from, x.at-from)
				return nil
			}
			if err := in.ended(s, r); err != nil {
				return err
			}
			x.blanks()
		}
		t.src.take(len(x.b), 0)
	}
}

// quickRow reads one row; not ok where a decoder should.
func (in *cellReader) quickRow(x *scan, s *Sheet) (Row, bool) {
	r := Row{Number: s.last + 1, texts: in.texts}
	x.must("<row ")
	x.at--
	numbered, told := false, false
	for {
		name, value := x.attribute()
		if name == nil {
			break
		}
		switch string(local(name)) {
		case "r":
			n, ok := digits(value)
			if !ok || numbered || len(name) > 1 {
				return r, false
			}
			r.Number, numbered = n, true
		case "hidden":
			if len(name) > len("hidden") || told {
				return r, false
			}
			r.Hidden, told = string(value) == "1" || string(value) == "true", true
		}
	}
	if x.odd || r.Number < 1 || r.Number > in.limits.Rows {
		return r, false
	}
	if x.has("/>") {
		return r, true
	}
	x.must(">")
	return r, !x.odd && in.quickCells(x, &r)
}

// quickCells reads the cells of a row up to its end.
func (in *cellReader) quickCells(x *scan, r *Row) bool {
	in.col = 0
	from := len(in.arena)
	for !x.odd {
		x.blanks()
		if x.has("</row>") {
			r.cells = in.arena[from:len(in.arena):len(in.arena)]
			return true
		}
		c, ok := in.quickCell(x, r.Number)
		if !ok {
			break
		}
		if c.kind == Blank {
			continue
		}
		if len(in.arena) == cap(in.arena) {
			in.arena = append(make([]compact, 0, max(arenaCells, 2*(len(in.arena)-from+1))), in.arena[from:]...)
			from = 0
		}
		in.arena = append(in.arena, c)
		if in.cells++; in.cells > in.limits.Cells {
			break
		}
	}
	in.arena = in.arena[:from]
	return false
}

// arenaCells are allocated at a time for the cells of many rows.
const arenaCells = 8192

// quickCell reads one c element.
func (in *cellReader) quickCell(x *scan, row int) (compact, bool) {
	x.must("<c")
	col, kind, st := in.col+1, []byte(nil), stored{}
	for seen := 0; ; {
		name, value := x.attribute()
		if name == nil {
			break
		}
		bit := 0
		switch string(local(name)) {
		case "r":
			c, n, ok := reference(value)
			if !ok || n != row {
				return compact{}, false
			}
			col, bit = int32(c), 1
		case "t":
			kind, bit = value, 2
		case "s":
			n, ok := digits(value)
			if !ok {
				return compact{}, false
			}
			st.style, st.styled, bit = n, true, 4
		}
		if bit > 0 && (len(name) > 1 || seen&bit > 0) {
			return compact{}, false // which of two counts is the decoder's to say
		}
		seen |= bit
	}
	if x.odd || int(col) > in.limits.Columns {
		return compact{}, false
	}
	if !x.has("/>") && !in.quickContent(x, &st) {
		return compact{}, false
	}
	st.kind = kindOf(kind)
	c, err := in.value(&st)
	c.col, in.col = uint16(col), col
	return c, err == nil && !x.odd
}

// quickContent reads the children of a c element.
func (in *cellReader) quickContent(x *scan, st *stored) bool {
	x.must(">")
	for !x.odd {
		switch {
		case x.has("</c>"):
			return true
		case x.has("<v>"):
			if st.hasValue {
				return false
			}
			st.value, st.hasValue = x.text(), true
			x.must("</v>")
			if len(st.value) > in.limits.CellBytes {
				return false
			}
		case x.has("<v/>"):
			st.hasValue = true
		case x.has("<f>"):
			st.formula = true
			x.text()
			x.must("</f>")
		case x.has("<is><t>"), x.has(`<is><t xml:space="preserve">`):
			b := x.text()
			x.must("</t></is>")
			if len(b) > in.limits.CellBytes {
				return false
			}
			st.inline = unescape(string(b))
		default:
			return false
		}
	}
	return false
}

// quickTexts reads shared texts as long as they are plain, and counts them.
func (p *pack) quickTexts(t *tokens, out []string) []string {
	if !quickly || len(t.open) == 0 || t.open[len(t.open)-1] != "sst" {
		return out
	}
	for p.ctx.Err() == nil {
		x := scan{b: t.src.pieces("<si>", "</si>")}
		if x.b == nil {
			return out
		}
		for x.at < len(x.b) {
			from := x.at
			s, ok := p.quickText(&x)
			if !ok || len(out) >= p.limits.Cells {
				t.src.take(from, x.at-from)
				return out
			}
			out = append(out, s)
			x.blanks()
		}
		t.src.take(len(x.b), 0)
	}
	return out
}

// quickText reads one si element.
func (p *pack) quickText(x *scan) (string, bool) {
	if !x.has("<si><t>") && !x.has(`<si><t xml:space="preserve">`) {
		return "", false
	}
	b := x.text()
	x.must("</t></si>")
	if x.odd || len(b) > p.limits.CellBytes {
		return "", false
	}
	return unescape(string(b)), true
}

// local is the name without a prefix.
func local(name []byte) []byte { return name[bytes.IndexByte(name, ':')+1:] }

// digits reads a whole number as it is usually written.
func digits(b []byte) (n int, ok bool) {
	if len(b) == 0 || len(b) > 9 || b[0] == '0' && len(b) > 1 {
		return 0, false
	}
	for _, c := range b {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = 10*n + int(c-'0')
	}
	return n, true
}

// reference reads "AB12", in capitals.
func reference(b []byte) (col, row int, ok bool) {
	i := 0
	for i < len(b) && i < 3 && b[i] >= 'A' && b[i] <= 'Z' {
		col = 26*col + int(b[i]-'A') + 1
		i++
	}
	row, ok = digits(b[i:])
	return col, row, ok && i > 0 && col <= lastColumn && row > 0
}

// kindOf gives the type of a cell without a copy of it.
func kindOf(b []byte) string {
	switch string(b) {
	case "":
		return ""
	case "n":
		return "n"
	case "s":
		return "s"
	case "str":
		return "str"
	case "inlineStr":
		return "inlineStr"
	case "b":
		return "b"
	}
	return string(b)
}
