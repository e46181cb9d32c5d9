package section

import (
	"fmt"
	"math"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/chart"
	"shortfall/report/document"
	"shortfall/report/section/room"
)

// pageOne is the finding, all directions, where plans fell short, what it cost
// and what to decide, on one page.
func (m *maker) pageOne(pages Pages) document.Section {
	f := m.front
	s := document.Section{ID: "page-one", Title: f.Headline, Over: []string{Title(m.Results) + ": clinic audit", f.Over}, To: m.first("flow-short"), Compact: true, Single: true}
	add := func(bs ...document.Block) { s.Blocks = append(s.Blocks, bs...) }
	under := document.Words(f.Under)
	if to := m.ofComparison(); to != "" {
		where := " ("
		if to == "readings" {
			where = " (Comparison and checks: "
		}
		under = document.Join(under, document.Words(where), document.Ref(to), document.Words(")"))
	}
	add(document.Para{Text: under})
	for _, w := range m.Results.Warnings {
		if w.ID == results.ListApart { // what is said of cases and courses rests on other patients
			add(document.Para{Role: document.Caution, Text: document.Join(document.Strong(wording.Sentence(w.Text)), document.Words(" "+wording.Sentence(w.Remedy)))})
		}
	}
	if len(f.Dots.Groups) > 0 {
		add(m.dots())
	}
	if fig, ok := m.arches("arches-one", 2, true); ok {
		add(fig)
	}
	if fig, ok := m.flow(); ok && m.nothingMeasured() { // why nothing is left
		add(fig)
	}
	if fig, ok := m.refined(); ok {
		add(fig)
	}
	add(m.decide())
	if p, ok := m.recordNext(); ok {
		add(p)
	}
	add(m.cautions(pages))
	if m.nothingMeasured() {
		add(m.notes())
	}
	return s
}

// dots is the figure of paired dots with its numbers.
func (m *maker) dots() document.Figure {
	d := m.front.Dots
	c := chart.Dots{
		Title: d.Title, Software: "software-suggested", Clinician: "clinician-designed", Interval: m.interval(), RowHeight: dotHeight(d), NoInterval: d.NoInterval,
	}
	data := document.Table{Title: d.Title, Columns: m.dotColumns()}
	var desc []string
	for _, g := range d.Groups {
		group := chart.DotGroup{Title: g.Title}
		data.Rows = append(data.Rows, document.Row{Group: document.Strong(g.Title)})
		for _, r := range g.Rows {
			row, words := m.dotRow(r)
			group.Rows = append(group.Rows, row)
			desc = append(desc, row.Title)
			data.Rows = append(data.Rows, words)
		}
		c.Groups = append(c.Groups, group)
	}
	c.Desc = strings.Join(desc, ". ") + "."
	fig := document.Figure{ID: "dots", Title: d.Title, Sub: document.Quiet(d.Sub), To: m.ofComparison(), Desc: c.Desc, Drawings: []document.Drawing{c}, Data: room.OrNoData(&data)}
	return fig
}

// dotHeight in mm is that of a row; few rows have room.
func dotHeight(d results.FrontDots) float64 {
	if rowsOf(d) <= fewRows {
		return 6.5
	}
	return 4.75
}

func rowsOf(d results.FrontDots) (n int) {
	for _, g := range d.Groups {
		n += len(g.Rows)
	}
	return n
}

// dotColumns are those of the numbers behind the dots.
func (m *maker) dotColumns() []document.Column {
	if !m.comparedSomething() {
		return []document.Column{{Title: "Direction"}, {Title: "Mean of all teeth, % (" + m.interval() + ")", Number: true}, {Title: "Why not compared"}}
	}
	return []document.Column{
		{Title: "Direction"},
		{Title: "Patients with both", Number: true},
		{Title: "Software-suggested %", Number: true},
		{Title: "Clinician-designed %", Number: true},
		{Title: "Difference, points (" + m.interval() + ")", Number: true},
		{Title: "In mm or °", Number: true},
		{Title: "Reading"},
	}
}

