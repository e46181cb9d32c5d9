package report

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/paper"
)

// quality is section 7: data quality and method error.
func (l *layout) quality() {
	l.d.Section("section-quality", "Data quality and method error", 100)
	l.auditWarnings()
	l.methodError()
	l.bounds()
	l.unplanned()
	l.excluded()
}

func (l *layout) auditWarnings() {
	for _, w := range l.r.Warnings {
		l.d.Item("•", 12, nil, paper.T(wording.Sentence(w.Text)), paper.M(" "+wording.Sentence(w.Remedy)))
	}
	if n := l.d.Unprintable(); n > 0 {
		l.d.Item("•", 12, nil, paper.T(fmt.Sprintf("%s of the texts in this report could not be printed and stand as “\uFFFD” or are left out.", wording.Of(n, "character"))))
	}
}

func (l *layout) methodError() {
	l.d.Heading("Method error", 4*paper.Baseline)
	if len(l.r.Repeats) == 0 {
		l.d.Para(11, nil, paper.T("No movement was measured twice, so the error of the measurement is not known. Measure at least 25 to 30 again (Springate, Eur J Orthod 2012;34:158-163)."))
		return
	}
	t := paper.Table{ID: "table-method-error", Title: "Second measurements of achieved movements", Columns: []paper.Column{
		{Head: "Unit", W: 16},
		{Head: "Pairs (cases)", W: 15, Right: true},
		{Head: "Bias (" + l.level() + " CI)", Right: true},
		{Head: "P", W: 12, Right: true},
		{Head: "Dahlberg", W: 19, Right: true},
		{Head: "Method of moments", W: 20, Right: true},
		{Head: "ICC", W: 12, Right: true},
		{Head: "Smallest detectable", W: 23, Right: true},
	}, Below: []paper.Run{paper.M("Dahlberg's error takes bias for random error; the method of moments does not (Springate 2012). A difference below the smallest detectable change cannot be told from measuring twice.")}}
	for _, m := range l.r.Repeats {
		u := m.Unit
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: wording.Unit(u), Notes: l.notes(m.Warnings)},
			{Text: pairsText(m)},
			{Text: wording.FineInterval(m.Bias.Value, m.Bias.Low, m.Bias.High, u)},
			{Text: wording.P(m.BiasP)},
			{Text: wording.Fine(m.Dahlberg, u)},
			{Text: wording.Fine(m.MethodOfMoments, u)},
			{Text: wording.Fixed(m.ICC.Value, 2)},
			{Text: wording.Fine(m.SmallestDetectable, u)},
		}})
	}
	l.dense(t)
}

func (l *layout) bounds() {
	if len(l.r.Bounds) == 0 {
		return
	}
	t := paper.Table{ID: "table-bounds", Title: "If every planned movement without a measured outcome had failed, or had succeeded", Columns: []paper.Column{
		{Head: "Direction"}, {Head: "Course", W: 24}, {Head: "Cases / movements", W: 32, Right: true}, {Head: "Missing", W: 16, Right: true}, {Head: "Worst", W: 16, Right: true}, {Head: "Observed", W: 18, Right: true}, {Head: "Best", W: 14, Right: true},
	}, Below: []paper.Run{paper.M("Expression. Worst: nothing was expressed; best: all that was planned.")}}
	for _, b := range l.r.Bounds {
		row := []paper.Cell{{Text: wording.Capital(wording.Movement(b.By))}, {Text: wording.Course(b.By.Course)}}
		if b.Suppressed {
			row = append(row, paper.Cell{Text: tooFew}, paper.Cell{}, paper.Cell{}, paper.Cell{}, paper.Cell{})
		} else {
			row = append(row, paper.Cell{Text: pair(b.Cases, b.Movements)}, paper.Cell{Text: wording.Count(b.Missing)}, paper.Cell{Text: wording.Percent(b.Worst)}, paper.Cell{Text: wording.Percent(b.Observed)}, paper.Cell{Text: wording.Percent(b.Best)})
		}
		t.Rows = append(t.Rows, paper.Row{Cells: row})
	}
	l.d.Space(1.5)
	l.dense(t)
}

func pair(cases, movements int) string {
	return wording.Count(cases) + " / " + wording.Count(movements)
}

func (l *layout) unplanned() {
	if len(l.r.Unplanned) == 0 {
		return
	}
	t := paper.Table{ID: "table-unplanned", Title: "Movement where less than the smallest meaningful amount was planned", Columns: []paper.Column{
		{Head: "Axis"}, {Head: "Cases / movements", W: 36, Right: true}, {Head: "Mean amount moved", W: 36, Right: true}, {Head: "Outside tolerance", W: 36, Right: true},
	}}
	for _, u := range l.r.Unplanned {
		row := []paper.Cell{{Text: wording.Capital(u.Axis.String())}}
		if u.Suppressed {
			row = append(row, paper.Cell{Text: tooFew}, paper.Cell{}, paper.Cell{})
		} else {
			row = append(row, paper.Cell{Text: pair(u.Cases, u.Movements)}, paper.Cell{Text: wording.Amount(u.MeanAbs, u.Unit)}, paper.Cell{Text: shareText(u.Outside, false), Notes: l.notes(u.Outside.Warnings)})
		}
		t.Rows = append(t.Rows, paper.Row{Cells: row})
	}
	l.d.Space(1.5)
	l.dense(t)
}

func (l *layout) excluded() {
	if len(l.r.Excluded) == 0 {
		return
	}
	t := paper.Table{ID: "table-excluded", Title: "Left out, with the reason", Columns: []paper.Column{
		{Head: "Reason"}, {Head: "Rows", W: 20, Right: true}, {Head: "Movements", W: 24, Right: true}, {Head: "Cases", W: 20, Right: true},
	}}
	for _, e := range l.r.Excluded {
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{{Text: wording.Capital(e.Reason)}, {Text: some(e.Rows)}, {Text: some(e.Movements)}, {Text: someCases(e)}}})
	}
	l.d.Space(1.5)
	l.dense(t)
}

func someCases(e results.Exclusion) string {
	if e.Suppressed {
		return tooFew
	}
	return some(e.Cases)
}

func pairsText(m results.MethodError) string {
	if m.Suppressed {
		return tooFew
	}
	return fmt.Sprintf("%d (%d)", m.Pairs, m.Cases)
}

// some writes a count, a dash for none.
func some(n int) string {
	if n == 0 {
		return wording.Dash
	}
	return wording.Count(n)
}
