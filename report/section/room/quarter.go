package room

import (
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/document"
)

// The quarter against everything before it.
var _ = Furnish("quarter", Room{
	Exhibits: Exhibits{"table": quarterTable},
	Sheets: func(m *Maker) []document.Sheet {
		return []document.Sheet{timeSheet(m, "quarter", m.Results.Questions.Quarter)}
	},
})

// quarterTable sets the quarter against everything before it.
func quarterTable(m *Maker, e *results.Exhibit) document.Block {
	return timeTable(m, e, m.Results.Questions.Quarter)
}

// timeTable is a later part of the records against the earlier one, by direction and
// course; the cases refined come last.
func timeTable(m *Maker, e *results.Exhibit, t *results.InTime) document.Block {
	if t == nil {
		return nil
	}
	out := rowsOf{Table: table(e)}
	put := func(name string, c results.MeasureChange, before, now int, notes ...[]results.Warning) {
		difference := wording.Dash
		if c.Low.OK() {
			difference = wording.Points(c.Change) + " (" + wording.PointLimits(c.Low, c.High) + ")"
		}
		beyond := document.Cell{Text: wording.Dash}
		switch {
		case c.Changed:
			beyond = document.Cell{Text: "yes", Strong: true}
		case c.P.OK():
			beyond.Text = "no"
		}
		out.add(Words(name), Words(wording.Whole(c.Before)), Words(wording.Whole(c.After)), noted(difference, notes...), Words(versus(before, now)), beyond)
	}
	for _, c := range t.Cells {
		put(m.movementCourse(c.By), c.MeasureChange, c.CasesBefore, c.CasesAfter, c.Warnings)
	}
	if r := t.Refined; r != nil {
		put("Cases refined within "+wording.Of(r.Months, "month"), r.Share, r.Before.Cases, r.Now.Cases, r.Warnings)
	}
	return orNil(out.Table)
}

// timeSheet is a later part of the records against the earlier one.
func timeSheet(m *Maker, name string, t *results.InTime) document.Sheet {
	type cell = results.CellChange
	var cells []cell
	if t != nil {
		cells = t.Cells
	}
	return Sheet(name, cells, slices.Concat(byColumns(m, func(c cell) results.By { return c.By }, false), []Field[cell]{
		{"cases before", 11, func(c cell) any { return c.CasesBefore }},
		{"cases after", 11, func(c cell) any { return c.CasesAfter }},
		{"movements before", 11, func(c cell) any { return c.MovementsBefore }},
		{"movements after", 11, func(c cell) any { return c.MovementsAfter }},
		{"expression before", 11, func(c cell) any { return c.Before }},
		{"expression after", 11, func(c cell) any { return c.After }},
		{"difference", 11, func(c cell) any { return c.Change }},
		{"low", 11, func(c cell) any { return c.Low }},
		{"high", 11, func(c cell) any { return c.High }},
		{"P", 11, func(c cell) any { return c.P }},
		{"P corrected", 11, func(c cell) any { return c.PAdjusted }},
		{"beyond chance", 11, func(c cell) any { return c.Changed }},
		{"adjusted for", 40, func(c cell) any { return Text(strings.Join(c.Adjusters, ", ")) }},
		{"warnings", 60, func(c cell) any { return warningText(c.Warnings) }},
	}))
}
