package report

import (
	"fmt"
	"io"
	"time"

	"github.com/xuri/excelize/v2"

	"shortfall/audit/results"
	"shortfall/report/document"
	"shortfall/report/section"
)

// workbookMark is the title of the workbook in its document properties; by it
// the program knows its own outputs again.
const workbookMark = "shortfall results"

// book writes sheets and keeps the first error.
type book struct {
	f    *excelize.File
	head int // style of header rows
	wrap int // style of running text
	err  error
}

// Workbook writes the tables of the results as a workbook (xlsx). Numbers are
// numbers, in full precision; ratios are 1 for all that was planned; what was
// not estimated or is suppressed is blank. No cell holds a formula. The same
// results give the same bytes.
func Workbook(w io.Writer, r *results.Results) (err error) {
	doc, err := section.Workbook(r)
	if err != nil {
		return fmt.Errorf("making the workbook: %w", err)
	}
	b := &book{f: excelize.NewFile()}
	defer func() {
		if e := b.f.Close(); err == nil {
			err = e
		}
	}()
	b.prepare(doc)
	for i := range doc.Sheets {
		b.sheet(&doc.Sheets[i])
	}
	if b.err == nil {
		b.err = b.f.DeleteSheet("Sheet1")
	}
	if b.err != nil {
		return fmt.Errorf("writing the workbook: %w", b.err)
	}
	b.f.SetActiveSheet(0)
	if err := b.f.Write(w); err != nil {
		return fmt.Errorf("writing the workbook: %w", err)
	}
	return nil
}

func (b *book) prepare(d *document.Document) {
	stamp := d.Date.Format(time.RFC3339)
	b.try(b.f.SetDocProps(&excelize.DocProperties{
		Title: workbookMark, Subject: d.Subject, Creator: d.Creator,
		LastModifiedBy: d.Creator, Created: stamp, Modified: stamp, Language: d.Lang,
	}))
	var err error
	b.head, err = b.f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "bottom"}})
	b.try(err)
	b.wrap, err = b.f.NewStyle(&excelize.Style{Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	b.try(err)
}

func (b *book) try(err error) {
	if b.err == nil {
		b.err = err
	}
}

// put writes one value; text is always text, so that nothing becomes a formula.
func (b *book) put(sheet string, col, row int, v any) {
	ref, err := excelize.CoordinatesToCellName(col, row)
	b.try(err)
	switch v := v.(type) {
	case nil:
	case string:
		b.try(b.f.SetCellStr(sheet, ref, v))
	case int:
		b.try(b.f.SetCellInt(sheet, ref, int64(v)))
	case float64:
		b.try(b.f.SetCellFloat(sheet, ref, v, -1, 64))
	}
}

// sheet writes one table, header frozen.
func (b *book) sheet(s *document.Sheet) {
	if b.err != nil {
		return
	}
	_, err := b.f.NewSheet(s.Name)
	b.try(err)
	for i, c := range s.Columns {
		b.put(s.Name, i+1, 1, c.Head)
		letter, err := excelize.ColumnNumberToName(i + 1)
		b.try(err)
		b.try(b.f.SetColWidth(s.Name, letter, letter, max(c.Width, 11)))
		for k, r := range s.Rows {
			b.put(s.Name, i+1, k+2, r[i])
		}
	}
	last, err := excelize.CoordinatesToCellName(len(s.Columns), 1)
	b.try(err)
	b.try(b.f.SetCellStyle(s.Name, "A1", last, b.head))
	b.try(b.f.SetPanes(s.Name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
}
