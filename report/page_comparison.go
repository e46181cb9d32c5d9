package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

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
	switch {
	case len(drawn)+len(listed) == 0:
		l.d.Para(11, nil, paper.B("No comparison was possible: "), paper.T("no cell holds movements of either style."))
	case len(drawn) == 0:
		l.d.Para(11, nil, paper.B("No comparison was possible. "), paper.T("Every cell lacks cases in one style or the plans of the two styles do not overlap enough; the reasons are listed below."))
	default:
		l.differenceFigure("difference", l.differenceTitle(drawn), chosen(drawn), true).place()
		l.inWords(drawn)
	}
	l.notComparable(listed)
}

// chosen are the comparisons the figure draws: each direction over all teeth,
// the highlighted ones and the primary one. The table behind has all of them.
func chosen(cs []audit.Comparison) (out []audit.Comparison) {
	margins := false
	for _, c := range cs {
		margins = margins || allTeeth(c.By)
	}
	for _, c := range cs {
		if !margins || allTeeth(c.By) || c.Primary || highlighted(c) {
			out = append(out, c)
		}
	}
	return out
}

func allTeeth(by audit.By) bool {
	return by.ToothClass == casebook.NoClass && by.Tooth == 0 && by.Arch == casebook.NoArch
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
func (l *layout) differenceFigure(id, title string, cs []audit.Comparison, full bool) spread {
	var rows []chart.DifferenceRow
	var parts []part
	for _, c := range cs {
		ids := l.notes(c.Warnings)
		row := l.differenceRow(c, ids)
		rows, parts = append(rows, row), append(parts, part{row.Height(l.d.Width()), ids})
	}
	lo, hi := chart.DifferenceRange(rows)
	var more []paper.Run
	below := []paper.Run{paper.M(fmt.Sprintf("Points of expression, clinician-designed minus software-suggested; %s intervals, CR2 with Satterthwaite degrees of freedom. Bold: higher or lower after correction for multiple comparisons. ", l.level()) + paleWords(cs))}
	if full {
		below = append(below, paper.M("Drawn are each direction over all teeth, the bold cells and the primary one; every cell with P, what could have been seen, and how many more cases would settle it: "), l.d.Ref("table-comparisons"), paper.M("."))
	} else {
		below, more = nil, []paper.Run{paper.T("; all comparisons: "), l.d.Ref("difference")}
		if paleWords(cs) != "" {
			more = append(more, paper.M(" (pale: below the smallest change the measurement can detect)"))
		}
		for i := range rows { // finding and section 4 say it in words; page one has no room
			rows[i].Reading, parts[i].h = "", chart.DifferenceRow{}.Height(0)
		}
	}
	figure := func(from, to int) paper.Figure {
		fig := chart.Difference{Title: title, Rows: rows[from:to], Level: l.level(), Width: l.d.Width(), Lo: lo, Hi: hi, Left: "software-suggested", Right: "clinician-designed"}
		return paper.Figure{ID: id, Title: title, More: more, Chart: fig.Figure(differenceDesc(rows[from:to])), Below: below}
	}
	return spread{l, parts, chart.DifferenceFrame + l.d.Frame(figure(0, 0)), false, figure}
}

// paleWords explains the grey marks where there are any.
func paleWords(cs []audit.Comparison) string {
	for _, c := range cs {
		if c.BelowDetectable {
			return "Pale: below the smallest change the measurement can detect. "
		}
	}
	return ""
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
		Verdict: string(c.Verdict), Bold: highlighted(c), Pale: c.BelowDetectable, Marks: paper.Marks(ids),
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

// inWords explains the highlighted cells and the primary one.
func (l *layout) inWords(drawn []audit.Comparison) {
	l.d.Heading("The highlighted cells in words", 5*paper.Baseline)
	var told []audit.Comparison
	any := false
	for _, c := range drawn {
		any = any || highlighted(c)
		if highlighted(c) || c.Primary {
			told = append(told, c)
		}
	}
	if !any {
		l.d.Para(11, nil, paper.T("None: no cell's interval leaves out zero after correction for multiple comparisons. That is not evidence that the styles do the same; how small a difference could have been seen is in "), l.d.Ref("table-comparisons"), paper.T("."))
	} else {
		l.d.Para(11, nil, paper.T("The E-value says how strongly something not recorded would have to go with both the choice of the feature and a good result to explain the difference away; its limit, to make it indistinguishable. Covariates side by side: "), l.d.Ref("table-balance"), paper.T("."))
	}
	adjusted := ""
	for _, c := range told {
		l.d.Space(0.5)
		l.tell(c, list(c.Adjusters) != adjusted)
		adjusted = list(c.Adjusters)
	}
}

// tell explains one comparison; adjusters says whether to name them again.
func (l *layout) tell(c audit.Comparison, adjusters bool) {
	head := wording.Capital(string(c.Verdict))
	if c.Primary {
		head += " (the primary comparison)"
	}
	if c.Reading == "" {
		head = wording.Capital(wording.Where(c.By, l.set.Notation)) + ": " + head
	}
	text := tidyP(fmt.Sprintf("Unadjusted %s points; P = %s after correction.", pointsText(c.Unadjusted), wording.P(c.Adjusted.PAdjusted)))
	if c.Reading == "" {
		text = "Adjusted " + pointsText(c.Adjusted) + ". " + text
	}
	if adjusters {
		text += " Adjusted for " + list(c.Adjusters) + "."
	}
	ids := l.notes(c.Warnings)
	runs := []paper.Run{paper.B(head + ". "), paper.T(strings.TrimSpace(wording.Sentence(c.Reading)+" "+text) + paper.Marks(ids))}
	if c.EValue.Estimate.OK() {
		runs = append(runs, paper.T(fmt.Sprintf(" E-value %s (limit %s).", wording.Fixed(c.EValue.Estimate, 1), wording.Fixed(c.EValue.Limit, 1))))
	}
	l.d.Para(11, ids, append(runs, paper.M(balanceText(c)))...)
}

// balanceText names the covariates least balanced, and the overlap of the plans.
func balanceText(c audit.Comparison) string {
	text := ""
	if c.Overlap.ShareInside.OK() {
		text = fmt.Sprintf(" The plans overlap by %s.", wording.Percent(c.Overlap.ShareInside))
	}
	worst := slices.Clone(c.Balance)
	worst = slices.DeleteFunc(worst, func(b audit.Balance) bool { return !b.SMD.OK() })
	slices.SortStableFunc(worst, func(a, b audit.Balance) int {
		return cmp.Compare(math.Abs(float64(b.SMD)), math.Abs(float64(a.SMD)))
	})
	var names []string
	for _, b := range worst[:min(3, len(worst))] {
		names = append(names, fmt.Sprintf("%s (%s)", b.Covariate, wording.Fixed(b.SMD, 2)))
	}
	if len(names) > 0 {
		text += " Least balanced, as standardised difference: " + list(names) + "."
	}
	return text
}

// notComparable lists what was not drawn, with the reason.
func (l *layout) notComparable(cs []audit.Comparison) {
	if len(cs) == 0 {
		return
	}
	t := paper.Table{ID: "table-not-comparable", Title: "Not comparable: " + wording.Of(len(cs), "cell"), Columns: []paper.Column{
		{Head: "Teeth", W: 32}, {Head: "Cases CD v SS", W: 18, Right: true}, {Head: "Reason"},
	}}
	last, remedies := audit.By{}, []string{"CD clinician-designed, SS software-suggested."}
	for _, c := range cs {
		head := audit.By{Axis: c.By.Axis, Direction: c.By.Direction, Course: c.By.Course}
		if head != last {
			t.Rows = append(t.Rows, groupRow(len(t.Rows) > 0, wording.Movement(head), head.Course))
			last = head
		}
		reason := wording.Sentence(c.Overlap.Reason)
		for _, w := range c.Warnings {
			reason += " " + wording.Sentence(w.Text)
			if s := wording.Sentence(w.Remedy); !slices.Contains(remedies, s) {
				remedies = append(remedies, s)
			}
		}
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: wording.Place(c.By, l.set.Notation)}, {Text: versus(arm(c, casebook.ClinicianDesigned).Cases, arm(c, casebook.SoftwareSuggested).Cases)}, {Text: strings.TrimSpace(reason)},
		}})
	}
	t.Below = []paper.Run{paper.M(strings.Join(remedies, " "))}
	l.d.Space(1)
	l.d.Table(t)
}
