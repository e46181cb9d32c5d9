// Package pseudonym makes an anonymised copy of a spreadsheet on the
// practice's own machine: case numbers become keyed pseudonyms, dates become
// months, a date of birth or an age becomes an age band, and everything that
// the audit does not read is left out.
//
// Place in the pipeline: before ingest. It reads a file with sheet and layout,
// writes a fresh workbook and screens that with privacy before it stands under
// its name. Nothing of the original workbook but the cells that are read is
// copied: no properties, comments, styles, hidden parts or pictures.
//
// Pseudonyms are still personal data where the key exists (Regulation (EU)
// 2016/679, article 4(5)); local data-protection rules decide who may have it.
package pseudonym

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"shortfall/ingest"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/privacy"
	"shortfall/ingest/sheet"
)

// Options of a copy.
type Options struct {
	Mapping *mapping.File
	// CaseHeader names the column that tells the cases apart, where it is not one
	// that ingest knows: "chart no", "patient name". Its values become pseudonyms.
	CaseHeader string
	Limits     sheet.Limits
}

// Summary says what was copied and what was left out, without any value.
type Summary struct {
	Sheets, Rows, Cases int
	// Recoded counts codes of clinicians and practices that looked like names and
	// were replaced.
	Recoded int
	Dropped []Dropped
}

// Dropped is a sheet, a column or a cell that is not in the copy.
type Dropped struct {
	Sheet string // number where the name itself was a finding
	Place string // "column F", "cell F12", "" for the whole sheet
	Why   string
}

// Copy writes an anonymised copy of src to dst, an .xlsx workbook that must not
// exist yet. Where anything in the copy still looks like an identifier the
// error is an *ingest.Refused and no file is left.
func Copy(ctx context.Context, src, dst string, key Key, o Options) (Summary, error) {
	if privacy.LabelRule(base(dst)) != "" {
		return Summary{}, errors.New("the name of the new file looks like an identifier; choose another")
	}
	if _, err := os.Lstat(dst); err == nil {
		return Summary{}, fmt.Errorf("%s exists already; name a new file", dst)
	}
	book, err := sheet.OpenContext(ctx, src, o.Limits)
	if err != nil {
		return Summary{}, err
	}
	return copyBook(ctx, book, dst, key, o)
}

func copyBook(ctx context.Context, book *sheet.Book, dst string, key Key, o Options) (Summary, error) {
	c := &copier{key: key, book: book, found: layout.Tables(book, o.mapping()), cases: map[string]string{}, caseHeader: o.CaseHeader}
	tables, err := c.tables()
	if err != nil {
		return Summary{}, err
	}
	return c.summary, write(ctx, dst, tables, o)
}

func base(path string) string {
	name := filepath.Base(path)
	return name[:len(name)-len(filepath.Ext(name))]
}

// mapping adds the case column to what is declared.
func (o Options) mapping() *mapping.File {
	if o.CaseHeader == "" {
		return o.Mapping
	}
	m := mapping.File{Version: mapping.Version}
	if o.Mapping != nil {
		m = *o.Mapping
	}
	declared := mapping.Sheet{Name: "*", Columns: map[string]string{o.CaseHeader: columns.Case.String()}}
	m.Sheets = append(append([]mapping.Sheet{}, m.Sheets...), declared)
	return &m
}

// write puts the workbook in place only once it was read back and is clean.
func write(ctx context.Context, dst string, tables []*table, o Options) error {
	dir, err := os.MkdirTemp(filepath.Dir(dst), ".pseudonymise-") // mode 0700
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	made := filepath.Join(dir, filepath.Base(dst))
	if err := writeWorkbook(made, tables); err != nil {
		return err
	}
	book, err := sheet.OpenContext(ctx, made, o.Limits)
	if err != nil {
		return err
	}
	if left := ingest.Identifiers(book, layout.Tables(book, o.Mapping)); len(left) > 0 {
		return &ingest.Refused{Problems: left}
	}
	return os.Rename(made, dst)
}
