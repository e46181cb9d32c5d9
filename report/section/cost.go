package section

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/section/room"
)

// costPage is what it cost, what changed, who is in it, and what comes next.
func (m *maker) costPage(pages Pages) document.Section {
	p := m.front.Cost
	s := document.Section{ID: "cost", Title: p.Title, Apart: true, Follow: true, Compact: true, Single: true}
	add := func(b document.Block, ok bool) {
		if ok {
			s.Blocks = append(s.Blocks, b)
		}
	}
	s.Blocks = append(s.Blocks, m.page(p)...)
	bars, ok := m.refinementBars()
	add(m.notes(), ok) // where the figure has to go to the next page
	add(bars, ok)
	curve, ok := m.exhibit(curveID)
	add(curve, ok)
	if m.front.Change.Title != "" { // which has a page of its own, and these stand there
		s.Blocks = append(s.Blocks, m.notes())
		return s
	}
	s.Blocks = append(append(append(s.Blocks, m.standing()...), m.recorded()...), m.notes(), m.where(pages))
	return s
}

// refinementBars are the refinements of completed cases by main style.
func (m *maker) refinementBars() (document.Figure, bool) {
	f := m.Results.Refinements
	if m.front.ByStyle.Title == "" || f.Cases == 0 || slices.ContainsFunc(f.Distribution, func(b results.Bar) bool { return b.Suppressed }) {
		return document.Figure{}, false // bars with a piece missing say too little
	}
	c := chart.Bars{Desc: "Bars of cases by number of refinements.", XLabel: "refinements after the first set of aligners; heights are shares, figures on the bars are cases"}
	data := document.Table{Title: "Refinements by main style of the first attachments", Columns: []document.Column{{Title: "Main style"}, {Title: "Cases", Number: true}}}
	for _, b := range f.Distribution {
		data.Columns = append(data.Columns, document.Column{Title: b.Label, Number: true})
	}
	put := func(of, title string, cases int, bars []results.Bar, mk chart.Marker, note string) {
		p := chart.BarPanel{Title: title, Note: wording.Of(cases, "case") + note, Marker: mk}
		row := document.Row{Cells: []document.Cell{{Text: title}, {Text: wording.Count(cases)}}}
		for _, b := range bars {
			bar, text := chart.Bar{ID: of + "refinements " + b.Label, Label: b.Label, Count: b.Cases, Hidden: b.Suppressed}, "too few"
			if !b.Suppressed && b.Share.Value.OK() {
				bar.Share, text = room.Number(b.Share.Value), wording.Count(b.Cases)
			}
			p.Bars = append(p.Bars, bar)
			row.Cells = append(row.Cells, document.Cell{Text: text, Datum: bar.ID})
		}
		c.Panels = append(c.Panels, p)
		for len(row.Cells) < len(data.Columns) {
			row.Cells = append(row.Cells, document.Cell{Text: wording.Dash})
		}
		data.Rows = append(data.Rows, row)
	}
	put("all ", "All completed cases", f.Cases, f.Distribution, chart.Diamond, "")
	for _, x := range f.ByStyle {
		if x.Suppressed || x.Cases == 0 {
			continue
		}
		note := ""
		if x.Rate.Value.OK() {
			note = ", " + wording.Fixed(x.Rate.Value, 1) + " a case"
		}
		put("mainly "+x.Style.String()+" ", wording.Capital(x.Style.String()), x.Cases, x.Distribution, room.Markers[x.Style], note)
	}
	if len(c.Panels) < 3 {
		return document.Figure{}, false // one style is all there is, and page one has the bar of that
	}
	return document.Figure{
		ID: "refinements", Title: m.front.ByStyle.Title, Sub: document.Quiet(m.front.ByStyle.Sub), To: m.first("annex-refinements"),
		Desc: c.Desc, Drawings: []document.Drawing{c}, Data: &data, Below: document.Quiet(m.front.ByStyle.Below),
	}, true
}

// criteria is the table of targets and answers.
func (m *maker) criteria() (document.Table, bool) {
	t := document.Table{ID: "criteria", Title: "Against the practice's own criteria", Columns: []document.Column{
		{Title: "Criterion", Weight: 3}, {Title: "Target", Number: true}, {Title: "Observed (" + m.interval() + ")", Number: true}, {Title: "Cases / movements", Number: true}, {Title: "Answer"},
	}, Below: document.Quiet("Met, or not met, only where the whole interval lies on one side of the target.")}
	for _, c := range m.Results.Questions.Reaudit.Criteria {
		answer := string(c.Answer)
		if c.Answer == results.NotEnoughData {
			answer = "cannot be told: the interval includes the target"
			if !c.Observed.Low.OK() {
				answer = "cannot be told: too few cases"
			}
		}
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{
			{Text: c.Criterion.Name},
			{Text: room.Target(c.Criterion)},
			{Text: room.Observed(c.Criterion, c.Observed), Notes: room.Notes(c.Warnings)},
			{Text: wording.Count(c.Cases) + " / " + wording.Count(c.Movements)},
			{Text: answer, Strong: c.Answer != results.NotEnoughData},
		}})
	}
	return t, len(t.Rows) > 0
}

// actions are those the practice declared, with owner and date.
func (m *maker) actions() (document.Table, bool) {
	t := document.Table{ID: "actions", Title: "Actions", Columns: []document.Column{{Title: "Action", Weight: 4}, {Title: "Criterion", Weight: 2}, {Title: "Owner"}, {Title: "Due"}, {Title: "Re-audit"}}}
	for _, a := range m.Results.Questions.Reaudit.Actions {
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{{Text: wording.Capital(a.What)}, {Text: a.Criterion}, {Text: a.Owner}, {Text: a.Due.String()}, {Text: a.Reaudit.String()}}})
	}
	return t, len(t.Rows) > 0
}

// flow is the way from rows to findings.
func (m *maker) flow() (document.Figure, bool) {
	f := m.front.Flow
	if len(f.Steps) == 0 {
		return document.Figure{}, false
	}
	c := chart.Boxes{Title: f.Title}
	data := document.Table{Title: f.Title, Columns: []document.Column{{Title: "Step"}, {Title: "Count"}, {Title: "Leaves before the next step"}}}
	var desc []string
	for _, s := range f.Steps {
		step := chart.FlowStep{ID: "flow rows", Count: s.Count, Title: s.Title, Left: s.Left}
		if s.Step > 0 {
			step.ID, step.LeftID = fmt.Sprintf("flow %d", s.Step), fmt.Sprintf("left %d", s.Step)
		}
		c.Steps = append(c.Steps, step)
		left := strings.Join(s.Left, "; ")
		desc = append(desc, s.Count+" "+s.Title)
		data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{{Text: s.Title, Datum: step.ID}, {Text: s.Count}, {Text: left, Datum: step.LeftID}}})
	}
	c.Desc = strings.Join(desc, ", then ") + "."
	return document.Figure{ID: "flow-short", Title: f.Title, Sub: document.Quiet(f.Sub), To: m.first("annex-flow"), Desc: c.Desc, Drawings: []document.Drawing{c}, Data: &data}, true
}

// where says what is not on these pages, and where it is.
func (m *maker) where(pages Pages) document.Para {
	text := "Methods, definitions, settings, sources and all tables: full report, web page, workbook, results file."
	if pages == Full {
		text = "Methods, definitions, settings and sources follow; what is not on paper: web page, workbook, results file."
	}
	return document.Para{Role: document.Minor, Text: document.Words(text)}
}
