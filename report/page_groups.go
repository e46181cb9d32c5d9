package report

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
)

func lowerFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToLower(r)) + s[n:]
}

// staging shows combined against sequenced movements and the heaviest teeth.
func (l *layout) staging() {
	s := l.r.Questions.Staging
	if len(s.Comparisons) == 0 && s.Teeth == 0 {
		return
	}
	l.d.Heading("Combined or sequenced movements", 60)
	l.groupWords(s.Comparisons, "combined movements", "sequenced ones")
	l.groupFigure("staging", "Combined against sequenced movements, difference in expression: "+toldOf(s.Comparisons), "combined", "sequenced", s.Comparisons)
	if s.Teeth > 0 {
		l.d.Space(0.5)
		l.d.Para(11, nil, paper.T(fmt.Sprintf("%s, in %s, a tooth had two or more large movements planned in one course. %s", times(s.Teeth), wording.Of(s.TeethCases, "case"), s.Definition)))
	}
	l.loadTable(s)
}

// times writes "Once" and "63 times".
func times(n int) string {
	if n == 1 {
		return "Once"
	}
	return wording.Count(n) + " times"
}

// mostLoads bounds the list in the text; the workbook has all.
const mostLoads = 8

func leftOnSheetLoads(n int) string {
	if n <= mostLoads {
		return ""
	}
	return fmt.Sprintf("The %d heaviest are printed, %d more: %s.", mostLoads, n-mostLoads, onSheet("heaviest teeth"))
}

func (l *layout) loadTable(s results.StagingAnswer) {
	if len(s.Loads) == 0 {
		return
	}
	t := paper.Table{ID: "table-loads", Title: "Teeth with two or more large movements in one course, heaviest first", Columns: []paper.Column{
		{Head: "Case", W: 17},
		{Head: "Course", W: 13, Right: true},
		{Head: "Tooth", W: 11, Right: true},
		{Head: "Planned"},
		{Head: "Staging", W: 20},
		{Head: "Load", W: 10, Right: true},
		{Head: "Left over", W: 13, Right: true},
		{Head: "Outside", W: 13, Right: true},
	}, Below: []paper.Run{paper.M("Load and what was left over, in tolerances; movements not measured are left out of the latter. Outside: movements outside tolerance. " + leftOnSheetLoads(len(s.Loads)))}}
	for _, x := range s.Loads[:min(mostLoads, len(s.Loads))] {
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: x.Case},
			{Text: fmt.Sprint(x.Course)},
			{Text: x.Tooth.In(l.set.Notation)},
			{Text: strings.Join(x.Movements, ", ")},
			{Text: x.Staging},
			{Text: wording.Fixed(x.Load, 1)},
			{Text: wording.Fixed(x.Residual, 1)},
			{Text: fmt.Sprint(x.Outside)},
		}})
	}
	l.d.Space(1)
	l.dense(t)
}

// fit shows features whose long face is square to the movement against others.
func (l *layout) fit() {
	s := l.r.Questions.Fit
	if len(s.Comparisons) == 0 {
		return
	}
	l.d.Heading("Orientation of the feature against the movement", 60)
	var rules []string
	for _, r := range s.Table {
		name := r.Axis.String()
		if r.Direction != casebook.NoDirection {
			name = r.Direction.String()
		}
		if name == casebook.Vertical.String() {
			name = "extrusion and intrusion"
		}
		rules = append(rules, fmt.Sprintf("%s for %s", r.Orientation, name))
	}
	l.d.Para(11, nil, paper.T("Taken as square to the movement is a long face that is "+strings.Join(rules, ", ")+"; any other goes against this table."), paper.M(" ("+wording.Sentence(s.TableSource)+")"))
	l.groupWords(s.Comparisons, "features that go with the table", "those that go against it")
	l.groupFigure("fit", "Long face square to the movement, or not, difference in expression: "+toldOf(s.Comparisons), "with the table", "against it", s.Comparisons)
	l.againstTable(s)
}

func (l *layout) againstTable(s results.FitAnswer) {
	if len(s.Against) == 0 {
		return
	}
	t := paper.Table{ID: "table-against", Title: "Records that go against the table", Columns: []paper.Column{
		{Head: "Axis", W: 40}, {Head: "Long face recorded", W: 34}, {Head: "Style", W: 40}, {Head: "Cases / movements", Right: true},
	}, Below: []paper.Run{paper.M(fmt.Sprintf("Featured movements not judged: %s without an orientation, %s the table is silent on.", wording.Count(s.NotRecorded), wording.Count(s.NoRule)))}}
	for _, x := range s.Against {
		n := pair(x.Cases, x.Movements)
		if x.Suppressed {
			n = tooFew
		}
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{{Text: wording.Capital(x.Axis.String())}, {Text: x.Recorded.String()}, {Text: wording.Style(x.Style)}, {Text: n}}})
	}
	l.d.Space(1)
	l.d.Table(t)
}

// toldOf counts the comparisons told apart: "1 of 24 told apart".
func toldOf(cs []results.GroupComparison) string {
	told, compared := 0, 0
	for _, c := range cs {
		if !c.Suppressed && c.Verdict != results.NotComparable {
			compared++
			told += btoi(stands(c))
		}
	}
	return fmt.Sprintf("%d of %s told apart", told, wording.Of(compared, "comparison"))
}

