// Package template writes workbooks in the project's own layout: the empty one
// a practice fills in, and a whole dataset in the same columns.
//
// Place in the pipeline: before it. The columns, words and units come from
// ingest/columns, the list that ingest reads by.
//
// # Layout
//
// A page of instructions, then one sheet a record kind: cases, courses,
// movements, repeats, each with the template columns of columns.Of in that
// order, and a hidden sheet of lists behind the drop-downs. Headers stand in
// row 1 and records from row 2. Where the data are invented (Meta.Invented),
// row 1 says so, headers stand in row 2 and records from row 3. Teeth are in
// FDI notation, months are text (YYYY-MM), amounts are signed numbers. The
// same input gives the same bytes.
package template

import (
	"fmt"
	"io"
	"iter"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
)

// Meta describes a dataset that is written as a workbook.
type Meta struct {
	Title string // document title
	// Invented puts a banner on every sheet and marks the document properties.
	Invented bool
	// Copy writes the records of another file: with a column of stated
	// percentages where one has any, and with sizes that carry no direction, which
	// are read as such again: beside others in a column of directions.
	Copy      bool
	stated    bool // some movement has a stated percentage
	confirmed bool // some has amounts that a person confirmed
	// Export writes what a database holds, so that reading it gives the same
	// records: a copy, with a column of practices where two use one pseudonym and
	// one of directions where the signs alone would leave them open.
	Export     bool
	practices  bool // each record names its practice
	directions bool
	sizes      bool // amounts are written along their direction
}

// of finds out which columns beyond those of the template the records need.
func (m Meta) of(ds *casebook.Dataset) Meta {
	negative, sizes := false, 0
	for i := range ds.Movements {
		v := &ds.Movements[i]
		m.stated = m.stated || (m.Copy || m.Export) && v.StatedPercent.OK
		m.confirmed = m.confirmed || v.Confirmed != casebook.NotConfirmed
		if v.SizeOnly {
			sizes++
		}
		negative = negative || v.Planned < 0
	}
	m.sizes = sizes > 0 && (m.Export || m.Copy && sizes < len(ds.Movements))
	m.directions = m.sizes || m.Export && !negative
	listed, homes := map[casebook.CaseKey]bool{}, map[string]string{}
	for i := range ds.Cases {
		listed[ds.Cases[i].Key()] = true
	}
	for _, k := range casesOf(ds) {
		if other, ok := homes[k.ID]; ok && other != k.Practice {
			m.practices = m.practices || m.Export
		}
		m.practices = m.practices || m.Copy && k.Practice != "" && !listed[k] // no row of a case says it
		homes[k.ID] = k.Practice
	}
	return m
}

// casesOf lists the cases of all records, some more than once.
func casesOf(ds *casebook.Dataset) []casebook.CaseKey {
	var out []casebook.CaseKey
	for i := range ds.Cases {
		out = append(out, ds.Cases[i].Key())
	}
	for i := range ds.Courses {
		out = append(out, ds.Courses[i].Case)
	}
	for i := range ds.Movements {
		out = append(out, ds.Movements[i].Case)
	}
	for i := range ds.Repeats {
		out = append(out, ds.Repeats[i].Case)
	}
	return out
}

// Banner stands in the first row of every sheet of invented data.
const Banner = columns.InventedMark + ": no real patient, clinician or practice is behind these rows"

// created is the date in the document properties; a fixed one, so that the
// same input gives the same bytes.
const created = "2025-01-01T00:00:00Z"

// Write writes the empty workbook, with one example row a sheet that ingest
// passes over.
func Write(w io.Writer) error {
	b := &builder{meta: Meta{Title: "Cases of aligner treatment: records for an audit"}}
	return b.write(w, exampleRow)
}

// WriteDataset writes the records of a dataset in the layout of the template.
// Stated percentages and the mark that a size had no direction have no column
// there; a dataset that carries any is refused rather than cut.
func WriteDataset(w io.Writer, ds *casebook.Dataset, meta Meta) error {
	for _, m := range ds.Movements {
		if !meta.Copy && !meta.Export && (m.StatedPercent.OK || m.SizeOnly) {
			return fmt.Errorf("case %s, course %d, tooth %s: a stated percentage or a size without direction has no column in the template", m.Case.ID, m.Course, m.Tooth)
		}
	}
	meta = meta.of(ds)
	b := &builder{meta: meta}
	return b.write(w, func(k casebook.Kind) rows { return datasetRows(ds, k, meta) })
}

// rows are the records of one sheet as cell values, column by column of the
// template; example rows are styled as such.
type rows struct {
	each    iter.Seq[[]any] // every row in turn, until the next
	example bool
}

// builder carries what is shared while one workbook is made.
type builder struct {
	meta   Meta
	file   *excelize.File
	styles styles
	lists  []list
}

func (b *builder) write(w io.Writer, records func(casebook.Kind) rows) error {
	b.file = excelize.NewFile()
	defer b.file.Close()
	FixOrder(b.file)
	if err := b.fill(records); err != nil {
		return err
	}
	return b.file.Write(w)
}

func (b *builder) fill(records func(casebook.Kind) rows) (err error) {
	if b.styles, err = newStyles(b.file); err != nil {
		return err
	}
	if err := b.file.SetSheetName("Sheet1", columns.InstructionsSheet); err != nil {
		return err
	}
	if err := b.writeLists(); err != nil {
		return err
	}
	for _, k := range casebook.Kinds() {
		if err := b.writeSheet(k, records(k)); err != nil {
			return fmt.Errorf("sheet %s: %w", columns.SheetName(k), err)
		}
	}
	if err := b.writeInstructions(); err != nil {
		return err
	}
	return b.properties()
}

// properties name the program and nobody else: whoever fills the workbook in
// should find no author there to begin with.
func (b *builder) properties() error {
	p := &excelize.DocProperties{
		Title: b.meta.Title, Creator: "shortfall", LastModifiedBy: "shortfall", Created: created, Modified: created,
	}
	if b.meta.Invented {
		p.Category, p.Description = columns.InventedMark, Banner
	}
	if err := b.file.SetDocProps(p); err != nil {
		return err
	}
	return b.file.SetAppProps(&excelize.AppProperties{Application: "shortfall"})
}

// columnsOf are the template columns of a kind.
func columnsOf(k casebook.Kind) []columns.Def { return Meta{}.columnsOf(k) }

// columnsOf are the columns of a kind in a workbook so described.
func (m Meta) columnsOf(k casebook.Kind) []columns.Def {
	var out []columns.Def
	for _, d := range columns.Of(k) {
		if d.Template || m.stated && d.Field == columns.StatedPercent || m.confirmed && d.Field == columns.Confirmed || m.directions && d.Field == columns.Direction ||
			m.practices && d.Field == columns.Practice {
			out = append(out, d)
		}
	}
	return out
}

// headerRow is the 1-based row of the headers.
func (b *builder) headerRow() int {
	if b.meta.Invented {
		return 2
	}
	return 1
}
