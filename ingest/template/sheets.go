package template

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
)

// writeSheet writes one record kind. The rules of a column must be in place
// before the stream is flushed, or they are lost.
func (b *builder) writeSheet(k casebook.Kind, r rows) error {
	name, defs := columns.SheetName(k), b.meta.columnsOf(k)
	if _, err := b.file.NewSheet(name); err != nil {
		return err
	}
	if err := b.landscape(name); err != nil {
		return err
	}
	for i, d := range defs {
		if err := b.rule(name, i+1, d); err != nil {
			return err
		}
	}
	sw, err := b.file.NewStreamWriter(name)
	if err != nil {
		return err
	}
	if err := b.head(sw, defs); err != nil {
		return err
	}
	row, cells := b.headerRow(), make([]any, len(defs))
	for values := range r.each {
		row++
		b.style(cells, values, defs, r.example)
		if err := sw.SetRow("A"+strconv.Itoa(row), cells); err != nil {
			return err
		}
	}
	return sw.Flush()
}

// head sets widths and panes, then writes the banner and the headers.
func (b *builder) head(sw *excelize.StreamWriter, defs []columns.Def) error {
	for i, d := range defs {
		if err := sw.SetColWidth(i+1, i+1, width(d)); err != nil {
			return err
		}
		if isText(d) {
			if err := sw.SetColStyle(i+1, i+1, b.styles.text); err != nil {
				return err
			}
		}
	}
	row := b.headerRow()
	panes := &excelize.Panes{
		Freeze: true, XSplit: 1, YSplit: row, TopLeftCell: fmt.Sprintf("B%d", row+1), ActivePane: "bottomRight",
	}
	if err := sw.SetPanes(panes); err != nil {
		return err
	}
	if b.meta.Invented {
		if err := sw.SetRow("A1", []any{excelize.Cell{StyleID: b.styles.banner, Value: Banner}}); err != nil {
			return err
		}
	}
	headers := make([]any, len(defs))
	for i, d := range defs {
		style := b.styles.header
		if d.Required {
			style = b.styles.required
		}
		headers[i] = excelize.Cell{StyleID: style, Value: Header(d)}
	}
	return sw.SetRow(fmt.Sprintf("A%d", row), headers, excelize.RowOpts{Height: 32})
}

// style gives the cells of one row their formats.
func (b *builder) style(out, values []any, defs []columns.Def, example bool) {
	for i, v := range values {
		style := 0
		switch {
		case example:
			style = b.styles.example
		case isText(defs[i]):
			style = b.styles.text
		}
		out[i] = excelize.Cell{StyleID: style, Value: v}
	}
}

// Header is the text above a column, with its unit.
func Header(d columns.Def) string {
	if d.Unit == "" || strings.Contains(d.Header, "(") {
		return d.Header
	}
	return d.Header + " (" + d.Unit + ")"
}

// isText: columns in which a number or a date is never meant.
func isText(d columns.Def) bool {
	switch d.Type {
	case columns.Code, columns.Month, columns.ToothID, columns.CourseNo:
		return true
	}
	return false
}

// width in characters: room for the longest word of the list and its arrow.
func width(d columns.Def) float64 {
	n := len(Header(d))/2 + 5 // headers wrap over two lines
	for _, w := range d.Words {
		n = max(n, len(w)+3)
	}
	return float64(min(max(n, 11), 30))
}

func (b *builder) landscape(sheet string) error {
	landscape, one, tall := "landscape", 1, 0
	if err := b.file.SetPageLayout(sheet, &excelize.PageLayoutOptions{Orientation: &landscape, FitToWidth: &one, FitToHeight: &tall}); err != nil {
		return err
	}
	fit := true
	return b.file.SetSheetProps(sheet, &excelize.SheetPropsOptions{FitToPage: &fit})
}

// rule attaches the drop-down or the check of a column, and its explanation.
func (b *builder) rule(sheet string, col int, d columns.Def) error {
	name, err := excelize.ColumnNumberToName(col)
	if err != nil {
		return err
	}
	first := fmt.Sprintf("%s%d", name, b.headerRow()+1)
	v := excelize.NewDataValidation(true)
	v.SetSqref(fmt.Sprintf("%s:%s%d", first, name, excelize.TotalRows))
	v.SetInput(d.Header, d.About)
	if err := b.check(v, d, first); err != nil {
		return err
	}
	return b.file.AddDataValidation(sheet, v)
}

func (b *builder) check(v *excelize.DataValidation, d columns.Def, first string) error {
	switch d.Type {
	case columns.Word, columns.YesNo:
		v.SetSqrefDropList(b.listRef(d.Words))
		v.SetError(excelize.DataValidationErrorStyleStop, d.Header, "Choose one of the words in the list, or leave the cell blank.")
	case columns.CourseNo:
		v.SetSqrefDropList(b.listRef(d.Words))
		v.SetError(excelize.DataValidationErrorStyleWarning, d.Header, "Expected \"initial\", \"refinement 1\", \"refinement 2\" and so on.")
	case columns.Count:
		v.SetError(excelize.DataValidationErrorStyleStop, d.Header, "Expected a whole number, 0 or more.")
		return v.SetRange(0, 10000, excelize.DataValidationTypeWhole, excelize.DataValidationOperatorBetween)
	case columns.Amount:
		v.SetError(excelize.DataValidationErrorStyleStop, d.Header, "Expected a number, or \""+columns.MissingCode+"\".")
		v.Type = "custom"
		v.Formula1 = fmt.Sprintf("OR(ISNUMBER(%s),%s=\"%s\")", first, first, columns.MissingCode)
	}
	return nil
}
