package report

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
)

// changed is section 6: criteria, protocol changes, and what changed since the
// audit before; it is left out where the practice declared nothing.
func (l *layout) changed() {
	q := l.r.Questions
	if len(q.Reaudit.Criteria) == 0 && q.Since == nil && len(q.Reaudit.Actions) == 0 {
		return
	}
	l.d.Section("section-changed", "What changed", 120)
	l.since(q.Since)
	l.criteria(q.Reaudit)
	for i := range q.Reaudit.Criteria {
		l.runChart(&q.Reaudit.Criteria[i], i)
	}
	l.protocolChanges(q.Reaudit)
	l.actionTable(q.Reaudit.Actions, "Actions", "table-actions")
}

func (l *layout) since(s *results.Since) {
	if s == nil {
		return
	}
	l.d.Heading(fmt.Sprintf("Since the audit of %s (%s)", s.PreviousDate, wording.Of(s.PreviousCases, "case")), 40)
	ids := l.notes(s.Warnings)
	for i, x := range s.Sentences {
		text := wording.Sentence(x)
		var ns []int
		if i == len(s.Sentences)-1 {
			text, ns = text+paper.Marks(ids), ids
		}
		l.d.Item("–", 11, ns, paper.T(text))
	}
	if len(s.Sentences) == 0 {
		l.d.Para(11, ids, paper.T("The two audits have no cell in common that could be compared."+paper.Marks(ids)))
	}
	l.sinceTable(s)
	for _, v := range s.Verdicts {
		if allTeeth(v.By) && v.Before != results.NotComparable && v.After != results.NotComparable {
			l.d.Item("–", 11, nil, paper.T(fmt.Sprintf("Style comparison, %s: %s then, %s now.", wording.Where(v.By, l.set.Notation), v.Before, v.After)))
		}
	}
	if len(s.Actions) > 0 {
		l.actionTable(s.Actions, "Actions of the audit before: done?", "table-actions-before")
	}
}

func (l *layout) sinceTable(s *results.Since) {
	if len(s.Cells) == 0 {
		return
	}
	t := paper.Table{ID: "table-since", Title: "Expression then and now, all teeth and styles", Columns: []paper.Column{
		{Head: "Movement"},
		{Head: "Cases then", W: 13, Right: true},
		{Head: "Cases now", W: 13, Right: true},
		{Head: "Then %", W: 12, Right: true},
		{Head: "Now %", W: 12, Right: true},
		{Head: "Change (" + l.level() + "\u00a0CI), points", W: 33, Right: true},
		{Head: "Beyond chance", W: 18},
	}, Below: []paper.Run{paper.M("As two independent audits; beyond chance after correction for the number of cells compared.")}}
	for _, c := range s.Cells {
		beyond := "no"
		if c.Changed {
			beyond = "yes"
		}
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: wording.Capital(wording.Movement(c.By)) + ", " + wording.Course(c.By.Course)},
			{Text: wording.Count(c.CasesBefore)},
			{Text: wording.Count(c.CasesAfter)},
			{Text: wording.Whole(c.Before)},
			{Text: wording.Whole(c.After)},
			{Text: wording.Points(c.Change) + " (" + wording.PointLimits(c.Low, c.High) + ")", Bold: c.Changed},
			{Text: beyond, Bold: c.Changed},
		}})
	}
	l.d.Space(1)
	l.d.Table(t)
}

// criteria is the table of targets and answers.
func (l *layout) criteria(r results.Reaudit) {
	if len(r.Criteria) == 0 {
		return
	}
	l.d.Heading("Against the practice's own criteria", 50)
	t := paper.Table{ID: "table-criteria", Title: "Criteria declared in " + r.File, Columns: []paper.Column{
		{Head: "Criterion"},
		{Head: "Target", W: 24, Right: true},
		{Head: "Observed (" + l.level() + "\u00a0CI)", W: 34, Right: true},
		{Head: "Cases / movements", W: 21, Right: true},
		{Head: "Answer", W: 28},
	}, Below: []paper.Run{paper.M("Met, or not met, only where the whole interval lies on one side of the target; else there is not enough data to say.")}}
	for _, c := range r.Criteria {
		ids := l.notes(c.Warnings)
		text := c.Criterion.Name
		if c.Criterion.Source != "" {
			text += " (" + c.Criterion.Source + ")"
		}
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: text},
			{Text: targetText(c.Criterion)},
			{Text: measureText(c.Criterion, c.Observed), Notes: ids},
			{Text: pair(c.Cases, c.Movements)},
			{Text: string(c.Answer), Bold: true},
		}})
	}
	l.d.Table(t)
}

