package report

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
)

// compared is section 4: did the feature choice matter.
func (l *layout) compared() {
	l.d.Section("section-comparison", "Did the feature choice matter", 120)
	drawn := judged(l.r.Comparisons)
	var listed []results.Comparison
	for _, c := range l.r.Comparisons {
		if c.Verdict == results.NotComparable {
			listed = append(listed, c)
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
		l.differenceFigure("difference", l.differenceTitle(chosen(drawn)), chosen(drawn), true).place()
		l.inWords(chosen(drawn))
		l.exploratory(drawn)
	}
	l.notComparable(listed)
}

// judged are the comparisons that were judged.
func judged(cs []results.Comparison) (out []results.Comparison) {
	for _, c := range cs {
		if c.Verdict != results.NotComparable {
			out = append(out, c)
		}
	}
	return out
}

// chosen are the comparisons that are drawn and told: each direction over all
// teeth and the primary one; finer cells are exploratory. Where there is no
// cell over all teeth, every cell.
func chosen(cs []results.Comparison) (out []results.Comparison) {
	margins := false
	for _, c := range cs {
		margins = margins || allTeeth(c.By)
	}
	for _, c := range cs {
		if !margins || allTeeth(c.By) || c.Primary {
			out = append(out, c)
		}
	}
	return out
}

func allTeeth(by results.By) bool {
	return by.ToothClass == casebook.NoClass && by.Tooth == 0 && by.Arch == casebook.NoArch
}

func highlighted(c results.Comparison) bool {
	return c.Verdict == results.Higher || c.Verdict == results.Lower
}

func (l *layout) differenceTitle(drawn []results.Comparison) string {
	n := map[results.Verdict]int{}
	for _, c := range drawn {
		n[c.Verdict]++
	}
	return fmt.Sprintf("Clinician-designed against software-suggested: higher in %d, lower in %d, not distinguishable in %d of %s",
		n[results.Higher], n[results.Lower], n[results.NotDistinguishable], wording.Of(len(drawn), "comparison"))
}

// differenceFigure draws comparisons, over several pages where need be.
func (l *layout) differenceFigure(id, title string, cs []results.Comparison, full bool) spread {
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
		below = append(below, paper.M("Drawn is each direction over all teeth, and the primary comparison. P, what could have been seen, and how many more cases would settle it: "), l.d.Ref("table-comparisons"), paper.M("."))
	} else {
		below, more = nil, []paper.Run{paper.T("; all comparisons: "), l.d.Ref("difference")}
		if paleWords(cs) != "" {
			more = append(more, paper.M(" (pale: below the smallest change the measurement can detect)"))
		}
	}
	figure := func(from, to int) paper.Figure {
		fig := chart.Difference{Title: title, Rows: rows[from:to], Level: l.level(), Width: l.d.Width(), Lo: lo, Hi: hi, Left: "software-suggested", Right: "clinician-designed"}
		return paper.Figure{ID: id, Title: title, More: more, Chart: fig.Figure(differenceDesc(rows[from:to])), Below: below}
	}
	return spread{l: l, parts: parts, frame: chart.DifferenceFrame + l.d.Frame(figure(0, 0)), make: figure}
}

// paleWords explains the grey marks where there are any.
func paleWords(cs []results.Comparison) string {
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
func (l *layout) differenceRow(c results.Comparison, ids []int) chart.DifferenceRow {
	row := chart.DifferenceRow{
		Label: wording.Capital(wording.Movement(c.By)) + ", " + wording.Place(c.By, l.set.Notation),
		Raw:   number(c.Unadjusted.Difference), RawLow: number(c.Unadjusted.Low), RawHigh: number(c.Unadjusted.High),
		Adj: number(c.Adjusted.Difference), AdjLow: number(c.Adjusted.Low), AdjHigh: number(c.Adjusted.High),
		RawText: pointsText(c.Unadjusted), AdjText: pointsText(c.Adjusted),
		Verdict: string(c.Verdict), Bold: highlighted(c), Pale: c.BelowDetectable, Marks: paper.Marks(ids),
	}
	row.Detail = wording.Course(c.By.Course) + armsText(c.Arms)
	switch {
	case c.Primary:
		row.Detail += ", primary"
	case !allTeeth(c.By):
		row.Detail += ", exploratory"
	}
	return row
}

// armsText is ": 34 v 41 cases", clinician-designed first.
func armsText(arms []results.Arm) string {
	var cl, sw results.Arm
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

func pointsText(d results.Difference) string {
	if !d.Low.OK() || !d.High.OK() {
		return wording.Points(d.Difference)
	}
	return wording.Points(d.Difference) + " (" + wording.PointLimits(d.Low, d.High) + ")"
}
