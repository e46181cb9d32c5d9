package room

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

// Criteria, run charts, changes of protocol and actions.
var _ = Furnish("cycle", Room{
	Exhibits: Exhibits{"criteria": criteriaTable, "run": runChart, "changes": changeTable, "actions": actionTable},
	Sheets:   cycleSheets,
})

func criteriaTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, c := range m.Results.Questions.Reaudit.Criteria {
		name := c.Criterion.Name
		if c.Criterion.Source != "" {
			name += " (" + c.Criterion.Source + ")"
		}
		t.add(Words(name), Words(Target(c.Criterion)), noted(Observed(c.Criterion, c.Observed), c.Warnings), Words(pair(c.Cases, c.Movements)), document.Cell{Text: string(c.Answer), Strong: true})
	}
	return orNil(t.Table)
}

func changeTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, c := range m.Results.Questions.Reaudit.Changes {
		t.group(fmt.Sprintf("%v: %s", c.Change.Month, c.Change.Description))
		k := m.criterion(c.Criterion)
		t.add(Words(c.Criterion), Words(measure(k, c.ValueBefore.Value)), Words(measure(k, c.ValueAfter.Value)), Words(versus(c.Before.Cases, c.After.Cases)), noted(changeText(k, c.Difference), c.Warnings), Words(changeText(k, c.Step)))
	}
	return orNil(t.Table)
}

func (m *Maker) criterion(name string) results.Criterion {
	for _, c := range m.Results.Questions.Reaudit.Criteria {
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

func actionTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, a := range m.Results.Questions.Reaudit.Actions {
		t.add(Words(wording.Capital(a.What)), Words(a.Criterion), Words(a.Owner), Words(a.Due.String()), Words(a.Reaudit.String()))
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
func runChart(m *Maker, e *results.Exhibit) document.Block {
	i := indexAfter(e.ID)
	if i < 0 || i >= len(m.Results.Questions.Reaudit.Criteria) {
		return nil
	}
	c := &m.Results.Questions.Reaudit.Criteria[i]
	k := c.Criterion
	d := runDrawing{chart.RunChart{Title: e.Title, Share: MeasureUnit(k) == casebook.NoUnit, Centre: Number(c.Chart.Centre), Target: math.NaN(), YLabel: measureWords(k)}}
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
		if p.Suppressed {
			n = wording.Dash
		}
		d.Points = append(d.Points, chart.RunPoint{Label: p.Quarter, N: n, Value: Number(p.Value), Low: Number(p.Low), High: Number(p.High), Baseline: p.Baseline, Ringed: p.Breached, Hollow: p.Immature})
		data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{Words(p.Quarter), Words(n), Words(measure(k, p.Value)), Words(measure(k, p.Low) + " to " + measure(k, p.High))}})
	}
	for _, x := range c.Chart.Marks {
		if j, ok := at[x.Quarter]; ok {
			d.Marks = append(d.Marks, chart.RunMark{At: j, Text: x.Text})
		}
	}
	if !slices.ContainsFunc(c.Chart.Points, func(p results.RunPoint) bool { return p.Value.OK() }) {
		return nil
	}
	return document.Figure{ID: Anchor(e.ID), Title: e.Title, Sub: document.Text{{Text: k.Name, Quiet: true, Notes: Notes(c.Chart.Warnings)}}, Desc: "Values by quarter; the numbers are in the table.", Drawings: []document.Drawing{d}, Data: &data}
}

// quarterly is a point of a run chart with the criterion it belongs to.
type quarterly struct {
	criterion string
	results.RunPoint
	centre results.Number
}

func cycleSheets(m *Maker) []document.Sheet {
	r := &m.Results.Questions.Reaudit
	type crit = results.CriterionResult
	criteria := Sheet("criteria", r.Criteria, slices.Concat([]Field[crit]{
		{"criterion", 40, func(c crit) any { return c.Criterion.Name }},
		{"source", 30, func(c crit) any { return Text(c.Criterion.Source) }},
		{"measure", 24, func(c crit) any { return string(c.Criterion.Measure) }},
		{"at most", 11, func(c crit) any { return bound(c.Criterion.AtMost) }},
		{"at least", 11, func(c crit) any { return bound(c.Criterion.AtLeast) }},
		{"cases", 11, func(c crit) any { return c.Cases }},
		{"movements", 11, func(c crit) any { return c.Movements }},
	}, spreads("observed", func(c crit) results.Spread { return c.Observed }), []Field[crit]{
		{"answer", 16, func(c crit) any { return string(c.Answer) }}, {"reading", 60, func(c crit) any { return Text(c.Reading) }}, {"warnings", 60, func(c crit) any { return warningText(c.Warnings) }},
	}))
	points := []quarterly{}
	for _, c := range r.Criteria {
		for _, p := range c.Chart.Points {
			points = append(points, quarterly{c.Criterion.Name, p, c.Chart.Centre})
		}
	}
	trend := Sheet("trend", points, []Field[quarterly]{
		{"criterion", 40, func(p quarterly) any { return p.criterion }},
		{"quarter", 12, func(p quarterly) any { return p.Quarter }},
		{"cases", 11, func(p quarterly) any { return p.Cases }},
		{"movements", 11, func(p quarterly) any { return p.Movements }},
		{"value", 11, func(p quarterly) any { return p.Value }},
		{"control limit low", 11, func(p quarterly) any { return p.Low }},
		{"control limit high", 11, func(p quarterly) any { return p.High }},
		{"centre", 11, func(p quarterly) any { return p.centre }},
		{"baseline", 11, func(p quarterly) any { return p.Baseline }},
		{"run rule broken", 11, func(p quarterly) any { return p.Breached }},
	})
	type change = results.ChangeResult
	return []document.Sheet{criteria, trend, Sheet("protocol changes", r.Changes, slices.Concat([]Field[change]{
		{"from month", 12, func(c change) any { return c.Change.Month.String() }},
		{"change", 40, func(c change) any { return c.Change.Description }},
		{"criterion", 40, func(c change) any { return c.Criterion }},
		{"cases before", 11, func(c change) any { return c.Before.Cases }},
		{"cases after", 11, func(c change) any { return c.After.Cases }},
	}, spreads("before", func(c change) results.Spread { return c.ValueBefore }), spreads("after", func(c change) results.Spread { return c.ValueAfter }),
		differences("difference", func(c change) results.Difference { return c.Difference }), differences("slope before, a quarter", func(c change) results.Difference { return c.SlopeBefore }),
		differences("step", func(c change) results.Difference { return c.Step }), differences("change of slope", func(c change) results.Difference { return c.SlopeChange }), []Field[change]{
			{"reading", 60, func(c change) any { return Text(c.Reading) }}, {"warnings", 60, func(c change) any { return warningText(c.Warnings) }},
		}))}
}

// bound leaves a cell blank where a criterion has no such target.
func bound(v *float64) any {
	if v == nil {
		return nil
	}
	return *v
}