func targetText(k results.Criterion) string {
	if k.AtMost != nil {
		return "at most " + measureValue(k, results.Number(*k.AtMost))
	}
	if k.AtLeast != nil {
		return "at least " + measureValue(k, results.Number(*k.AtLeast))
	}
	return wording.Dash
}

// measureUnit is the unit of a criterion that is an amount, else none.
func measureUnit(k results.Criterion) casebook.Unit {
	if k.Measure != results.MeanShortfallOf {
		return casebook.NoUnit
	}
	if k.Direction != casebook.NoDirection {
		return k.Direction.Axis().Unit()
	}
	return k.Axis.Unit()
}

func measureValue(k results.Criterion, v results.Number) string {
	if u := measureUnit(k); u != casebook.NoUnit {
		return wording.Fine(v, u)
	}
	return wording.Percent(v)
}

func measureText(k results.Criterion, s results.Spread) string {
	if !s.Low.OK() || !s.High.OK() {
		return measureValue(k, s.Value)
	}
	if u := measureUnit(k); u != casebook.NoUnit {
		return wording.FineInterval(s.Value, s.Low, s.High, u)
	}
	return fmt.Sprintf("%s (%s)", wording.Percent(s.Value), wording.Limits(s.Low, s.High))
}

// runChart draws one criterion by quarter.
func (l *layout) runChart(r *results.CriterionResult, i int) {
	c := r.Chart
	if len(c.Points) == 0 {
		return
	}
	k := r.Criterion
	if !slices.ContainsFunc(c.Points, func(p results.RunPoint) bool { return p.Value.OK() }) {
		ids := l.notes(c.Warnings)
		l.d.Space(0.5)
		l.d.Para(11, ids, paper.T(wording.Sentence(r.Reading)+" No quarter can be shown."+paper.Marks(ids)))
		return
	}
	target := nan
	if k.AtMost != nil {
		target = *k.AtMost
	} else if k.AtLeast != nil {
		target = *k.AtLeast
	}
	fig := chart.RunChart{
		Title: k.Name, Centre: number(c.Centre), Target: target, Width: l.d.Width(), YLabel: measureWords(k),
		Share: k.Measure == results.OutsideTolerance || k.Measure == results.CasesRefined,
		Label: func(v float64) string { return scaleLabel(k, v) },
	}
	for _, p := range c.Points {
		fig.Points = append(fig.Points, chart.RunPoint{
			Label: p.Quarter, N: l.quarterCases(p), Value: number(p.Value), Low: number(p.Low), High: number(p.High), Baseline: p.Baseline, Ringed: p.Breached, Hollow: p.Immature,
		})
	}
	for _, m := range c.Marks {
		at := slices.IndexFunc(c.Points, func(p results.RunPoint) bool { return p.Quarter == m.Quarter })
		if at >= 0 {
			fig.Marks = append(fig.Marks, chart.RunMark{At: at, Text: m.Text})
		}
	}
	below := runWords(c)
	if l.set.Shared && slices.ContainsFunc(c.Points, func(p results.RunPoint) bool { return p.Cases == 0 }) {
		below += " Dash: no cases, or too few to show."
	}
	ids := l.notes(c.Warnings)
	l.d.Space(1)
	l.d.Place(paper.Figure{ID: fmt.Sprintf("run-%d", i), Title: r.Reading, Chart: fig.Figure(runDesc(c)), Notes: ids, Below: []paper.Run{paper.M(below + paper.Marks(ids))}}, false)
}

// quarterCases is how many cases a quarter holds; in results that leave the
// practice an empty quarter and a withheld one look alike.
func (l *layout) quarterCases(p results.RunPoint) string {
	if l.set.Shared && p.Cases == 0 {
		return wording.Dash
	}
	return wording.Count(p.Cases)
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
	return "mean shortfall, " + wording.Unit(measureUnit(k))
}

