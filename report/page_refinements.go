package report

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
)

// refined is section 5: what it cost.
func (l *layout) refined() {
	l.d.Section("section-refinements", "What it cost", 100)
	f := l.r.Refinements
	if f.Cases == 0 {
		l.d.Para(11, nil, paper.T("No finished case is on record, so refinements cannot be counted."))
	} else {
		l.refinementWords(f)
		l.refinementFigure(f)
	}
	l.replanned()
	l.losses()
}

func (l *layout) refinementWords(f results.Refinements) {
	ids := l.notes(f.Warnings, f.AtLeastOne.Warnings)
	text := fmt.Sprintf("The %s needed %s refinements on average", wording.Of(f.Cases, "finished case"), wording.Fixed(f.Mean.Value, 1))
	if f.Mean.Low.OK() && f.Mean.High.OK() {
		text += fmt.Sprintf(" (%s CI %s to %s)", l.level(), wording.Fixed(f.Mean.Low, 1), wording.Fixed(f.Mean.High, 1))
	}
	text += fmt.Sprintf("; %s needed at least one", wording.Share(f.AtLeastOne.Numerator, f.AtLeastOne.Denominator))
	if f.AtLeastOne.Low.OK() && f.AtLeastOne.High.OK() {
		text += fmt.Sprintf(" (%s CI %s %%)", l.level(), wording.Limits(f.AtLeastOne.Low, f.AtLeastOne.High))
	}
	l.d.Para(11, ids, paper.T(text+paper.Marks(ids)+"."))
	if f.RateRatio.Difference.OK() {
		l.d.Space(0.5)
		l.d.Para(11, nil, paper.T(tidyP(fmt.Sprintf("Cases whose initial features were mainly clinician-designed had %s times the refinements of those with mainly software-suggested ones, adjusted for %s (%s CI %s to %s; P = %s); unadjusted %s times (%s to %s). It is an association between cases, not an effect of the feature.",
			wording.Fixed(f.RateRatio.Difference, 2), list(f.Adjusters), l.level(), wording.Fixed(f.RateRatio.Low, 2), wording.Fixed(f.RateRatio.High, 2), wording.P(f.RateRatio.P),
			wording.Fixed(f.RateUnadj.Difference, 2), wording.Fixed(f.RateUnadj.Low, 2), wording.Fixed(f.RateUnadj.High, 2)))))
	}
	l.d.Space(1)
}

func (l *layout) refinementFigure(f results.Refinements) {
	b := chart.Bars{Title: "Refinements", XLabel: "refinements after the initial course; bars are shares of the panel's cases, figures on them are cases", Width: l.d.Width()}
	b.Panels = append(b.Panels, barPanel("All finished cases", f.Cases, f.Distribution, chart.Diamond, false))
	var ids []int
	for _, s := range f.ByStyle {
		ns := l.notes(s.Warnings)
		ids = union(ids, ns)
		p := barPanel(wording.Capital(wording.Style(s.Style))+paper.Marks(ns), s.Cases, s.Distribution, markers[s.Style], s.Suppressed)
		if !s.Suppressed && s.Rate.Value.OK() {
			p.Note += ", " + wording.Fixed(s.Rate.Value, 1) + " a case"
		}
		b.Panels = append(b.Panels, p)
	}
	l.d.Place(paper.Figure{ID: "refinements", Title: fmt.Sprintf("%s of %s needed at least one refinement; by the main style of the initial features", wording.Share(f.AtLeastOne.Numerator, f.AtLeastOne.Denominator), wording.Of(f.Cases, "finished case")), Chart: b.Figure("Bars of cases by number of refinements."), Notes: ids}, false)
}

