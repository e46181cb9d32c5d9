// Package hostile makes spreadsheets that were built to hurt: small files that
// unfold to large ones, that repeat what is costly, or that lie about
// themselves. Every reader of the project is held against them.
//
// Place in the pipeline: none; the tests of sheet and ingest share it, and the
// table of figures in DEVELOPERS.md is made from it.
package hostile

import (
	"archive/zip"
	"bytes"
	"fmt"
	"hash/crc32"
	"strings"
)

// File is one file of the collection.
type File struct {
	Name string // "merged areas, 30000.xlsx"
	Data []byte
}

// part of a workbook.
type part struct{ name, content string }

const (
	xmlHead = `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n"
	mainNS  = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"`
	relNS   = `http://schemas.openxmlformats.org/officeDocument/2006/relationships/`
	header  = `<row r="1">` + "%s" + `</row>`
)

var headers = []string{"case", "course", "tooth", "axis", "planned", "achieved", "style"}

// headerRow is the header of a table of movements.
func headerRow(more ...string) string {
	var b strings.Builder
	for _, h := range append(append([]string{}, headers...), more...) {
		b.WriteString(inline(h))
	}
	return fmt.Sprintf(header, b.String())
}

func inline(s string) string { return `<c t="inlineStr"><is><t>` + s + `</t></is></c>` }

// movement is one row of a table of movements.
func movement(row int) string {
	return fmt.Sprintf(`<row r="%d">%s<c><v>1</v></c><c><v>%d</v></c>%s<c><v>%d</v></c><c><v>3</v></c>%s</row>`,
		row, inline(fmt.Sprintf("C-%d", row)), 11+row%7, inline("rotation"), 4+row%9, inline("none"))
}

// worksheet wraps the rows of a sheet; before and after stand around them.
func worksheet(before, rows, after string) string {
	return xmlHead + `<worksheet ` + mainNS + `>` + before + `<sheetData>` + rows + `</sheetData>` + after + `</worksheet>`
}

// small is a sheet with a few honest rows.
func small() string {
	var rows strings.Builder
	rows.WriteString(headerRow())
	for i := range 20 {
		rows.WriteString(movement(i + 2))
	}
	return rows.String()
}

// workbook is a container of one sheet and whatever more parts; a part given
// again replaces the usual one.
func workbook(sheet string, more ...part) []byte { return pack(parts(sheet, more...)) }

func parts(sheet string, more ...part) []part {
	out := []part{
		{"[Content_Types].xml", xmlHead + `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/></Types>`},
		{"_rels/.rels", rels(relNS+"officeDocument", "xl/workbook.xml")},
		{"xl/workbook.xml", book("")},
		{"xl/_rels/workbook.xml.rels", rels(relNS+"worksheet", "worksheets/sheet1.xml", relNS+"sharedStrings", "sharedStrings.xml", relNS+"styles", "styles.xml")},
		{"xl/worksheets/sheet1.xml", sheet},
		{"xl/sharedStrings.xml", xmlHead + `<sst ` + mainNS + `><si><t>a</t></si></sst>`},
		{"xl/styles.xml", xmlHead + `<styleSheet ` + mainNS + `><cellXfs count="1"><xf numFmtId="0"/></cellXfs></styleSheet>`},
	}
	for _, m := range more {
		replaced := false
		for i := range out {
			if out[i].name == m.name {
				out[i], replaced = m, true
			}
		}
		if !replaced {
			out = append(out, m)
		}
	}
	return out
}

// book is the part of the workbook; more stands after its sheets.
func book(more string) string {
	return xmlHead + `<workbook ` + mainNS + `><sheets><sheet name="movements" sheetId="1" r:id="rId1"/></sheets>` + more + `</workbook>`
}

// rels lists types and targets in turn, as rId1 and on.
func rels(pairs ...string) string {
	var b strings.Builder
	b.WriteString(xmlHead + `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">`)
	for i := 0; i < len(pairs); i += 2 {
		fmt.Fprintf(&b, `<Relationship Id="rId%d" Type="%s" Target="%s"/>`, i/2+1, pairs[i], pairs[i+1])
	}
	b.WriteString(`</Relationships>`)
	return b.String()
}

func pack(list []part) []byte {
	var buf bytes.Buffer
	w := zip.NewWriter(&buf)
	for _, p := range list {
		f, err := w.Create(p.name)
		if err == nil {
			_, err = f.Write([]byte(p.content))
		}
		if err != nil {
			panic(err) // a buffer does not fail
		}
	}
	if err := w.Close(); err != nil {
		panic(err)
	}
	return buf.Bytes()
}

// liar is a container whose part declares another size than it has.
func liar(declared uint64) []byte {
	content := []byte(worksheet("", strings.Repeat(movement(2), 1000), ""))
	var buf bytes.Buffer
	w := zip.NewWriter(&buf)
	for _, p := range parts("") {
		if p.name == "xl/worksheets/sheet1.xml" {
			continue
		}
		f, _ := w.Create(p.name)
		_, _ = f.Write([]byte(p.content))
	}
	f, _ := w.CreateRaw(&zip.FileHeader{
		Name: "xl/worksheets/sheet1.xml", Method: zip.Store, CRC32: crc32.ChecksumIEEE(content),
		CompressedSize64: uint64(len(content)), UncompressedSize64: declared,
	})
	_, _ = f.Write(content)
	_ = w.Close()
	return buf.Bytes()
}

// overlapping is a container with many names for the bytes of one part.
func overlapping(n int) []byte {
	data := pack(parts(worksheet("", small(), "")))
	// The end record (22 bytes, no comment) gives the start and the size of the directory.
	end := data[len(data)-22:]
	size := int(end[12]) | int(end[13])<<8 | int(end[14])<<16 | int(end[15])<<24
	start := len(data) - 22 - size
	dir := data[start : start+size]
	// The last entry again under other names of the same length.
	at := bytes.LastIndex(dir, []byte("PK\x01\x02"))
	last := dir[at:]
	nameLen := int(last[28]) | int(last[29])<<8
	out := append([]byte{}, data[:start+size]...)
	for i := range n {
		e := append([]byte{}, last...)
		copy(e[46:46+nameLen], fmt.Sprintf("xl/s%09d", i))
		out = append(out, e...)
	}
	tail := append([]byte{}, end...)
	count := n + 7
	put := func(at, v, bytes int) {
		for i := range bytes {
			tail[at+i] = byte(v >> (8 * i))
		}
	}
	put(8, count, 2)
	put(10, count, 2)
	put(12, len(out)-start, 4)
	return append(out, tail...)
}
