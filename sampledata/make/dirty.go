package main

import (
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/sampledata"
)

// slip is one thing gone wrong in the flat sheet: what stands where.
type slip struct {
	movement int // counted from 0 in the clean sheet
	field    columns.Field
	text     string
	rule     string // the rule that finds it; "" where it is read all the same
}

// slips are of the kinds that practices' own spreadsheets are known for.
var slips = []slip{
	{1, columns.Tooth, "49", "tooth-unknown"},
	{3, columns.Achieved, "", "achieved-missing"},
	{5, columns.Achieved, "999", "value-sentinel"},
	{8, columns.Planned, "a little", "number-unreadable"},
	{10, columns.Style, "robot", "style-unknown"},
	{12, columns.Axis, "sideways", "axis-unknown"},
	{14, columns.Planned, "250", "amount-impossible"},
	{16, columns.Planned, "\u22121.2", ""}, // a Unicode minus
}

// dirtyRows is the clean flat sheet of a few small cases with the slips, one
// row pasted twice, an empty row and a row of totals.
func dirtyRows() [][]string {
	p := sampledata.Default()
	p.Cases, p.Extent, p.Unplanned, p.RefineHazard, p.Dropout = 8, 0.08, 0, 0, sampledata.Dropout{}
	p.Unrecorded, p.Missing, p.Repeats, p.Freeze = 0, 0, 0, p.Freeze+24
	ds, _ := sampledata.Generate(p, sampledata.DefaultSeed)
	rows := flat(ds)
	for _, s := range slips {
		rows[1+s.movement][columnOf(s.field)] = s.text
	}
	twice := slices.Clone(rows[19])
	rows = append(rows, twice, make([]string, len(rows[0])))
	totals := make([]string, len(rows[0]))
	totals[0] = "Total"
	return append(rows, totals)
}

func columnOf(f columns.Field) int {
	want := header(casebook.MovementKind, f)
	return slices.IndexFunc(flatColumns(), func(c column) bool { return c.header == want })
}
