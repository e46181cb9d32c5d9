package section

import (
	"math"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/chart"
	"shortfall/report/document"
)

// What became of the rows, and what was left out.
var _ = furnish("flow", room{
	exhibits: exhibits{"completeness": completeness, "excluded": excluded},
	facts:    flowFacts,
})

type completeDrawing struct{ chart.Completeness }

func (d completeDrawing) Draw(w float64) *chart.Figure {
	d.Width = w
	return d.Figure("One bar a field: records with the field filled, of all records.")
}

// completeness draws fields that are not recorded throughout; those that are
// need no bar.
func completeness(m *maker, e *results.Exhibit) document.Block {
	c := completeDrawing{chart.Completeness{Title: e.Title}}
	data := document.Table{Title: e.Title, Columns: []document.Column{{Title: "Field"}, {Title: "Recorded", Number: true}, {Title: "Of", Number: true}}}
	for _, f := range m.r.Completeness {
		if f.Total == 0 || f.Recorded == f.Total && !f.Suppressed {
			continue
		}
		row := chart.CompleteRow{Label: fieldLabel(f), Share: float64(f.Recorded) / float64(f.Total), Text: wording.Count(f.Recorded) + " of " + wording.Count(f.Total)}
		recorded := wording.Count(f.Recorded)
		if f.Suppressed {
			row.Share, row.Text, recorded = math.NaN(), tooFew, tooFew
		}
		c.Rows = append(c.Rows, row)
		data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{words(row.Label), words(recorded), words(wording.Count(f.Total))}})
	}
	if len(c.Rows) == 0 {
		return nil
	}
	return document.Figure{ID: target(e.ID), Title: e.Title + " (fields recorded throughout are left out)", Desc: "One bar a field that is not recorded throughout.", Drawings: []document.Drawing{c}, Data: &data}
}

// fieldLabel names a field; those of movements are the many.
func fieldLabel(f results.FieldCount) string {
	if f.Record == "movement" {
		return f.Field
	}
	return f.Record + " " + f.Field
}

func some(n int) string {
	if n == 0 {
		return wording.Dash
	}
	return wording.Count(n)
}

func excluded(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range m.r.Excluded {
		cases := some(x.Cases)
		if x.Suppressed {
			cases = tooFew
		}
		t.add(words(wording.Capital(x.Reason)), words(some(x.Rows)), words(some(x.Movements)), words(cases))
	}
	return orNil(t.Table)
}

func flowFacts(m *maker) []fact {
	c := m.r.Flow.Rows
	out := []fact{
		{"flow", "rows read", c.Read},
		{"flow", "rows accepted", c.Accepted},
		{"flow", "rows rejected", c.Rejected},
		{"flow", "rows blank", c.Blank},
		{"flow", "files with a later version, not counted", m.r.Flow.EarlierVersions},
		{"flow", "records superseded", m.r.Flow.Superseded},
		{"flow", "cases logged", m.r.Flow.CasesLogged},
	}
	for _, s := range m.r.Flow.Steps {
		out = append(out, fact{"flow: movements", s.Title, s.Movements}, fact{"flow: cases", s.Title, blankIf(s.Suppressed, s.Cases)})
	}
	for _, e := range m.r.Excluded {
		out = append(out, fact{"left out: rows", e.Reason, e.Rows}, fact{"left out: movements", e.Reason, e.Movements}, fact{"left out: cases", e.Reason, blankIf(e.Suppressed, e.Cases)})
	}
	for _, f := range m.r.Completeness {
		out = append(out, fact{"recorded", f.Record + ": " + f.Field, blankIf(f.Suppressed, f.Recorded)}, fact{"to be recorded", f.Record + ": " + f.Field, blankIf(f.Suppressed, f.Total)})
	}
	return out
}
