package section

import (
	"fmt"
	"math"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/document"
)

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

func methodError(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range m.r.Repeats {
		u := x.Unit
		pairs := pair(x.Pairs, x.Cases)
		if x.Suppressed {
			pairs = tooFew
		}
		t.add(noted(wording.Unit(u), x.Warnings), words(pairs), words(wording.FineInterval(x.Bias.Value, x.Bias.Low, x.Bias.High, u)), words(wording.P(x.BiasP)),
			words(wording.Fine(x.Dahlberg, u)), words(wording.Fine(x.MethodOfMoments, u)), words(wording.Fixed(x.ICC.Value, 2)), words(wording.Fine(x.SmallestDetectable, u)))
	}
	return orNil(t.Table)
}

func boundTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, b := range m.r.Bounds {
		name, course := words(wording.Capital(wording.Movement(b.By))), words(wording.Course(b.By.Course))
		if b.Suppressed {
			t.fill(name, course, words(tooFew))
			continue
		}
		t.add(name, course, words(pair(b.Cases, b.Movements)), words(wording.Count(b.Missing)), words(wording.Percent(b.Worst)), words(wording.Percent(b.Observed)), words(wording.Percent(b.Best)))
	}
	return orNil(t.Table)
}

func doubtfulTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, x := range chosen(e, m.r.Questions.Doubtful.List) {
		what := fmt.Sprintf("%s, tooth %s, course %d: %v", x.Case, x.Tooth.In(m.set.Notation), x.Course, x.Direction)
		t.add(words(what), words(wording.Fine(x.Planned, x.Unit)), words(wording.Fine(x.Achieved, x.Unit)), words(x.Doubt), words(x.Touches))
	}
	return orNil(t.Table)
}

func unplannedTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, u := range m.r.Unplanned {
		name := words(wording.Capital(u.Axis.String()))
		if u.Suppressed {
			t.fill(name, words(tooFew))
			continue
		}
		t.add(name, words(pair(u.Cases, u.Movements)), words(wording.Amount(u.MeanAbs, u.Unit)), noted(shareText(u.Outside, false), u.Outside.Warnings))
	}
	return orNil(t.Table)
}

// byStyle sets one share a style side by side.
type byStyle struct {
	order []string
	cells map[string]map[casebook.Style]document.Cell
}

func (s *byStyle) put(row string, style casebook.Style, c document.Cell) {
	if s.cells == nil {
		s.cells = map[string]map[casebook.Style]document.Cell{}
	}
	if s.cells[row] == nil {
		s.order = append(s.order, row)
		s.cells[row] = map[casebook.Style]document.Cell{}
	}
	s.cells[row][style] = c
}

func (s *byStyle) table(e *results.Exhibit, styles []casebook.Style) document.Block {
	t := rowsOf{Table: table(e)}
	t.Columns = t.Columns[:1]
	for _, st := range styles {
		t.Columns = append(t.Columns, document.Column{Title: wording.Capital(wording.Style(st)), Number: true})
	}
	for _, name := range s.order {
		row := []document.Cell{words(name)}
		for _, st := range styles {
			c, ok := s.cells[name][st]
			if !ok {
				c = words(wording.Dash)
			}
			row = append(row, c)
		}
		t.add(row...)
	}
	return orNil(t.Table)
}

func replannedTable(m *maker, e *results.Exhibit) document.Block {
	var s byStyle
	for _, p := range m.r.Replanned {
		name := "All axes"
		if p.Axis != casebook.NoAxis {
			name = wording.Capital(p.Axis.String())
		}
		s.put(name, p.Style, noted(shareText(p.Again, p.Suppressed), p.Again.Warnings))
	}
	return s.table(e, casebook.Styles())
}

func lossTable(m *maker, e *results.Exhibit) document.Block {
	var s byStyle
	for _, p := range m.r.Losses {
		s.put(wording.Capital(wording.Teeth(p.ToothClass)), p.Style, noted(shareText(p.Lost, p.Suppressed), p.Lost.Warnings))
	}
	return s.table(e, casebook.Styles()[1:])
}

func lossRates(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, r := range m.r.Questions.LossRates.Rates {
		name := "All attachments"
		switch {
		case r.Style != casebook.NoStyle:
			name = wording.Capital(wording.Style(r.Style))
		case r.Shape != casebook.NoShape:
			name = wording.Capital(r.Shape.String())
		case r.ToothClass != casebook.NoClass:
			name = wording.Capital(wording.Teeth(r.ToothClass))
		}
		if r.Suppressed {
			t.fill(words(name), noted(tooFew, r.Warnings))
			continue
		}
		rate := wording.Fixed(r.Rate.Value, 1)
		if r.Rate.Low.OK() && r.Rate.High.OK() {
			rate += " (" + wording.Fixed(r.Rate.Low, 1) + " to " + wording.Fixed(r.Rate.High, 1) + ")"
		}
		t.add(words(name), words(wording.Count(r.Cases)), words(pair(r.Lost, r.Features)), words(wording.Count(int(math.Round(float64(r.Months))))), noted(rate, r.Warnings))
	}
	return orNil(t.Table)
}
