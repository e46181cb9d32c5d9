package feedback

import (
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
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
	head := []any{"sheet", "row", "reasons", "cells"}
	if !rejected {
		head = []any{"sheet", "row", "cells"}
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
			row = append(row, strings.Join(l.reasons, "; "))
		}
		for _, c := range l.cells {
			row = append(row, c.Header+": "+c.Text)
		}
		if err := w.SetRow("A"+strconv.Itoa(at), row); err != nil {
			return err
		}
	}
	return w.Flush()
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
	if err := put("rows read", c.Read, "accepted", c.Accepted, "rejected", c.Rejected, "blank", c.Blank); err != nil {
		return err
	}
	if err := put("severity", "sheet", "place", "column", "what", "what to do", "rule"); err != nil {
		return err
	}
	for _, p := range a.batch.Problems {
		where := p.Cell
		if where == "" && p.Row > 0 {
			where = "A" + strconv.Itoa(p.Row)
		}
		row := at
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
	for i, width := range []float64{10, 16, 8, 20, 60, 60, 22} {
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
	return a.f.SetPanes(problemSheet, &excelize.Panes{Freeze: true, YSplit: 2, TopLeftCell: "A3", ActivePane: "bottomLeft"})
}
