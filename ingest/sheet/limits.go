package sheet

import (
	"time"

	"shortfall/ingest/casebook"
)

// Limits bound what one file may cost. A zero field takes its default.
type Limits struct {
	FileBytes     int64 // size of the file
	UnpackedBytes int64 // all parts of a workbook together, unpacked
	UnpackedFloor int64 // unpacked bytes that a file of any size may have
	Ratio         int64 // unpacked bytes beyond the floor for each byte of the file
	Parts         int   // parts in the zip container
	Rows          int   // number of the last row of a sheet
	Columns       int   // number of the last column of a sheet
	Cells         int   // cells of all sheets that hold something
	CellBytes     int   // text of one cell
	Sheets        int   // sheets of a workbook
	Merged        int   // merged areas of a sheet
	MergedCells   int   // cells of the merged areas of a sheet, within what it uses
	Styles        int   // cell formats, and number formats, of a workbook
	Texts         int   // names, comments, properties and other texts around the cells
	TextBytes     int   // one of them
	Tokens        int   // elements and texts of one part around the sheets
	MemoryBytes   int64 // growth of the heap while one file is read
	Time          time.Duration
}

// DefaultLimits allow a million rows of 30 columns.
func DefaultLimits() Limits {
	return Limits{
		FileBytes: 128 << 20, UnpackedBytes: 1 << 30, UnpackedFloor: 4 << 20, Ratio: 100, Parts: 2000,
		Rows: 1 << 20, Columns: 2000, Cells: 40_000_000, CellBytes: 32767 * 4,
		Sheets: 255, Merged: 20_000, MergedCells: 1_000_000, Styles: 65_536, Texts: 20_000, TextBytes: 32_767, Tokens: 2_000_000,
		MemoryBytes: 2 << 30, Time: 10 * time.Minute,
	}
}

func (l Limits) withDefaults() Limits {
	d := DefaultLimits()
	for _, f := range []struct{ at, def *int64 }{
		{&l.FileBytes, &d.FileBytes},
		{&l.UnpackedBytes, &d.UnpackedBytes},
		{&l.UnpackedFloor, &d.UnpackedFloor},
		{&l.Ratio, &d.Ratio},
		{&l.MemoryBytes, &d.MemoryBytes},
		{(*int64)(&l.Time), (*int64)(&d.Time)},
	} {
		if *f.at == 0 {
			*f.at = *f.def
		}
	}
	for _, f := range []struct{ at, def *int }{
		{&l.Parts, &d.Parts},
		{&l.Rows, &d.Rows},
		{&l.Columns, &d.Columns},
		{&l.Cells, &d.Cells},
		{&l.CellBytes, &d.CellBytes},
		{&l.Sheets, &d.Sheets},
		{&l.Merged, &d.Merged},
		{&l.MergedCells, &d.MergedCells},
		{&l.Styles, &d.Styles},
		{&l.Texts, &d.Texts},
		{&l.TextBytes, &d.TextBytes},
		{&l.Tokens, &d.Tokens},
	} {
		if *f.at == 0 {
			*f.at = *f.def
		}
	}
	l.Columns = min(l.Columns, widest)
	return l
}

// place fills the file and the sheet of a problem.
func place(p casebook.Problem, file, sheet string) casebook.Problem {
	p.File, p.Sheet = file, sheet
	return p
}
