package room

import (
	"fmt"
	"math"
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/document"
)

// Where plans of middle size would be expected to end.
var _ = Furnish("outlook", Room{
	Exhibits: Exhibits{"bands": bands},
	OffPaper: []string{"bands"},
	Sheets:   outlookSheets,
})

type bandDrawing struct{ chart.Bands }

func (d bandDrawing) Draw(w float64) *chart.Figure {
	d.Width = w
	return d.Figure(d.Title)
}

func (d bandDrawing) Parts() int { return len(d.Rows) }

func (d bandDrawing) Part(from, to int) document.Drawing {
	d.Rows = d.Rows[from:to]
	return d
}

// BandKey is the key of a row: a movement of a kind of tooth.
func BandKey(by results.By) string {
	return "band " + wording.Names{}.Movement(by) + ", " + wording.Teeth(by.ToothClass)
}

// bands shows where plans of middle size would be expected to end.
func bands(m *Maker, e *results.Exhibit) document.Block {
	o := m.Results.Questions.Outlook
	d := bandDrawing{chart.Bands{Title: e.Title, Share: wording.Fixed(results.Number(100*float64(o.Share)), 0) + " of 100"}}
	data := document.Table{Title: e.Title, Columns: []document.Column{{Title: "Movement, teeth"}, {Title: "Planned", Number: true}, {Title: "Expected (band)", Number: true}, {Title: "Band held", Number: true}, {Title: "Cases / movements", Number: true}}}
	for _, x := range chosen(e, o.Expected) {
		d.Unit = wording.Unit(x.Unit)
		dec := 0
		if x.Unit == casebook.Millimetre {
			dec = 1
		}
		text := fmt.Sprintf("%s (%s to %s)", wording.Fixed(x.Expected, dec), wording.Fixed(x.Low, dec), wording.Fixed(x.High, dec))
		d.Rows = append(d.Rows, chart.BandRow{
			ID:    BandKey(x.By),
			Label: wording.Capital(m.Names.Movement(x.By)), Detail: wording.Teeth(x.By.ToothClass), Planned: Number(x.Planned), Expected: Number(x.Expected), Low: Number(x.Low), High: Number(x.High),
			N: pair(x.Cases, x.Movements), Text: text, Held: wording.Percent(x.Held.Value),
		})
		data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{
			{Text: wording.Capital(m.Names.Movement(x.By)) + ", " + wording.Teeth(x.By.ToothClass), Datum: BandKey(x.By)}, Words(wording.Fine(x.Planned, x.Unit)), noted(text, x.Warnings), Words(wording.Percent(x.Held.Value)), Words(pair(x.Cases, x.Movements)),
		}})
	}
	if len(d.Rows) == 0 {
		return nil
	}
	d.Lo, d.Hi = chart.BandRange(d.Rows)
	if math.IsNaN(d.Lo) || math.IsNaN(d.Hi) {
		return nil
	}
	return document.Figure{ID: Anchor(e.ID), Title: e.Title, Desc: "Expected ends with their bands; the numbers are in the table.", Drawings: []document.Drawing{d}, Data: &data}
}

func outlookSheets(m *Maker) []document.Sheet {
	o := &m.Results.Questions.Outlook
	type ex = results.Expectation
	expected := Sheet("expected results", o.Expected, slices.Concat(byColumns(m, func(x ex) results.By { return x.By }, false), []Field[ex]{
		{"unit", 8, func(x ex) any { return x.Unit.String() }},
		{"cases", 11, func(x ex) any { return x.Cases }},
		{"movements", 11, func(x ex) any { return x.Movements }},
		{"planned (unit)", 11, func(x ex) any { return x.Planned }},
		{"expected (unit)", 11, func(x ex) any { return x.Expected }},
		{"band low (unit)", 11, func(x ex) any { return x.Low }},
		{"band high (unit)", 11, func(x ex) any { return x.High }},
		{"df", 11, func(x ex) any { return x.DF }},
		{"band held (share)", 11, func(x ex) any { return x.Held.Value }},
		{"in words", 60, func(x ex) any { return Text(x.Sentence) }},
		{"warnings", 60, func(x ex) any { return warningText(x.Warnings) }},
	}))
	type un = results.Undecided
	undecided := Sheet("undecided", o.Undecided, slices.Concat(byColumns(m, func(x un) results.By { return x.By }, false), []Field[un]{
		{"difference (ratio)", 11, func(x un) any { return x.Difference }},
		{"low", 11, func(x un) any { return x.Low }},
		{"high", 11, func(x un) any { return x.High }},
		{"could be seen (ratio)", 11, func(x un) any { return x.Detectable }},
		{"more cases with both styles", 11, func(x un) any { return x.MoreCases }},
		{"cases a quarter, slower arm", 11, func(x un) any { return x.CasesPerQuarter }},
		{"quarters", 11, func(x un) any { return x.Quarters }},
		{"in words", 60, func(x un) any { return Text(x.Sentence) }},
	}))
	type pr = results.Precision
	return []document.Sheet{expected, undecided, Sheet("precision", o.Precision, slices.Concat(byColumns(m, func(x pr) results.By { return x.By }, false), []Field[pr]{
		{"cases", 11, func(x pr) any { return x.Cases }}, {"half width (ratio)", 11, func(x pr) any { return x.HalfWidth }}, {"cases for five points either way", 14, func(x pr) any { return x.CasesForFive }},
	}))}
}
