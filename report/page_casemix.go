package report

import (
	"fmt"
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/paper"
)

// caseMix says how far the style comparisons hang on how they were made.
func (l *layout) caseMix() {
	c := l.r.Questions.CaseMix
	if len(c.Matched) == 0 && len(c.Sensitivity) == 0 {
		return
	}
	l.d.Heading("Does the answer hang on how it was computed?", 40)
	if n := len(c.Matched); n > 0 {
		agree, made := 0, 0
		for _, m := range c.Matched {
			if m.Matched.Difference.OK() && m.Matched.Low.OK() {
				made++
				agree += btoi(inside(m.Model.Difference, m.Matched.Low, m.Matched.High))
			}
		}
		l.d.Para(11, nil, paper.T("Beside the model stands a plainer comparison inside strata of like movements (tooth class, size of plan by doublings, wear). "+
			"Inside a doubling the plans of the styles still differ in size, so the strata leave some confounding by size of plan: they are supplementary and settle nothing by themselves. "+
			"The model's difference lies inside the matched interval in "+wording.Count(agree)+" of "+wording.Of(made, "cell")+": "), l.d.Ref("table-matched"), paper.T("."))
		l.d.Space(0.5)
	}
	for i, s := range c.Sensitivity {
		if i == 0 {
			l.d.Para(11, nil, paper.T("Repeated under other choices of threshold, of whom to count and of what is missing, each by its own interval: "), l.d.Ref("table-sensitivity"), paper.T("."), paper.M(" = the answer stayed, ≠ some choice changed it."))
		}
		mark := "="
		if !s.Stable {
			mark = "≠"
		}
		text := wording.Sentence(s.Reading)
		if !allTeeth(s.By) && s.By != l.set.Primary {
			text = "Exploratory: " + lowerFirst(text)
		}
		l.d.Item(mark, 11, nil, paper.T(text))
	}
}

func inside(x, low, high results.Number) bool { return x >= low && x <= high }

func (l *layout) caseMixTables() {
	l.matchedTable()
	l.sensitivityTable()
}

// matchedTable prints the cells over all teeth and the primary one.
func (l *layout) matchedTable() {
	var ms []results.Matched
	for _, m := range l.r.Questions.CaseMix.Matched {
		if allTeeth(m.By) || m.By == l.set.Primary {
			ms = append(ms, m)
		}
	}
	if len(ms) == 0 {
		return
	}
	t := paper.Table{ID: "table-matched", Title: "Matched strata beside the model (supplementary), clinician-designed minus software-suggested, points", Columns: []paper.Column{
		{Head: "Movement, course"},
		{Head: "Strata with both / all", W: 20, Right: true},
		{Head: "Movements inside / left out", W: 24, Right: true},
		{Head: "Cases", W: 12, Right: true},
		{Head: "Matched (" + l.level() + "\u00a0CI)", W: 26, Right: true},
		{Head: "Model (" + l.level() + "\u00a0CI)", W: 26, Right: true},
	}, Below: []paper.Run{paper.M("Strata: tooth class, size of the plan by doublings of the smallest meaningful plan, wear. Plans inside one doubling still differ in size: some confounding stays. Intervals are each cell's own, not corrected. Every cell: " + onSheet("matched strata") + ".")}}
	for _, m := range ms {
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: l.shortName(results.Comparison{By: m.By})},
			{Text: pair(m.Both, m.Strata)},
			{Text: pair(m.Inside, m.Outside)},
			{Text: wording.Count(m.Cases)},
			{Text: pointsText(m.Matched), Notes: l.notes(m.Warnings)},
			{Text: pointsText(m.Model)},
		}})
	}
	l.d.Space(2)
	l.d.Table(t)
}

// sensitivityTable sets choices against comparisons.
func (l *layout) sensitivityTable() {
	var ss []results.Sensitivity
	all := l.r.Questions.CaseMix.Sensitivity
	for _, s := range all {
		if allTeeth(s.By) || s.By == l.set.Primary {
			ss = append(ss, s)
		}
	}
	if len(ss) == 0 {
		ss = all
	}
	for i, part := range slices.Collect(slices.Chunk(ss, choiceColumns)) {
		t := paper.Table{ID: "table-sensitivity", Title: "The same comparison under other choices, clinician-designed minus software-suggested, points (" + l.level() + "\u00a0CI)", Columns: []paper.Column{{Head: "Choice"}}}
		if i > 0 {
			t.ID, t.Title = fmt.Sprintf("table-sensitivity-%d", i), "Other choices, further comparisons"
		}
		var names []string
		for _, s := range part {
			t.Columns = append(t.Columns, paper.Column{Head: l.shortName(results.Comparison{By: s.By}), W: 26, Right: true})
			for _, r := range s.Rows {
				if !slices.Contains(names, r.Choice) {
					names = append(names, r.Choice)
				}
			}
		}
		for _, name := range names {
			t.Rows = append(t.Rows, sensitivityRow(name, part))
		}
		if (i+1)*choiceColumns >= len(ss) {
			t.Below = []paper.Run{paper.M("Bold: by its own interval another verdict than that of the first row. With cases, movements and the share outside tolerance: " + onSheet("sensitivity") + ".")}
		}
		l.d.Space(2)
		l.d.Table(t)
	}
}

func sensitivityRow(name string, ss []results.Sensitivity) paper.Row {
	row := paper.Row{Cells: []paper.Cell{{Text: name}}}
	for _, s := range ss {
		cell := paper.Cell{Text: wording.Dash, Muted: true}
		for _, r := range s.Rows {
			if r.Choice == name {
				cell = paper.Cell{Text: pointsText(r.Adjusted), Bold: r.Verdict != s.Rows[0].Verdict}
			}
		}
		row.Cells = append(row.Cells, cell)
	}
	return row
}