// apartCells are those of a direction in which the styles are not compared.
func (m *maker) apartCells(r results.FrontRow, row *chart.DotRow) []document.Cell {
	name := document.Cell{Text: r.Name, Datum: row.ID, To: m.ofDirection(&r)}
	if !m.comparedSomething() {
		return []document.Cell{name, {Text: row.PooledText}, {Text: r.Reason}}
	}
	reading := "not compared: " + r.Reason
	if r.Reason == "" {
		reading = "not compared"
	}
	return []document.Cell{name, {}, {}, {}, {}, {}, {Text: reading + "; mean of all teeth " + row.PooledText}}
}

// moveOf draws the direction of a row, and both ways where sheets left it open.
func moveOf(r results.FrontRow) chart.Move {
	move := room.Move(r.By.Direction)
	if r.Unstated {
		move.Sign = 0
	}
	return move
}

func (m *maker) dotRow(r results.FrontRow) (chart.DotRow, document.Row) {
	if r.MeanLow >= r.MeanHigh { // results of older versions have none
		r.MeanLow, r.MeanHigh = results.Number(math.NaN()), results.Number(math.NaN())
	}
	row := chart.DotRow{
		ID: room.Key(r.By.Direction), Move: moveOf(r), Name: r.Name, Strong: r.Clear,
		Pair: r.Difference.OK() && r.Software.OK(), Software: room.Number(r.Software), Clinician: room.Number(r.Clinician), Pooled: room.Number(r.Mean),
		Gap: room.Number(r.Difference), Low: room.Number(r.MeanLow), High: room.Number(r.MeanHigh),
		SoftwareText: wording.Whole(r.Software), ClinicianText: wording.Whole(r.Clinician), PooledText: room.Estimate(r.Mean, r.MeanLow, r.MeanHigh),
		Difference: wording.Points(r.Difference), Limits: wording.PointLimits(r.Low, r.High),
		Amount: wording.SignedFine(r.Amount, r.By.Axis.Unit()), Reason: r.Reason,
	}
	if row.Pair {
		row.Low, row.High = room.Number(r.Low), room.Number(r.High)
		row.SoftwareText, row.ClinicianText = pairTexts(r.Software, r.Clinician, r.Difference)
	}
	if c, ok := m.comparison(r.By); ok && row.Pair {
		row.Patients = wording.Count(c.Both)
	}
	if !row.Pair {
		if cell, ok := m.Cells[r.By]; ok && !cell.Suppressed && row.Reason == "" {
			row.Reason = wording.Of(cell.Cases, "patient")
		}
		if r.Mean.OK() && !r.MeanLow.OK() {
			row.PooledText += " (" + wording.Of(m.Cells[r.By].Cases, "case") + ")" // too few for an interval
		}
		row.Title = fmt.Sprintf("%s: %s %% of the plan", r.Name, row.PooledText)
		if r.Reason != "" {
			row.Title += ", " + r.Reason
		}
		return row, document.Row{Cells: m.apartCells(r, &row)}
	}
	row.Title = fmt.Sprintf("%s: software-suggested %s, clinician-designed %s %% of the plan, difference %s points (%s)", r.Name, row.SoftwareText, row.ClinicianText, row.Difference, row.Limits)
	reading := "no clear difference"
	if r.Clear {
		reading = "clear difference"
	}
	return row, document.Row{Cells: []document.Cell{
		{Text: r.Name, Strong: r.Clear, Datum: row.ID, To: m.ofDirection(&r)}, {Text: row.Patients}, {Text: row.SoftwareText}, {Text: row.ClinicianText}, {Text: row.Difference + " (" + row.Limits + ")", Strong: r.Clear}, {Text: row.Amount}, {Text: reading},
	}}
}

// pairTexts are two values in whole percent that stand apart by their difference in whole
// points: of two that do not, the one nearer to a half is rounded the other way.
func pairTexts(a, b, difference results.Number) (string, string) {
	x, y, d := 100*float64(a), 100*float64(b), math.Round(100*float64(difference))
	p, q := math.Round(x), math.Round(y)
	if off := q - p - d; math.Abs(off) == 1 {
		if math.Abs(x-p) > math.Abs(y-q) {
			p += off
		} else {
			q -= off
		}
	}
	return wording.Whole(results.Number(p / 100)), wording.Whole(results.Number(q / 100))
}

