package section

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/document"
)

func criteriaTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, c := range m.r.Questions.Reaudit.Criteria {
		name := c.Criterion.Name
		if c.Criterion.Source != "" {
			name += " (" + c.Criterion.Source + ")"
		}
		t.add(words(name), words(Target(c.Criterion)), noted(Observed(c.Criterion, c.Observed), c.Warnings), words(pair(c.Cases, c.Movements)), document.Cell{Text: string(c.Answer), Strong: true})
	}
	return orNil(t.Table)
}

func changeTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, c := range m.r.Questions.Reaudit.Changes {
		t.group(fmt.Sprintf("%v: %s", c.Change.Month, c.Change.Description))
		k := m.criterion(c.Criterion)
		t.add(words(c.Criterion), words(measure(k, c.ValueBefore.Value)), words(measure(k, c.ValueAfter.Value)), words(versus(c.Before.Cases, c.After.Cases)), noted(changeText(k, c.Difference), c.Warnings), words(changeText(k, c.Step)))
	}
	return orNil(t.Table)
}

func (m *maker) criterion(name string) results.Criterion {
	for _, c := range m.r.Questions.Reaudit.Criteria {
		if c.Criterion.Name == name {
			return c.Criterion
		}
	}
	return results.Criterion{}
}

func changeText(k results.Criterion, d results.Difference) string {
	if u := MeasureUnit(k); u != casebook.NoUnit {
		return wording.FineInterval(d.Difference, d.Low, d.High, u)
	}
	return Points(d)
}

func actionTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, a := range m.r.Questions.Reaudit.Actions {
		t.add(words(wording.Capital(a.What)), words(a.Criterion), words(a.Owner), words(a.Due.String()), words(a.Reaudit.String()))
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return orNil(t.Table)
}

type runDrawing struct{ chart.RunChart }

func (d runDrawing) Draw(w float64) *chart.Figure {
	d.Width = w
	return d.Figure(d.Title)
}

// indexAfter reads the number behind the last hyphen of an exhibit's id.
func indexAfter(id string) int {
	n, err := strconv.Atoi(id[strings.LastIndex(id, "-")+1:])
	if err != nil {
		return -1
	}
	return n
}

// runChart draws one criterion by quarter.
func runChart(m *maker, e *results.Exhibit) document.Block {
	i := indexAfter(e.ID)
	if i < 0 || i >= len(m.r.Questions.Reaudit.Criteria) {
		return nil
	}
	c := &m.r.Questions.Reaudit.Criteria[i]
	k := c.Criterion
	d := runDrawing{chart.RunChart{Title: e.Title, Share: MeasureUnit(k) == casebook.NoUnit, Centre: number(c.Chart.Centre), Target: math.NaN(), YLabel: measureWords(k)}}
	d.Label = func(v float64) string {
		if MeasureUnit(k) != casebook.NoUnit {
			return wording.Fixed(results.Number(v), 1)
		}
		return wording.Whole(results.Number(v))
	}
	if k.AtMost != nil {
		d.Target = *k.AtMost
	}
	if k.AtLeast != nil {
		d.Target = *k.AtLeast
	}
	data := document.Table{Title: e.Title, Columns: []document.Column{{Title: "Quarter"}, {Title: "Cases", Number: true}, {Title: "Value", Number: true}, {Title: "Limits", Number: true}}}
	at := map[string]int{}
	for j, p := range c.Chart.Points {
		at[p.Quarter] = j
		n := wording.Count(p.Cases)
		if m.set.Shared && p.Cases == 0 {
			n = wording.Dash
		}
		d.Points = append(d.Points, chart.RunPoint{Label: p.Quarter, N: n, Value: number(p.Value), Low: number(p.Low), High: number(p.High), Baseline: p.Baseline, Ringed: p.Breached, Hollow: p.Immature})
		data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{words(p.Quarter), words(n), words(measure(k, p.Value)), words(measure(k, p.Low) + " to " + measure(k, p.High))}})
	}
	for _, x := range c.Chart.Marks {
		if j, ok := at[x.Quarter]; ok {
			d.Marks = append(d.Marks, chart.RunMark{At: j, Text: x.Text})
		}
	}
	if !slices.ContainsFunc(c.Chart.Points, func(p results.RunPoint) bool { return p.Value.OK() }) {
		return nil
	}
	return document.Figure{ID: target(e.ID), Title: e.Title, Sub: document.Text{{Text: k.Name, Quiet: true, Notes: notes(c.Chart.Warnings)}}, Desc: "Values by quarter; the numbers are in the table.", Drawings: []document.Drawing{d}, Data: &data}
}

func measureWords(k results.Criterion) string {
	switch k.Measure {
	case results.OutsideTolerance:
		return "movements outside tolerance, %"
	case results.ExpressionRatio:
		return "achieved, % of planned"
	case results.CasesRefined:
		return "completed cases with a refinement, %"
	}
	return "mean shortfall, " + wording.Unit(MeasureUnit(k))
}

type funnelDrawing struct{ chart.Funnel }

func (d funnelDrawing) Draw(w float64) *chart.Figure {
	d.Width = w
	return d.Figure(d.Title)
}

// fewestUnits is how many clinicians or practices make a funnel worth drawing.
const fewestUnits = 10

func funnel(m *maker, e *results.Exhibit) document.Block {
	fs := chosen(e, m.r.Questions.Funnels)
	if len(fs) != 1 || len(fs[0].Points) < fewestUnits {
		return nil
	}
	f := fs[0]
	d := funnelDrawing{chart.Funnel{Title: e.Title, Target: float64(f.Target), XLabel: "size", YLabel: f.Measure + ", %"}}
	for _, p := range f.Points {
		d.Points = append(d.Points, chart.FunnelPoint{Code: p.Code, Size: number(p.Effective), Value: number(p.Value), Outside: p.Beyond95, Beyond: p.Beyond998})
	}
	for _, x := range f.Limits {
		d.Limits = append(d.Limits, chart.FunnelLimit{Size: number(x.Size), Low95: number(x.Low95), High95: number(x.High95), Low998: number(x.Low998), High998: number(x.High998)})
	}
	return document.Figure{ID: target(e.ID), Title: e.Title, Desc: f.Reading, Drawings: []document.Drawing{d}}
}

// funnelTable lists units by code, in order of code.
func funnelTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, f := range chosen(e, m.r.Questions.Funnels) {
		if f.Suppressed {
			continue
		}
		t.group(wording.Capital(f.Measure) + ", by " + f.Units)
		for _, p := range f.Points {
			where := "inside"
			switch {
			case p.Beyond998:
				where = "outside 99.8 %"
			case p.Beyond95:
				where = "outside 95 %"
			}
			t.add(words(p.Code), words(wording.Count(p.Cases)), words(pair(p.Events, p.Total)), words(wording.Whole(p.Value)), words(where))
		}
	}
	return orNil(t.Table)
}
