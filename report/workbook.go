package report

import (
	"fmt"
	"io"
	"time"

	"github.com/xuri/excelize/v2"

	"shortfall/audit/results"
	"shortfall/report/section"
)

// workbookMark is the title of the workbook in its document properties; by it
// the program knows its own outputs again.
const workbookMark = "shortfall results"

// column of a sheet: its head and what stands under it for one row. A nil
// value leaves the cell blank.
type column[T any] struct {
	head  string
	width float64
	value func(T) any
}

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
	date, err := section.Date(r.Provenance.Date)
	if err != nil {
		return err
	}
	b := &book{f: excelize.NewFile()}
	defer func() {
		if e := b.f.Close(); err == nil {
			err = e
		}
	}()
	b.prepare(r, date)
	b.summary(r)
	b.tables(r)
	b.questions(r)
	b.quality(r)
	b.settings(r)
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

func (b *book) prepare(r *results.Results, date time.Time) {
	stamp := date.Format(time.RFC3339)
	b.try(b.f.SetDocProps(&excelize.DocProperties{
		Title: workbookMark, Subject: section.KindOfStudy, Creator: r.Provenance.Tool + " " + r.Provenance.Version,
		LastModifiedBy: r.Provenance.Tool, Created: stamp, Modified: stamp, Language: "en-GB",
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
	case results.Number:
		if v.OK() {
			b.try(b.f.SetCellFloat(sheet, ref, float64(v), -1, 64))
		}
	case int:
		b.try(b.f.SetCellInt(sheet, ref, int64(v)))
	case float64:
		b.try(b.f.SetCellFloat(sheet, ref, v, -1, 64))
	case bool:
		b.try(b.f.SetCellStr(sheet, ref, map[bool]string{true: "yes", false: "no"}[v]))
	default:
		b.try(b.f.SetCellStr(sheet, ref, fmt.Sprint(v)))
	}
}

// sheet writes one table from its columns, header frozen.
func sheet[T any](b *book, name string, rows []T, cols []column[T]) {
	if b.err != nil {
		return
	}
	_, err := b.f.NewSheet(name)
	b.try(err)
	for i, c := range cols {
		b.put(name, i+1, 1, c.head)
		letter, err := excelize.ColumnNumberToName(i + 1)
		b.try(err)
		b.try(b.f.SetColWidth(name, letter, letter, max(c.width, 11)))
		for k, r := range rows {
			b.put(name, i+1, k+2, c.value(r))
		}
	}
	last, err := excelize.CoordinatesToCellName(len(cols), 1)
	b.try(err)
	b.try(b.f.SetCellStyle(name, "A1", last, b.head))
	b.try(b.f.SetPanes(name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
}
