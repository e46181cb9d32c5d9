package section

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/section/room"
)

// shortPage is where plans fell short: the teeth in their place, and every
// direction with its interval.
func (m *maker) shortPage() document.Section {
	p := m.front.Short
	s := document.Section{ID: "fell-short", Title: p.Title, Apart: true, Compact: true, Single: true}
	s.Blocks = append(s.Blocks, m.page(p)...)
	if fig, ok := m.arches("arches", 3, false); ok {
		s.Blocks = append(s.Blocks, fig)
	}
	if fig, ok := m.twelve(); ok {
		s.Blocks = append(s.Blocks, fig)
	}
	return s
}

// page is the lead and the statements of a page.
func (m *maker) page(p results.FrontPage) (out []document.Block) {
	if p.Lead != "" {
		out = append(out, document.Para{Text: document.Words(p.Lead)})
	}
	for _, x := range p.Statements {
		t := document.Words(x.Text)
		if x.Check != "" {
			t = document.Join(t, document.Quiet(" "+x.Check))
		}
		out = append(out, document.Para{Role: document.Item, Mark: "–", Text: t})
	}
	return out
}

// twelve is the forest of directions.
func (m *maker) twelve() (document.Figure, bool) {
	words := m.front.Directions
	c := chart.Twelve{Title: words.Title, Interval: m.interval()}
	data := document.Table{Title: words.Title, Columns: []document.Column{
		{Title: "Direction"}, {Title: "Achieved, % (" + m.interval() + ")", Number: true}, {Title: "Outside tolerance", Number: true}, {Title: "Cases", Number: true}, {Title: "Movements", Number: true},
	}}
	fig := document.Figure{ID: "directions", Title: words.Title, Sub: document.Quiet(words.Sub), To: m.first(room.Anchor("expression.directions")), Below: document.Quiet(words.Below)}
	var desc []string
	for _, d := range casebook.Directions() {
		cell, ok := m.Cells[results.InFirstSets(d)]
		if !ok || cell.Suppressed || !cell.Estimate.OK() {
			continue
		}
		named := m.named(d)
		row := chart.TwelveRow{
			ID: room.Key(d), Move: moveOf(named), Name: named.Name, Est: room.Number(cell.Estimate), Low: room.Number(cell.Low), High: room.Number(cell.High),
			Text: room.Estimate(cell.Estimate, cell.Low, cell.High), Outside: wording.Percent(cell.OutsideTolerance.Value),
			N: wording.Count(cell.Cases) + " / " + wording.Count(cell.Movements),
		}
		if cell.AverageDiffers {
			row.Patient = wording.Whole(cell.AveragePatient.Value)
		}
		for _, n := range room.Notes(cell.Warnings) {
			row.Notes = append(row.Notes, noteIndex(&fig, n))
		}
		row.Title = fmt.Sprintf("%s: %s %% of the plan, %s of %s outside tolerance, %s", row.Name, room.Expressed(cell), row.Outside, wording.Of(cell.Movements, "movement"), wording.Of(cell.Cases, "case"))
		c.Rows = append(c.Rows, row)
		desc = append(desc, row.Title)
		data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{
			m.toCell(row, cell.By), {Text: room.Expressed(cell), Notes: room.Notes(cell.Warnings)}, {Text: row.Outside}, {Text: wording.Count(cell.Cases)}, {Text: wording.Count(cell.Movements)},
		}})
	}
	if len(c.Rows) == 0 {
		return fig, false
	}
	c.Desc = strings.Join(desc, ". ") + "."
	fig.Desc, fig.Drawings, fig.Data = c.Desc, []document.Drawing{c}, &data
	return fig, true
}

// toCell names a direction and leads to the row of its numbers, where that is printed.
func (m *maker) toCell(row chart.TwelveRow, by results.By) document.Cell {
	name := document.Cell{Text: row.Name, Datum: row.ID}
	name.To = m.first(room.RowID(by))
	return name
}

// noteIndex is where a note stands among those of a figure, each once.
func noteIndex(f *document.Figure, n document.Note) int {
	for i, x := range f.Notes {
		if x == n {
			return i
		}
	}
	f.Notes = append(f.Notes, n)
	return len(f.Notes) - 1
}

// named is the row of page one that shows a direction; where there is none, one with
// its name alone.
func (m *maker) named(d casebook.Direction) results.FrontRow {
	for _, g := range m.front.Dots.Groups {
		for _, r := range g.Rows {
			if r.By.Direction == d {
				return r
			}
		}
	}
	return results.FrontRow{By: results.By{Direction: d}, Name: wording.Capital(d.String())}
}
