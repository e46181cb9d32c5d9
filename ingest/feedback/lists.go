package feedback

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
)

// rows writes the accepted or the rejected rows one below the other.
func (a *annotator) rows(name string, lines []line, rejected bool) error {
	if _, err := a.f.NewSheet(name); err != nil {
		return err
	}
	w, err := a.f.NewStreamWriter(name)
	if err != nil {
		return err
	}
	head, wide := []any{"sheet", "row", "reasons", "cells"}, 4
	if !rejected {
		head, wide = []any{"sheet", "row", "cells"}, 3
	} else if err := w.SetColWidth(3, 3, 60); err != nil {
		return err
	}
	if err := w.SetColWidth(1, 1, 18); err != nil {
		return err
	}
	if err := w.SetColWidth(wide, wide+60, 24); err != nil {
		return err
	}
	if err := w.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	for i := range head {
		head[i] = excelize.Cell{StyleID: a.head, Value: head[i]}
	}
	if err := w.SetRow("A1", head); err != nil {
		return err
	}
	at := 1
	for _, l := range lines {
		if l.rejected != rejected {
			continue
		}
		at++
		row := []any{l.source.Sheet, l.source.Row}
		if rejected {
			row = append(row, excelize.Cell{StyleID: a.long, Value: strings.Join(l.reasons, "; ")})
		}
		for _, c := range l.cells {
			row = append(row, c.Header+": "+c.Text)
		}
		height := excelize.RowOpts{}
		if n := linesIn(strings.Join(l.reasons, "; "), remedyWidth); rejected && n > 1 {
			height.Height = float64(n) * lineHeight
		}
		if err := w.SetRow("A"+strconv.Itoa(at), row, height); err != nil {
			return err
		}
	}
	return w.Flush()
}

// Widths of the long columns in characters, and the height of a line in points:
// not every program makes room for wrapped text by itself.
const (
	whatWidth, remedyWidth = 52, 60
	lineHeight             = 15
)

func linesIn(text string, width int) int {
	const slack = 4 // a word does not break
	return (utf8.RuneCountInString(text) + width - slack - 1) / (width - slack)
}

// mostLinks is below the number of links that the format allows on a sheet.
const mostLinks = 60_000

// problems fills the first sheet: the counts, then every problem with a link
// to its cell.
func (a *annotator) problems() error {
	set := func(ref string, v any) error {
		if s, ok := v.(string); ok {
			return a.f.SetCellStr(problemSheet, ref, s)
		}
		return a.f.SetCellValue(problemSheet, ref, v)
	}
	at := 1
	put := func(values ...any) error {
		for i, v := range values {
			ref, err := excelize.CoordinatesToCellName(i+1, at)
			if err != nil {
				return err
			}
			if err := set(ref, v); err != nil {
				return err
			}
		}
		at++
		return nil
	}
	c := a.batch.Counts()
	if err := put(fmt.Sprintf("%d rows read = %d accepted + %d rejected + %d blank", c.Read, c.Accepted, c.Rejected, c.Blank)); err != nil {
		return err
	}
	if err := put("severity", "sheet", "place", "column", "what", "what to do", "rule"); err != nil {
		return err
	}
	worst := slices.Clone(a.batch.Problems)
	slices.SortStableFunc(worst, func(x, y casebook.Problem) int { return cmp.Compare(y.Severity, x.Severity) })
	for _, p := range worst {
		where := p.Cell
		if where == "" && p.Row > 0 {
			where = "A" + strconv.Itoa(p.Row)
		}
		row := at
		if err := a.f.SetCellStyle(problemSheet, "A"+strconv.Itoa(row), "G"+strconv.Itoa(row), a.long); err != nil {
			return err
		}
		if n := max(linesIn(p.Message, whatWidth), linesIn(p.Remedy, remedyWidth)); n > 1 {
			if err := a.f.SetRowHeight(problemSheet, row, float64(n)*lineHeight); err != nil {
				return err
			}
		}
		if err := put(p.Severity.String(), p.Sheet, where, p.Column, p.Message, p.Remedy, p.Rule); err != nil {
			return err
		}
		if sheet := a.names[p.Sheet]; sheet != "" && where != "" && row < mostLinks {
			cell := "C" + strconv.Itoa(row)
			if err := a.f.SetCellHyperLink(problemSheet, cell, "'"+strings.ReplaceAll(sheet, "'", "''")+"'!"+where, "Location"); err != nil {
				return err
			}
			if err := a.f.SetCellStyle(problemSheet, cell, cell, a.link); err != nil {
				return err
			}
		}
	}
	return a.look()
}

// look sets widths, the frozen header and its style.
func (a *annotator) look() error {
	for i, width := range []float64{10, 16, 8, 20, whatWidth, remedyWidth, 20} {
		col, err := excelize.ColumnNumberToName(i + 1)
		if err != nil {
			return err
		}
		if err := a.f.SetColWidth(problemSheet, col, col, width); err != nil {
			return err
		}
	}
	if err := a.f.SetCellStyle(problemSheet, "A2", "G2", a.head); err != nil {
		return err
	}
	title, err := a.f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true, Family: font, Size: 11}})
	if err != nil {
		return err
	}
	if err := a.f.SetCellStyle(problemSheet, "A1", "A1", title); err != nil {
		return err
	}
	return a.f.SetPanes(problemSheet, &excelize.Panes{Freeze: true, YSplit: 2, TopLeftCell: "A3", ActivePane: "bottomLeft"})
}
