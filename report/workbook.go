package report

import (
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

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
	// long is the style of texts longer than their column, top of others, ratio and chance those of
	// numbers that are not whole: what a cell shows, not what it holds.
	long, top, ratio, chance int
	err                      error
}

// shownRatio and shownChance are how many decimals of a number a cell shows; it holds all.
const shownRatio, shownChance = "0.000", "0.0000"

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
	b.f.SetZipWriter(func(w io.Writer) excelize.ZipWriter { return newSortedZip(w) })
	defer func() {
		if e := b.f.Close(); err == nil {
			err = e
		}
	}()
	b.prepare(doc)
	for i := range doc.Sheets {
		b.sheet(&doc.Sheets[i])
	}
	if b.err != nil {
		return fmt.Errorf("writing the workbook: %w", b.err)
	}
	if err := b.f.Write(w); err != nil {
		return fmt.Errorf("writing the workbook: %w", err)
	}
	return nil
}

// prepare makes properties, styles and empty sheets.
func (b *book) prepare(d *document.Document) {
	stamp := d.Date.Format(time.RFC3339)
	b.try(b.f.SetDocProps(&excelize.DocProperties{
		Title: workbookMark, Subject: d.Subject, Creator: d.Creator,
		LastModifiedBy: d.Creator, Created: stamp, Modified: stamp, Language: d.Lang,
	}))
	var err error
	b.head, err = b.f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "bottom"}})
	b.try(err)
	style := func(s excelize.Style) (id int) {
		id, err := b.f.NewStyle(&s)
		b.try(err)
		return id
	}
	ratio, chance := shownRatio, shownChance
	b.long = style(excelize.Style{Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	top := &excelize.Alignment{Vertical: "top"} // where the text of a row begins
	b.top = style(excelize.Style{Alignment: top})
	b.ratio, b.chance = style(excelize.Style{CustomNumFmt: &ratio, Alignment: top}), style(excelize.Style{CustomNumFmt: &chance, Alignment: top})
	for i := range d.Sheets {
		if i == 0 { // a new file has one sheet
			b.try(b.f.SetSheetName(b.f.GetSheetName(0), d.Sheets[0].Name))
		} else {
			_, err := b.f.NewSheet(d.Sheets[i].Name)
			b.try(err)
		}
		b.onPaper(d.Sheets[i].Name)
	}
}

// onPaper has a sheet printed as wide as the paper, its head on every page.
func (b *book) onPaper(sheet string) {
	lying, fit, one, any := "landscape", true, 1, 0
	b.try(b.f.SetSheetProps(sheet, &excelize.SheetPropsOptions{FitToPage: &fit}))
	b.try(b.f.SetPageLayout(sheet, &excelize.PageLayoutOptions{Orientation: &lying, FitToWidth: &one, FitToHeight: &any}))
	b.try(b.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: "'" + strings.ReplaceAll(sheet, "'", "''") + "'!$1:$1", Scope: sheet}))
}

func (b *book) try(err error) {
	if b.err == nil {
		b.err = err
	}
}

// sheet writes one table, header frozen, row by row: nothing may look at the sheet
// afterwards, which would have it parsed again. Text is always text, so that nothing becomes a
// formula, and what is nil stays blank.
func (b *book) sheet(s *document.Sheet) {
	if b.err != nil {
		return
	}
	w, err := b.f.NewStreamWriter(s.Name)
	if b.try(err); err != nil {
		return
	}
	heads := make([]any, len(s.Columns))
	for i, c := range s.Columns {
		heads[i] = excelize.Cell{StyleID: b.head, Value: c.Head}
		b.try(w.SetColWidth(i+1, i+1, wide(c)))
	}
	b.try(w.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
	b.try(w.SetRow("A1", heads))
	for k, r := range s.Rows {
		ref, err := excelize.CoordinatesToCellName(1, k+2)
		b.try(err)
		b.try(w.SetRow(ref, b.dressed(s, r), excelize.RowOpts{Height: height(s, r)}))
	}
	b.try(w.Flush())
}

// Points of a line of a cell, and of the highest row that spreadsheets take (common
// knowledge, no source).
const linePoints, mostPoints = 15, 409

// height in points is that of the text that wraps most; readers do not all look for it
// themselves. 0, the usual height, where nothing wraps.
func height(s *document.Sheet, row []any) float64 {
	lines := 1.0
	for i, v := range row {
		if text, ok := v.(string); ok {
			lines = max(lines, linesOf(text, s.Columns[i]))
		}
	}
	if lines == 1 {
		return 0
	}
	return min(linePoints*lines, mostPoints)
}

// wide is the width of a column in characters, the unit of spreadsheets.
func wide(c document.SheetColumn) float64 { return max(c.Width, 11) }

// linesOf is how many lines a text needs in its column; words do not fill a line.
func linesOf(text string, c document.SheetColumn) float64 {
	n := float64(utf8.RuneCountInString(text))
	if n <= wide(c) {
		return 1
	}
	return math.Ceil(1.1 * n / wide(c))
}

// dressed gives the values of a row with how they are shown.
func (b *book) dressed(s *document.Sheet, row []any) []any {
	out := slices.Clone(row)
	for i, v := range out {
		switch v := v.(type) {
		case nil:
		case string:
			out[i] = excelize.Cell{StyleID: b.top, Value: v}
			if linesOf(v, s.Columns[i]) > 1 {
				out[i] = excelize.Cell{StyleID: b.long, Value: v}
			}
		case float64:
			out[i] = excelize.Cell{StyleID: b.ratio, Value: v}
			if ofChance.MatchString(s.Columns[i].Head) {
				out[i] = excelize.Cell{StyleID: b.chance, Value: v}
			}
		default:
			out[i] = excelize.Cell{StyleID: b.top, Value: v}
		}
	}
	return out
}

// ofChance are the heads of columns of P values.
var ofChance = regexp.MustCompile(`\bP\b`)
