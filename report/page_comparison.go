package report

import (
	"fmt"

	"shortfall/audit"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
	"shortfall/report/wording"
)

// compared is section 4: did the feature choice matter.
func (l *layout) compared() {
	l.d.Section("section-comparison", "Did the feature choice matter", 120)
	var drawn, listed []audit.Comparison
	for _, c := range l.r.Comparisons {
		if c.Verdict == audit.NotComparable {
			listed = append(listed, c)
		} else {
			drawn = append(drawn, c)
		}
	}
	l.d.Para(11, nil, paper.T("Clinician-designed is set against software-suggested within one kind of movement, tooth class and course, never across them. The styles were chosen, not drawn by lot: large plans attract suggestions and hard teeth attract the clinician's own design. What is shown is association."))
	l.d.Space(0.5)
	if len(drawn) == 0 {
		l.d.Para(11, nil, paper.B("No comparison was possible. "), paper.T("Every cell lacks cases in one style or the plans of the two styles do not overlap enough; the reasons are listed below."))
	} else {
		l.differenceFigure("difference", l.differenceTitle(drawn), drawn, true)
		l.inWords(drawn)
		l.balance(drawn)
	}
	l.notComparable(listed)
}

func highlighted(c audit.Comparison) bool {
	return c.Verdict == audit.Higher || c.Verdict == audit.Lower
}

func (l *layout) differenceTitle(drawn []audit.Comparison) string {
	n := map[audit.Verdict]int{}
	for _, c := range drawn {
		n[c.Verdict]++
	}
	return fmt.Sprintf("Clinician-designed against software-suggested: higher in %d, lower in %d, not distinguishable in %d of %d cells that could be compared",
		n[audit.Higher], n[audit.Lower], n[audit.NotDistinguishable], len(drawn))
}

// differenceFigure draws comparisons, over several pages where need be.
func (l *layout) differenceFigure(id, title string, cs []audit.Comparison, full bool) {
	var rows []chart.DifferenceRow
	var parts []part
	for _, c := range cs {
		ids := l.notes(c.Warnings)
		row := l.differenceRow(c, ids)
		rows, parts = append(rows, row), append(parts, part{row.Height(l.d.Width()), ids})
	}
	lo, hi := chart.DifferenceRange(rows)
	below := []paper.Run{paper.M(fmt.Sprintf("Points of expression, clinician-designed minus software-suggested; %s intervals, CR2 with Satterthwaite degrees of freedom. Bold: higher or lower after correction for multiple comparisons. ", l.level()))}
	if full {
		below = append(below, paper.M("P, what could have been seen, and how many more cases would settle it: "), l.d.Ref("table-comparisons"), paper.M("."))
	} else {
		below = append(below, paper.M("All comparisons: "), l.d.Ref("difference"), paper.M("."))
	}
	figure := func(from, to int) paper.Figure {
		fig := chart.Difference{Title: title, Rows: rows[from:to], Width: l.d.Width(), Lo: lo, Hi: hi, Left: "software-suggested", Right: "clinician-designed"}
		return paper.Figure{ID: id, Title: title, Chart: fig.Figure(differenceDesc(rows[from:to])), Below: below}
	}
	l.spread(parts, chart.DifferenceFrame+l.d.Frame(figure(0, 0)), false, figure)
}

func differenceDesc(rows []chart.DifferenceRow) string {
	s := ""
	for _, r := range rows {
		s += fmt.Sprintf("%s: unadjusted %s, adjusted %s, %s. ", r.Label, r.RawText, r.AdjText, r.Verdict)
	}
	return s
}

// differenceRow words one comparison.
func (l *layout) differenceRow(c audit.Comparison, ids []int) chart.DifferenceRow {
	row := chart.DifferenceRow{
		Label: wording.Capital(wording.Movement(c.By)) + ", " + wording.Place(c.By, l.set.Notation),
		Raw:   number(c.Unadjusted.Difference), RawLow: number(c.Unadjusted.Low), RawHigh: number(c.Unadjusted.High),
		Adj: number(c.Adjusted.Difference), AdjLow: number(c.Adjusted.Low), AdjHigh: number(c.Adjusted.High),
		RawText: pointsText(c.Unadjusted), AdjText: pointsText(c.Adjusted),
		Verdict: string(c.Verdict), Bold: highlighted(c), Marks: paper.Marks(ids),
	}
	row.Detail = wording.Course(c.By.Course) + armsText(c.Arms)
	if c.Primary {
		row.Detail += ", primary"
	}
	if row.Bold {
		row.Reading = c.Reading
	}
	return row
}

// armsText is ": 34 v 41 cases", clinician-designed first.
func armsText(arms []audit.Arm) string {
	var cl, sw audit.Arm
	for _, a := range arms {
		switch a.Style {
		case casebook.ClinicianDesigned:
			cl = a
		case casebook.SoftwareSuggested:
			sw = a
		}
	}
	return fmt.Sprintf(", %d v %d cases", cl.Cases, sw.Cases)
}

