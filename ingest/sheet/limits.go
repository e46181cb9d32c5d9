package sheet

import (
	"time"

	"shortfall/ingest/casebook"
)

// Limits bound what one file may cost. A zero field takes its default.
type Limits struct {
	FileBytes     int64 // size of the file
	UnpackedBytes int64 // all parts of a workbook together, unpacked
	Ratio         int64 // unpacked to packed size of one part beyond 1 MiB
	Parts         int   // parts in the zip container
	Rows          int   // number of the last row of a sheet
	Columns       int   // number of the last column of a sheet
	Cells         int   // cells of all sheets that hold something
	CellBytes     int   // text of one cell
	MemoryBytes   int64 // growth of the heap while one file is read
	Time          time.Duration
}

// DefaultLimits allow about 300,000 rows of 30 columns.
func DefaultLimits() Limits {
	return Limits{
		FileBytes: 128 << 20, UnpackedBytes: 512 << 20, Ratio: 200, Parts: 2000,
		Rows: 1 << 20, Columns: 2000, Cells: 10_000_000, CellBytes: 32767 * 4,
		MemoryBytes: 2 << 30, Time: 10 * time.Minute,
	}
}

func (l Limits) withDefaults() Limits {
	d := DefaultLimits()
	for _, f := range []struct{ at, def *int64 }{
		{&l.FileBytes, &d.FileBytes},
		{&l.UnpackedBytes, &d.UnpackedBytes},
		{&l.Ratio, &d.Ratio},
		{&l.MemoryBytes, &d.MemoryBytes},
		{(*int64)(&l.Time), (*int64)(&d.Time)},
	} {
		if *f.at == 0 {
			*f.at = *f.def
		}
	}
	for _, f := range []struct{ at, def *int }{
		{&l.Parts, &d.Parts}, {&l.Rows, &d.Rows}, {&l.Columns, &d.Columns}, {&l.Cells, &d.Cells}, {&l.CellBytes, &d.CellBytes},
	} {
		if *f.at == 0 {
			*f.at = *f.def
		}
	}
	return l
}

// place fills the file and the sheet of a problem.
func place(p casebook.Problem, file, sheet string) casebook.Problem {
	p.File, p.Sheet = file, sheet
	return p
}