func barPanel(title string, n int, bars []results.Bar, m chart.Marker, few bool) chart.BarPanel {
	p := chart.BarPanel{Title: title, Note: wording.Of(n, "case"), Marker: m, Few: few}
	if few {
		p.Note = tooFew
		return p
	}
	for _, bar := range bars {
		p.Labels = append(p.Labels, bar.Label)
		p.Counts = append(p.Counts, bar.Cases)
		p.Hidden = append(p.Hidden, bar.Suppressed)
		v := float64(bar.Share.Value)
		if !bar.Share.Value.OK() || bar.Suppressed {
			v = 0
		}
		p.Shares = append(p.Shares, v)
	}
	return p
}

// shareText is "31 % (17 of 55)".
func shareText(s results.Share, hidden bool) string {
	switch {
	case hidden:
		return tooFew
	case s.Denominator == 0:
		return wording.Dash
	}
	return fmt.Sprintf("%s (%s/%s)", wording.Share(s.Numerator, s.Denominator), wording.Count(s.Numerator), wording.Count(s.Denominator))
}

// styleTable sets one share a style side by side.
type styleTable struct {
	rows  []string
	cells map[string]map[casebook.Style]paper.Cell
}

func (t *styleTable) put(row string, s casebook.Style, c paper.Cell) {
	if t.cells == nil {
		t.cells = map[string]map[casebook.Style]paper.Cell{}
	}
	if t.cells[row] == nil {
		t.rows = append(t.rows, row)
		t.cells[row] = map[casebook.Style]paper.Cell{}
	}
	t.cells[row][s] = c
}

func (t *styleTable) table(id, title, first string, styles []casebook.Style, below ...paper.Run) paper.Table {
	out := paper.Table{ID: id, Title: title, Columns: []paper.Column{{Head: first}}, Below: below}
	for _, s := range styles {
		out.Columns = append(out.Columns, paper.Column{Head: wording.Capital(wording.Style(s)), W: 42, Right: true})
	}
	for _, name := range t.rows {
		row := paper.Row{Cells: []paper.Cell{{Text: name}}}
		for _, s := range styles {
			c, ok := t.cells[name][s]
			if !ok {
				c = paper.Cell{Text: wording.Dash}
			}
			row.Cells = append(row.Cells, c)
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}

func (l *layout) replanned() {
	if len(l.r.Replanned) == 0 {
		return
	}
	var t styleTable
	for _, p := range l.r.Replanned {
		name := "All axes"
		if p.Axis != casebook.NoAxis {
			name = wording.Capital(p.Axis.String())
		}
		t.put(name, p.Style, paper.Cell{Text: shareText(p.Again, p.Suppressed), Notes: l.notes(p.Again.Warnings)})
	}
	l.d.Space(1.5)
	e := l.r.SectionOf("replanned").ExhibitOf("replanned.table")
	l.dense(t.table("table-replanned", e.Title, "Axis", casebook.Styles(), paper.M(strings.Join(e.Notes, " "))))
}

func (l *layout) losses() {
	if len(l.r.Losses) == 0 {
		return
	}
	var t styleTable
	for _, p := range l.r.Losses {
		t.put(wording.Capital(wording.Teeth(p.ToothClass)), p.Style, paper.Cell{Text: shareText(p.Lost, p.Suppressed), Notes: l.notes(p.Lost.Warnings)})
	}
	l.d.Space(1.5)
	l.dense(t.table("table-losses", "Features lost during the course", "Teeth", casebook.Styles()[1:],
		paper.M("Lost / features with the loss recorded. A loss comes after the choice of the feature: it is shown beside the comparisons and never adjusted for.")))
}

// list joins words: "a, b and c".
func list(words []string) string {
	switch n := len(words); n {
	case 0:
		return "nothing"
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " and " + words[n-1]
	}
}

// tidyP turns "P = < 0.001" into "P < 0.001".
func tidyP(s string) string {
	return strings.NewReplacer("P = <\u00a0", "P\u00a0<\u00a0", "P = >\u00a0", "P\u00a0>\u00a0", "P = ", "P\u00a0=\u00a0").Replace(s)
}
