package section

import (
	"fmt"
	"strings"

	"shortfall/audit/results/wording"
	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/section/room"
)

// changePage is what the quarter, or what is new since an earlier audit, changed; how the
// practice stands against its targets, and who is in it. It is there where that was asked.
func (m *maker) changePage(pages Pages) (document.Section, bool) {
	p := m.front.Change
	if p.Title == "" {
		return document.Section{}, false
	}
	s := document.Section{ID: "change", Title: p.Title, Apart: true, Follow: true, Compact: true, Single: true, Blocks: m.page(p)}
	if fig, ok := m.changes(); ok {
		s.Blocks = append(s.Blocks, fig)
	}
	s.Blocks = append(append(append(s.Blocks, m.standing()...), m.recorded()...), m.notes(), m.where(pages))
	return s, true
}

// standing is how the practice stands against its targets, who is in the audit, and what
// comes next.
func (m *maker) standing() (out []document.Block) {
	if t, ok := m.criteria(); ok {
		out = append(out, t)
	}
	if f, ok := m.flow(); ok && !m.nothingMeasured() { // else it is on page one
		out = append(out, f)
	}
	if t, ok := m.actions(); ok {
		out = append(out, t)
	}
	return out
}

// changes is the figure of every direction before and now.
func (m *maker) changes() (document.Figure, bool) {
	words := m.front.Changes
	if len(words.Rows) == 0 {
		return document.Figure{}, false
	}
	c := chart.Change{Title: words.Title, Earlier: "before", Then: words.Now, Interval: m.interval()}
	data := document.Table{Title: words.Title, Columns: []document.Column{
		{Title: "Direction"},
		{Title: "Before, %", Number: true},
		{Title: words.Now + ", %", Number: true},
		{Title: "Difference, points (" + m.interval() + ")", Number: true},
		{Title: "Cases before", Number: true},
		{Title: "Cases in " + words.Now, Number: true},
	}}
	table := m.first(room.Anchor("quarter.table"), room.Anchor("since.table"))
	var desc []string
	for _, r := range words.Rows {
		row := chart.ChangeRow{
			ID: "change " + room.Key(r.By.Direction) + " " + string(r.By.Course), Move: moveOf(m.named(r.By.Direction)), Name: r.Name, Strong: r.Changed,
			Before: room.Number(r.Before), Now: room.Number(r.Now), Low: room.Number(r.Low), High: room.Number(r.High),
			Difference: wording.Points(r.Change), Limits: wording.PointLimits(r.ChangeLow, r.ChangeHigh),
			Cases: wording.Count(r.CasesBefore) + ", " + wording.Count(r.CasesNow),
		}
		difference := row.Difference + " (" + row.Limits + ")"
		row.Title = fmt.Sprintf("%s: %s %% of the plan before, %s points in %s", row.Name, wording.Whole(r.Before), difference, words.Now)
		desc = append(desc, row.Title)
		c.Rows = append(c.Rows, row)
		data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{
			{Text: row.Name, Datum: row.ID, To: table},
			{Text: wording.Whole(r.Before)},
			{Text: wording.Whole(r.Now)},
			{Text: difference, Strong: r.Changed},
			{Text: wording.Count(r.CasesBefore)},
			{Text: wording.Count(r.CasesNow)},
		}})
	}
	c.Desc = strings.Join(desc, ". ") + "."
	return document.Figure{
		ID: "changes", Title: words.Title, Sub: document.Quiet(words.Sub), To: table, Below: document.Quiet(words.Below),
		Desc: c.Desc, Drawings: []document.Drawing{c}, Data: &data,
	}, true
}