// refined is the bar of refinements.
func (m *maker) refined() (document.Figure, bool) {
	f, words := m.Results.Refinements, m.front.Refined
	if words.Title == "" {
		return document.Figure{}, false
	}
	to := m.first(room.Anchor("refinements.table"), "refinements", "cost")
	c := chart.Segments{Title: words.Title, Desc: words.Sub + "."}
	data := document.Table{Title: words.Title, Columns: []document.Column{{Title: "Refinements"}, {Title: "Completed cases", Number: true}}}
	for _, b := range f.Distribution {
		if b.Suppressed {
			return document.Figure{}, false // a bar with a piece missing would tell the piece
		}
		label := wording.Count(b.Cases) + "\u00a0" + times(b.Label)
		c.Parts = append(c.Parts, chart.Segment{ID: "refinements " + b.Label, Title: label, N: b.Cases, Label: label})
		c.Desc += " " + label + "."
		data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{{Text: b.Label, Datum: "refinements " + b.Label, To: to}, {Text: wording.Count(b.Cases)}}})
	}
	sub := words.Sub
	if words.Below != "" {
		sub = words.Below
	}
	return document.Figure{ID: "refined", Title: words.Title, Sub: document.Quiet(sub), To: m.first("annex-refinements", "cost"), Desc: c.Desc, Drawings: []document.Drawing{c}, Data: &data}, true
}

// times words a number of refinements as a label.
func times(label string) string {
	if w, ok := map[string]string{"0": "none", "1": "one", "2": "two", "3": "three", "4+": "four or more"}[label]; ok {
		return w
	}
	return label
}

// decide leaves room for who does it and by when.
func (m *maker) decide() document.Table {
	t := document.Table{ToFill: true, Columns: []document.Column{{Title: "To decide", Weight: 10}, {Title: "Owner", Weight: 1.6}, {Title: "By", Weight: 1}}}
	actions := m.Results.Questions.Reaudit.Actions
	for i, what := range m.front.Decide {
		row := document.Row{Cells: []document.Cell{{Text: what}, {}, {}}}
		if i < len(actions) {
			row.Cells[1].Text, row.Cells[2].Text = actions[i].Owner, actions[i].Due.String()
		}
		t.Rows = append(t.Rows, row)
	}
	other := "Other:" // an empty line alone looks unfinished
	for len(t.Rows) < m.linesToFill() {
		t.Rows = append(t.Rows, document.Row{Cells: []document.Cell{{Text: other}, {}, {}}})
		other = ""
	}
	return t
}

// linesToFill are the least lines to write on: more where the page has few figures.
func (m *maker) linesToFill() int {
	lines := 2
	if rowsOf(m.front.Dots) <= fewRows {
		lines += 3
	}
	if _, ok := m.refined(); !ok {
		lines++
	}
	if m.nothingMeasured() {
		lines += 5
	} else if _, ok := m.arches("arches-one", 2, true); !ok {
		lines += 5
	}
	return lines
}

// fewRows of directions leave room on page one.
const fewRows = 5

// recordNext says what to write down.
func (m *maker) recordNext() (document.Para, bool) {
	if len(m.front.Record) == 0 {
		return document.Para{}, false
	}
	text := document.Strong("For the next audit: ")
	for i, what := range m.front.Record {
		if i > 0 {
			text = document.Join(text, document.Words("; "))
		}
		text = document.Join(text, document.Words(what))
	}
	text = document.Join(text, document.Words("."))
	if to := m.first(room.Anchor("flow.completeness")); to != "" && strings.ContainsAny(text.Plain(), "0123456789") {
		text = document.Join(text, document.Words(" ("), document.Ref(to), document.Words(")"))
	}
	return document.Para{Text: text}, true
}

func (m *maker) comparedSomething() bool {
	for _, g := range m.front.Dots.Groups {
		for _, r := range g.Rows {
			if r.Difference.OK() {
				return true
			}
		}
	}
	return false
}

func (m *maker) cautions(pages Pages) document.Para {
	var parts []string
	for _, c := range m.Results.Cautions {
		parts = append(parts, wording.Sentence(c))
	}
	text := document.Join(document.Strong("Cautions. "), document.Words(strings.Join(parts, " ")))
	if pages == One {
		text = document.Join(text, document.Quiet(" Methods, checks, tables and sources: the full report, the workbook and the results file."))
	}
	return document.Para{Role: document.Caution, Text: text}
}
