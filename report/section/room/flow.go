package room

import (
	"math"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/chart"
	"shortfall/report/document"
)

// What became of the rows, and what was left out.
var _ = Furnish("flow", Room{
	Exhibits: Exhibits{"completeness": completeness, "excluded": excluded},
	Facts:    flowFacts,
})

type completeDrawing struct{ chart.Completeness }

func (d completeDrawing) Draw(w float64) *chart.Figure {
	d.Width = w
	return d.Figure("One bar a field: records with the field filled, of all records.")
}

// completeness draws fields that are not recorded throughout; those that are
// need no bar.
func completeness(m *Maker, e *results.Exhibit) document.Block {
	c := completeDrawing{chart.Completeness{Title: e.Title}}
	data := document.Table{Title: e.Title, Columns: []document.Column{{Title: "Field"}, {Title: "Recorded", Number: true}, {Title: "Of", Number: true}}}
	for _, f := range m.Results.Completeness {
		if f.Total == 0 || f.Recorded == f.Total && !f.Suppressed {
			continue
		}
		row := chart.CompleteRow{Label: fieldLabel(f), Share: float64(f.Recorded) / float64(f.Total), Text: wording.Count(f.Recorded) + " of " + wording.Count(f.Total)}
		recorded := wording.Count(f.Recorded)
		if f.Suppressed {
			row.Share, row.Text, recorded = math.NaN(), tooFew, tooFew
		}
		c.Rows = append(c.Rows, row)
		data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{Words(row.Label), Words(recorded), Words(wording.Count(f.Total))}})
	}
	if len(c.Rows) == 0 {
		return nil
	}
	return document.Figure{ID: Anchor(e.ID), Title: e.Title + " (fields recorded throughout are left out)", Desc: "One bar a field that is not recorded throughout.", Ends: "These bars lead no further: what a case lacks stands with its records.", Drawings: []document.Drawing{c}, Data: &data}
}

// fieldLabel names a field; those of movements are the many.
func fieldLabel(f results.FieldCount) string {
	if f.Record == "movement" {
		return f.Field
	}
	return f.Record + " " + f.Field
}

// Some is a count, and a dash for none.
func Some(n int) string {
	if n == 0 {
		return wording.Dash
	}
	return wording.Count(n)
}

func excluded(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range m.Results.Excluded {
		cases := Some(x.Cases)
		if x.Suppressed {
			cases = tooFew
		}
		t.add(Words(wording.Capital(x.Reason)), Words(Some(x.Rows)), Words(Some(x.Movements)), Words(cases))
	}
	return orNil(t.Table)
}

func flowFacts(m *Maker) []Fact {
	c := m.Results.Flow.Rows
	out := []Fact{
		{"flow", "rows read", c.Read},
		{"flow", "rows accepted", c.Accepted},
		{"flow", "rows rejected", c.Rejected},
		{"flow", "rows blank", c.Blank},
		{"flow", "files with a later version, not counted", m.Results.Flow.EarlierVersions},
		{"flow", "records superseded", m.Results.Flow.Superseded},
		{"flow", "cases logged", m.Results.Flow.CasesLogged},
	}
	for _, s := range m.Results.Flow.Steps {
		out = append(out, Fact{"flow: movements", s.Title, s.Movements}, Fact{"flow: cases", s.Title, blankIf(s.Suppressed, s.Cases)})
	}
	for _, e := range m.Results.Excluded {
		out = append(out, Fact{"left out: rows", e.Reason, e.Rows}, Fact{"left out: movements", e.Reason, e.Movements}, Fact{"left out: cases", e.Reason, blankIf(e.Suppressed, e.Cases)})
	}
	for _, f := range m.Results.Completeness {
		out = append(out, Fact{"recorded", f.Record + ": " + f.Field, blankIf(f.Suppressed, f.Recorded)}, Fact{"to be recorded", f.Record + ": " + f.Field, blankIf(f.Suppressed, f.Total)})
	}
	return out
}