// groupWords sums the verdicts of a family up in one sentence.
func (l *layout) groupWords(cs []results.GroupComparison, group, reference string) {
	n := map[results.Verdict]int{}
	compared := 0
	for _, c := range cs {
		if !c.Suppressed {
			n[c.Verdict]++
			compared += btoi(c.Verdict != results.NotComparable)
		}
	}
	if compared == 0 {
		l.d.Para(11, nil, paper.T("No cell has enough cases of both to compare."))
		return
	}
	l.d.Para(11, nil, paper.T(fmt.Sprintf("%s set against %s, adjusted like a style comparison: higher in %d, lower in %d, not distinguishable in %d of %s. It is association: what is planned how is a choice.",
		wording.Capital(group), reference, n[results.Higher], n[results.Lower], n[results.NotDistinguishable], wording.Of(compared, "cell"))))
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// groupFigure draws a family of comparisons; the table behind has the numbers.
func (l *layout) groupFigure(id, title, group, reference string, cs []results.GroupComparison) {
	var rows []chart.DifferenceRow
	var parts []part
	for _, c := range cs {
		if c.Suppressed || c.Verdict == results.NotComparable {
			continue
		}
		if c.By.Course == results.Refinement && !stands(c) {
			continue
		}
		ids := l.notes(c.Warnings)
		row := l.groupRow(c, ids)
		rows, parts = append(rows, row), append(parts, part{row.Height(l.d.Width()), ids})
	}
	if len(rows) == 0 {
		return
	}
	lo, hi := chart.DifferenceRange(rows)
	figure := func(from, to int) paper.Figure {
		fig := chart.Difference{Title: title, Rows: rows[from:to], Level: l.level(), Width: l.d.Width(), Lo: lo, Hi: hi, Left: reference, Right: group}
		return paper.Figure{ID: id, Title: title, Chart: fig.Figure(differenceDesc(rows[from:to])), Below: []paper.Run{
			paper.M("Points of expression. Drawn are initial courses, and refinements that stand out. Verdicts after correction over this family of comparisons; all numbers: "), l.d.Ref("table-" + id), paper.M("."),
		}}
	}
	l.d.Space(0.5)
	spread{l: l, parts: parts, frame: chart.DifferenceFrame + l.d.Frame(figure(0, 0)), even: false, make: figure}.place()
}

func (l *layout) groupRow(c results.GroupComparison, ids []int) chart.DifferenceRow {
	bold := stands(c)
	return chart.DifferenceRow{
		Label: wording.Capital(wording.Movement(c.By)), Detail: fmt.Sprintf("%s, %d v %d cases", wording.Course(c.By.Course), c.Group.Cases, c.Reference.Cases),
		Raw: number(c.Unadjusted.Difference), RawLow: number(c.Unadjusted.Low), RawHigh: number(c.Unadjusted.High),
		Adj: number(c.Adjusted.Difference), AdjLow: number(c.Adjusted.Low), AdjHigh: number(c.Adjusted.High),
		RawText: pointsText(c.Unadjusted), AdjText: pointsText(c.Adjusted), Verdict: string(c.Verdict), Bold: bold, Marks: paper.Marks(ids),
	}
}

// stands is true where a comparison was told apart from no difference.
func stands(c results.GroupComparison) bool {
	return c.Verdict == results.Higher || c.Verdict == results.Lower
}

// groupTable holds the comparisons of a family that were judged; all are on a
// sheet of the workbook.
func (l *layout) groupTable(id, title, note, onto string, all []results.GroupComparison) {
	cs := slices.DeleteFunc(slices.Clone(all), func(c results.GroupComparison) bool { return c.Suppressed || c.Verdict == results.NotComparable })
	if len(cs) == 0 {
		return
	}
	t := paper.Table{ID: id, Title: title, Columns: []paper.Column{
		{Head: "Movement, course"},
		{Head: "Cases", W: 17, Right: true},
		{Head: "Unadjusted", W: 20, Right: true},
		{Head: "Adjusted (" + l.level() + "\u00a0CI)", W: 26, Right: true},
		{Head: "P, corr.", W: 12, Right: true},
		{Head: "Verdict", W: 31},
	}, Below: []paper.Run{paper.M(groupNames(cs) + note + "P is corrected over this family of comparisons. " + leftOnSheet(len(all)-len(cs), onto))}}
	mixed := groupNames(cs) == ""
	for i, c := range cs {
		name := wording.Capital(wording.Movement(c.By))
		if c.By.Course != "" {
			name += ", " + wording.Course(c.By.Course)
		}
		if mixed {
			if i == 0 || c.By != cs[i-1].By {
				t.Rows = append(t.Rows, paper.Row{Gap: i > 0, Full: []paper.Run{paper.B(name)}})
			}
			name = c.Group.Name // the reference is named below
		}
		bold := stands(c)
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: name},
			{Text: versus(c.Group.Cases, c.Reference.Cases)},
			{Text: wording.Points(c.Unadjusted.Difference)},
			{Text: pointsText(c.Adjusted), Bold: bold},
			{Text: wording.P(c.Adjusted.PAdjusted)},
			{Text: string(c.Verdict), Bold: bold, Notes: l.notes(c.Warnings)},
		}})
	}
	l.d.Space(2)
	l.d.Table(t)
}

// groupNames says once what is set against what where it is the same in every row.
func groupNames(cs []results.GroupComparison) string {
	for _, c := range cs {
		if c.Group.Name != cs[0].Group.Name || c.Reference.Name != cs[0].Reference.Name {
			return ""
		}
	}
	return wording.Capital(cs[0].Group.Name) + " v " + cs[0].Reference.Name + ". "
}

func leftOnSheet(n int, onto string) string {
	if n == 0 {
		return "With movements: " + onSheet(onto) + "."
	}
	return "With movements, and " + wording.Of(n, "comparison") + " with too few cases: " + onSheet(onto) + "."
}