func scaleLabel(k results.Criterion, v float64) string {
	if measureUnit(k) != casebook.NoUnit {
		return wording.Fixed(results.Number(v), 1)
	}
	return wording.Whole(results.Number(v))
}

// runWords names the rules that were broken, or says that none was.
func runWords(c results.RunChart) string {
	s := ""
	for _, b := range c.Breaches {
		s += "Ringed: " + b.Text + ". "
	}
	switch {
	case !c.Centre.OK():
		s = "Without limits and run rules. "
	case s == "":
		s = "No run rule is broken. "
	}
	if c.NoQuarter > 0 {
		s += fmt.Sprintf("%s without a month left out. ", wording.Of(c.NoQuarter, "movement"))
	}
	return strings.TrimSpace(s + wording.Sentence(c.Method))
}

func runDesc(c results.RunChart) string {
	s := ""
	for _, p := range c.Points {
		s += fmt.Sprintf("%s: %s, %s. ", p.Quarter, wording.Fixed(p.Value, 2), wording.Of(p.Cases, "case"))
	}
	return s
}

// protocolChanges sets before and after side by side.
func (l *layout) protocolChanges(r results.Reaudit) {
	if len(r.Changes) == 0 {
		return
	}
	l.d.Heading("Protocol changes, before and after", 50)
	t := paper.Table{ID: "table-changes", Title: "Courses begun before the change and from it on", Columns: []paper.Column{
		{Head: "Criterion"},
		{Head: "Before", W: 13, Right: true},
		{Head: "After", W: 13, Right: true},
		{Head: "Cases, before v after", W: 22, Right: true},
		{Head: "Difference (" + l.level() + "\u00a0CI)", W: 33, Right: true},
		{Head: "Step (" + l.level() + "\u00a0CI)", W: 29, Right: true},
	}, Below: []paper.Run{paper.M("Difference: after minus before, clustered by case. Step: the jump at the change once the trend by quarter before and after is taken out (segmented regression). Other things may have changed at the same time.")}}
	last := ""
	for _, c := range r.Changes {
		head := fmt.Sprintf("%v: %s", c.Change.Month, c.Change.Description)
		if head != last {
			t.Rows = append(t.Rows, paper.Row{Gap: len(t.Rows) > 0, Full: []paper.Run{paper.B(head)}})
			last = head
		}
		k := criterionNamed(r, c.Criterion)
		ids := l.notes(c.Warnings)
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: c.Criterion},
			{Text: measureValue(k, c.ValueBefore.Value)},
			{Text: measureValue(k, c.ValueAfter.Value)},
			{Text: bothCases(c.Before.Cases, c.After.Cases)},
			{Text: changeText(k, c.Difference), Notes: ids},
			{Text: changeText(k, c.Step)},
		}})
	}
	l.d.Table(t)
	for _, c := range r.Changes {
		l.d.Space(0.5)
		l.d.Para(11, nil, paper.T(wording.Sentence(c.Reading)))
	}
}

func criterionNamed(r results.Reaudit, name string) results.Criterion {
	for _, c := range r.Criteria {
		if c.Criterion.Name == name {
			return c.Criterion
		}
	}
	return results.Criterion{}
}

// changeText is a difference in points, or in the unit of the measure.
func changeText(k results.Criterion, d results.Difference) string {
	u := measureUnit(k)
	if u == casebook.NoUnit {
		return pointsText(d)
	}
	return wording.FineInterval(d.Difference, d.Low, d.High, u)
}

func (l *layout) actionTable(as []results.Action, title, id string) {
	if len(as) == 0 {
		return
	}
	t := paper.Table{ID: id, Title: title, Columns: []paper.Column{
		{Head: "Action"}, {Head: "Criterion", W: 44}, {Head: "Owner", W: 26}, {Head: "Due", W: 16}, {Head: "Re-audit", W: 16},
	}}
	for _, a := range as {
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{{Text: wording.Capital(a.What)}, {Text: a.Criterion}, {Text: a.Owner}, {Text: a.Due.String()}, {Text: a.Reaudit.String()}}})
	}
	l.d.Space(1)
	l.d.Table(t)
}