func pointsText(d audit.Difference) string {
	if !d.Low.OK() || !d.High.OK() {
		return wording.Points(d.Difference)
	}
	return wording.Points(d.Difference) + " (" + wording.PointLimits(d.Low, d.High) + ")"
}

// inWords explains the highlighted cells.
func (l *layout) inWords(drawn []audit.Comparison) {
	l.d.Heading("The highlighted cells in words", 3*paper.Baseline)
	any := false
	for _, c := range drawn {
		if !highlighted(c) {
			continue
		}
		any = true
		head := wording.Capital(wording.Where(c.By, l.set.Notation)) + ": " + string(c.Verdict) + ". "
		text := wording.Sentence(c.Reading) + fmt.Sprintf(" Adjusted for %s the difference is %s points (%s CI %s; P = %s after correction); unadjusted it is %s.",
			list(c.Adjusters), wording.Points(c.Adjusted.Difference), l.level(), wording.PointLimits(c.Adjusted.Low, c.Adjusted.High), wording.P(c.Adjusted.PAdjusted), wording.Points(c.Unadjusted.Difference))
		l.d.Para(11, nil, paper.B(head), paper.T(tidyP(text)), paper.M(" "+eValueText(c.EValue)))
		l.d.Space(0.5)
	}
	if !any {
		l.d.Para(11, nil, paper.T("None: no cell's interval leaves out zero after correction for multiple comparisons. That is not evidence that the styles do the same; how small a difference could have been seen is in "), l.d.Ref("table-comparisons"), paper.T("."))
	}
}

func eValueText(e audit.EValue) string {
	if e.Sentence == "" {
		return ""
	}
	return fmt.Sprintf("E-value %s (limit %s): %s", wording.Fixed(e.Estimate, 1), wording.Fixed(e.Limit, 1), wording.Sentence(e.Sentence))
}

// balance sets the covariates of the arms side by side for the cells shown in words.
func (l *layout) balance(drawn []audit.Comparison) {
	t := paper.Table{ID: "table-balance", Title: "Balance and overlap of the plans in the highlighted and the primary comparisons", Columns: []paper.Column{
		{Head: "Covariate"}, {Head: "Clinician-designed", W: 34, Right: true}, {Head: "Software-suggested", W: 34, Right: true}, {Head: "Standardised difference", W: 40, Right: true},
	}, Below: []paper.Run{paper.M("Means or shares; a standardised difference beyond ±0.1 is often taken as imbalance (Austin 2009, Stat Med 28:3083-3107). Overlap: movements inside the central 90 % of the other style's planned amounts.")}}
	for _, c := range drawn {
		if len(c.Balance) == 0 || !highlighted(c) && !c.Primary {
			continue
		}
		overlap := ""
		if c.Overlap.ShareInside.OK() {
			overlap = "; overlap " + wording.Percent(c.Overlap.ShareInside)
		}
		t.Rows = append(t.Rows, paper.Row{Gap: len(t.Rows) > 0, Full: []paper.Run{paper.B(wording.Capital(wording.Where(c.By, l.set.Notation))), paper.M(overlap)}})
		for _, b := range c.Balance {
			t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
				{Text: b.Covariate}, {Text: wording.Fixed(b.Clinician, 2)}, {Text: wording.Fixed(b.Software, 2)}, {Text: wording.Fixed(b.SMD, 2)},
			}})
		}
	}
	if len(t.Rows) > 0 {
		l.d.Space(1)
		l.d.Table(t)
	}
}

// notComparable lists what was not drawn, by reason.
func (l *layout) notComparable(cs []audit.Comparison) {
	if len(cs) == 0 {
		return
	}
	l.d.Heading(fmt.Sprintf("Not comparable: %s", wording.Of(len(cs), "cell")), 3*paper.Baseline)
	var reasons []string
	by := map[string][]audit.Comparison{}
	for _, c := range cs {
		reason := c.Overlap.Reason
		if reason == "" {
			reason = "reason in the footnotes"
		}
		if by[reason] == nil {
			reasons = append(reasons, reason)
		}
		by[reason] = append(by[reason], c)
	}
	for _, reason := range reasons {
		ids, runs := l.listed(by[reason])
		l.d.Para(12, ids, append([]paper.Run{paper.B(wording.Capital(reason) + ": ")}, runs...)...)
		l.d.Space(0.5)
	}
}

// listed names cells by movement and course, their teeth after a colon.
func (l *layout) listed(cs []audit.Comparison) (ids []int, runs []paper.Run) {
	var last audit.By
	for i, c := range cs {
		ns := l.notes(c.Warnings)
		ids = union(ids, ns)
		head, sep := audit.By{Axis: c.By.Axis, Direction: c.By.Direction, Course: c.By.Course}, ", "
		if head != last {
			sep = "; " + wording.Movement(head) + ", " + wording.Course(head.Course) + ": "
			if i == 0 {
				sep = sep[2:]
			}
			last = head
		}
		runs = append(runs, paper.T(sep+wording.Place(c.By, l.set.Notation)+paper.Marks(ns)))
	}
	return ids, append(runs, paper.T("."))
}
