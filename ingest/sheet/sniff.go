package sheet

import (
	"archive/zip"
	"bytes"
	"io"
	"path/filepath"
	"strings"
	"unicode/utf16"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// Spreadsheets are the endings of the names of files that can be read, in small letters.
var Spreadsheets = []string{".xlsx", ".xlsm", ".ods", ".xls", ".csv", ".tsv"}

// no is why a file is not read, with a remedy that fits better than that of its rule.
func no(id rules.ID, message, remedy string) (casebook.Problem, bool) {
	p := rules.New(id, "%s", message)
	if remedy != "" {
		p.Remedy = remedy
	}
	return p, true
}

// refuse looks at the first bytes and names the fix for a file of another
// kind, whatever its name ends in.
func refuse(data []byte, name string) (casebook.Problem, bool) {
	head := bytes.ToLower(bytes.TrimLeft(data[:min(len(data), 2048)], "\xef\xbb\xbf \t\r\n"))
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return no(rules.FileEmpty, "the file is empty", "")
	case bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1")):
		if bytes.Contains(data, utf16Bytes("EncryptedPackage")) {
			return no(rules.FilePassword, "the workbook is protected by a password", "")
		}
	case bytes.HasPrefix(head, []byte("<html")), bytes.HasPrefix(head, []byte("<!doctype html")), bytes.HasPrefix(head, []byte("<table")):
		return no(rules.FileKind, "this is a web page, whatever its name ends in", "Open it in a spreadsheet program and save it as .xlsx")
	case bytes.HasPrefix(head, []byte("<?xml")):
		return no(rules.FileKind, "this is an XML file", "Open it in a spreadsheet program and save it as .xlsx")
	case bytes.HasPrefix(head, []byte("%pdf-")):
		return no(rules.FileKind, "this is a PDF", "Give the spreadsheet it was printed from")
	case bytes.HasPrefix(head, []byte("{\\rtf")):
		return no(rules.FileKind, "this is a text document", "Copy the table into a spreadsheet and save it as .xlsx")
	case bytes.HasPrefix(data, []byte("SQLite format 3\x00")):
		return no(rules.FileKind, "this is a database", "Give the spreadsheets, or name the database with --db")
	case strings.EqualFold(filepath.Ext(name), ".xlsx"), strings.EqualFold(filepath.Ext(name), ".xlsm"):
		return no(rules.FileKind, "the name says workbook, and the content is no zip container", "If it is text with separators, rename it to .csv; else save it again as .xlsx")
	}
	return casebook.Problem{}, false
}

// refuseZip tells the kinds of zip container apart.
func refuseZip(content io.ReaderAt, size int64) (casebook.Problem, bool) {
	zr, err := zip.NewReader(content, size)
	if err != nil {
		return no(rules.FileDamaged, "the zip container is cut off or malformed", "")
	}
	for _, f := range zr.File {
		switch name := strings.ToLower(f.Name); {
		case name == "word/document.xml":
			return no(rules.FileKind, "this is a text document (.docx)", "Copy the table into a spreadsheet and save it as .xlsx")
		case name == "xl/workbook.bin":
			return no(rules.FileKind, "this is a binary workbook (.xlsb)", "Open it in its program and save it as .xlsx")
		case strings.HasPrefix(name, "index/") && strings.HasSuffix(name, ".iwa"):
			return no(rules.FileKind, "this is a spreadsheet of another program (.numbers)", "Export it as .xlsx")
		}
	}
	return casebook.Problem{}, false
}

func isZip(content io.ReaderAt) bool {
	var head [2]byte
	_, err := content.ReadAt(head[:], 0)
	return err == nil && string(head[:]) == "PK"
}

func utf16Bytes(s string) []byte {
	var out []byte
	for _, u := range utf16.Encode([]rune(s)) {
		out = append(out, byte(u), byte(u>>8))
	}
	return out
}
