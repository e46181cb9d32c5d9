package report

import (
	"shortfall/audit"
	"shortfall/report/paper"
	"shortfall/report/wording"
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
			"The model's difference lies inside the matched interval in "+wording.Count(agree)+" of "+wording.Of(made, "cell")+": "), l.d.Ref("table-matched"), paper.T("."))
		l.d.Space(0.5)
	}
	for i, s := range c.Sensitivity {
		if i == 0 {
			l.d.Para(11, nil, paper.T("Repeated under other choices of threshold, of whom to count and of what is missing, each by its own interval: "), l.d.Ref("table-sensitivity"), paper.T("."))
		}
		mark := "="
		if !s.Stable {
			mark = "≠"
		}
		l.d.Item(mark, 11, nil, paper.T(wording.Sentence(s.Reading)))
	}
}

func inside(x, low, high audit.Number) bool { return x >= low && x <= high }

func (l *layout) caseMixTables() {
	l.matchedTable()
	l.sensitivityTable()
}

func (l *layout) matchedTable() {
	ms := l.r.Questions.CaseMix.Matched
	if len(ms) == 0 {
		return
	}
	t := paper.Table{ID: "table-matched", Title: "Matched strata beside the model, clinician-designed minus software-suggested, points", Columns: []paper.Column{
		{Head: "Teeth"},
		{Head: "Strata with both / all", W: 22, Right: true},
		{Head: "Movements inside / left out", W: 26, Right: true},
		{Head: "Cases", W: 12, Right: true},
		{Head: "Matched (" + l.level() + "\u00a0CI)", W: 31, Right: true},
		{Head: "Model (" + l.level() + "\u00a0CI)", W: 31, Right: true},
	}, Below: []paper.Run{paper.M("Strata: tooth class, size of the plan by doublings of the smallest meaningful plan, wear. Intervals are each cell's own, not corrected.")}}
	last := audit.By{}
	for _, m := range ms {
		head := audit.By{Axis: m.By.Axis, Direction: m.By.Direction, Course: m.By.Course}
		if head != last {
			t.Rows = append(t.Rows, paper.Row{Gap: len(t.Rows) > 0, Full: []paper.Run{paper.B(wording.Capital(wording.Movement(head))), paper.M(", " + wording.Course(head.Course))}})
			last = head
		}
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: wording.Place(m.By, l.set.Notation)},
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

func (l *layout) sensitivityTable() {
	ss := l.r.Questions.CaseMix.Sensitivity
	if len(ss) == 0 {
		return
	}
	t := paper.Table{ID: "table-sensitivity", Title: "The same comparison under other choices, clinician-designed minus software-suggested, points", Columns: []paper.Column{
		{Head: "Choice"},
		{Head: "Cases / movements", W: 22, Right: true},
		{Head: "Adjusted (" + l.level() + "\u00a0CI)", W: 30, Right: true},
		{Head: "Outside tolerance (" + l.level() + "\u00a0CI)", W: 32, Right: true},
		{Head: "By its own interval", W: 31},
	}, Below: []paper.Run{paper.M("Outside tolerance: difference in the share of movements, not adjusted.")}}
	for _, s := range ss {
		t.Rows = append(t.Rows, paper.Row{Gap: len(t.Rows) > 0, Full: []paper.Run{paper.B(wording.Capital(wording.Where(s.By, l.set.Notation)))}})
		for _, r := range s.Rows {
			n := pair(r.Cases, r.Movements)
			if r.Cases == 0 && l.set.Shared {
				n = wording.Dash
			}
			t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
				{Text: r.Choice}, {Text: n}, {Text: pointsText(r.Adjusted)}, {Text: pointsText(r.Outside)}, {Text: string(r.Verdict)},
			}})
		}
	}
	l.d.Space(2)
	l.d.Table(t)
}
