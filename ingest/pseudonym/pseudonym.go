// Package pseudonym makes an anonymised copy of a spreadsheet on the
// practice's own machine.
//
// Place in the pipeline: before ingest. It reads a file as ingest reads it and
// writes the records, and nothing else, as a new workbook in the layout of
// the template: a copy is written from parsed values and never copied, so that
// no other text of the original can be in it. Codes of cases that are a plain scheme
// of running numbers stay, so that the copy still fits the files that need none, and so
// do codes of clinicians and practices that say nothing of a person; any other, or every
// one on demand, becomes a keyed pseudonym. A date becomes a month, a date of birth or an age an age band, and the
// rows stand in an order drawn from the key, so that a list kept in the old order
// does not line up with them. A cell that does not parse is left empty and listed
// by its place and class.
//
// Pseudonyms are still personal data where the key exists (Regulation (EU)
// 2016/679, article 4(5)); local data-protection rules decide who may have it.
package pseudonym

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/privacy"
	"shortfall/ingest/scratch"
	"shortfall/ingest/screen"
	"shortfall/ingest/sheet"
	"shortfall/ingest/template"
	"shortfall/ingest/values"
)

// Options of a copy.
type Options struct {
	// Reading says how the file is read; identifiers are allowed in it.
	Reading ingest.Options
	// CaseHeader names the column that tells the cases apart, where it is not one
	// that ingest knows: "chart no", "patient name". Its values become pseudonyms.
	CaseHeader string
	// RenameCodes makes a pseudonym of every code, also of those that could stay; KeepCodes
	// lets every code stay to which the screen does not object, also where they are no plain
	// scheme. Of both the first holds.
	RenameCodes, KeepCodes bool
	// Practice is that of the cases of which the file names none; its code is treated as
	// those of the file are.
	Practice string
	// Create makes the file of the copy; nil: scratch.Create.
	Create Create
}

// Create makes a new file, at once as scratch.Create does or with others of a scratch.Set.
type Create func(path string, write func(io.Writer) error) error

// Summary says what was copied and what was left out, without any value.
type Summary struct {
	Records                      int
	Cases, Clinicians, Practices Codes
	Why                          string // codes of cases stand as they do
	Dropped                      []Dropped
}

// Codes counts the different codes of one kind: those that stand in the copy as they
// were, and those that have a pseudonym there.
type Codes struct{ Kept, Renamed int }

// All of the codes.
func (c Codes) All() int { return c.Kept + c.Renamed }

// Dropped is a sheet, a column, a row or a cell that is not in the copy.
type Dropped struct {
	Sheet string // number where the name itself was a finding
	Place string // "column F", "row 12", "cell F12", "" for the whole sheet
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
	book, err := sheet.OpenContext(ctx, src, o.Reading.Limits)
	if err != nil {
		return Summary{}, screen.WithoutNames(err)
	}
	return copyBook(ctx, book, dst, key, o)
}

// copyBook makes the copy of a file that is open; the cells of the book are
// given up.
func copyBook(ctx context.Context, book *sheet.Book, dst string, key Key, o Options) (Summary, error) {
	c := &copier{key: key, reading: o.reading(), renameAll: o.RenameCodes || o.CaseHeader != "", keepAll: o.KeepCodes}
	laid := ingest.Tables(book, c.reading)
	c.book, c.reading.Mapping, c.reading.Answers, c.reading.Memory = laid.Plain, laid.Mapping, laid.Answers, nil
	batch, err := c.read(ctx)
	if err != nil {
		return Summary{}, err
	}
	homeless(batch, values.TypedCode(o.Practice))
	ds, err := c.recode(batch)
	if err != nil {
		return Summary{}, err
	}
	return c.summary, o.write(ctx, dst, ds, batch.Invented)
}

// homeless gives the records that name no practice the one that was given.
func homeless(b *casebook.Batch, practice string) {
	if practice == "" {
		return
	}
	give := func(to *string) { *to = cmp.Or(*to, practice) }
	for i := range b.Cases {
		give(&b.Cases[i].Value.Practice)
	}
	for i := range b.Courses {
		give(&b.Courses[i].Value.Case.Practice)
	}
	for i := range b.Movements {
		give(&b.Movements[i].Value.Case.Practice)
	}
	for i := range b.Repeats {
		give(&b.Repeats[i].Value.Case.Practice)
	}
}

// copier is the state of one copy.
type copier struct {
	key     Key
	book    *sheet.Book
	reading ingest.Options
	// renameAll: no code stays; a column of cases that only a person named may hold anything.
	renameAll bool
	keepAll   bool               // a person said that the codes identify nobody
	scheme    privacy.Scheme     // of the codes of the cases
	objected  map[objection]bool // codes that the screen objects to beside the others of their column
	summary   Summary
}

func base(path string) string {
	name := filepath.Base(path)
	return name[:len(name)-len(filepath.Ext(name))]
}

// reading adds the case column to what is declared, and lets identifiers in:
// taking them out is what the copy is for.
func (o Options) reading() ingest.Options {
	r := o.Reading
	r.AllowIdentifiers = true
	if o.CaseHeader == "" {
		return r
	}
	m := mapping.File{Version: mapping.Version}
	if r.Mapping != nil {
		m = *r.Mapping
	}
	declared := mapping.Sheet{Name: "*", Columns: map[string]string{o.CaseHeader: columns.Case.String()}}
	m.Sheets = append(append([]mapping.Sheet{}, m.Sheets...), declared)
	r.Mapping = &m
	return r
}

// write makes the workbook in memory, reads it back, and puts it in place only
// where nothing in it looks like an identifier.
func (o Options) write(ctx context.Context, dst string, ds *casebook.Dataset, invented bool) error {
	var made bytes.Buffer
	meta := template.Meta{Title: "Cases of aligner treatment: anonymised copy", Invented: invented, Copy: true}
	if err := template.WriteDataset(&made, ds, meta); err != nil {
		return err
	}
	book, err := sheet.Decode(ctx, filepath.Base(dst), made.Bytes(), o.Reading.Limits)
	if err != nil {
		return err
	}
	if left := screen.Identifiers(book, layout.Tables(book, nil)); len(left) > 0 {
		return &ingest.Refused{Problems: left}
	}
	create := o.Create
	if create == nil {
		create = scratch.Create
	}
	return create(dst, func(w io.Writer) error {
		_, err := w.Write(made.Bytes())
		return err
	})
}
