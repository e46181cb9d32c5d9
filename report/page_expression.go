package report

import (
	"math"
	"slices"
	"strconv"

	"shortfall/audit"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
	"shortfall/report/wording"
)

// expressed is section 3: dental charts and forest.
func (l *layout) expressed() {
	l.d.Section("section-expression", "What was expressed", 200)
	if len(l.r.Expression) == 0 {
		l.d.Para(11, nil, paper.T("No planned movement with a measured outcome is on record, so there is nothing to chart."))
		return
	}
	l.dentalCharts()
	l.forest()
}

// strata in print order.
var strata = []audit.CourseStratum{audit.Initial, audit.Refinement}

func (l *layout) dentalCharts() {
	w := l.d.Width()
	var parts []*chart.Figure
	var ids []int
	again := false
	flush := func() {
		if len(parts) == 0 {
			return
		}
		all := append([]*chart.Figure{chart.DentalLegend(w)}, parts...)
		desc := "Thirty-two teeth facing the patient, one chart an axis; the value in each cell is percent of the plan, the cases stand below it."
		l.d.Place(paper.Figure{
			ID: "dental", Title: "Expression by tooth, percent of the planned amount, as seen facing the patient (patient's right on the left of the page)",
			Chart: chart.Stack(2, "Expression by tooth", desc, all...), Notes: ids,
			Below: []paper.Run{paper.M("Ratio of sums, both directions together" + l.pooledWords() + ". Cells are as wide as crowns are relative to each other (Nelson & Ash 2010). In figures and movements: "), l.d.Ref("table-teeth"), paper.M(".")},
		}, again)
		parts, ids, again = nil, nil, true
	}
	const caption = 5 * paper.Baseline // title, lines below, space
	for _, a := range casebook.Axes() {
		fig, notes := l.dentalChart(a)
		if fig == nil {
			continue
		}
		height := chart.RowHeight*1.5 + caption + fig.H + 2
		for _, p := range parts {
			height += p.H + 2
		}
		merged := union(ids, notes)
		if len(parts) > 0 && l.d.Room(merged) < height {
			flush()
			l.d.NewPage()
			merged = notes
		}
		parts, ids = append(parts, fig), merged
	}
	flush()
}

// pooledWords tells the reader where the values are partially pooled.
func (l *layout) pooledWords() string {
	for _, c := range l.r.Expression {
		if c.By.Tooth != 0 && hasPooled(c) {
			return "; values of single teeth are drawn towards the mean of all teeth by a random-intercept model, more so where cases are few"
		}
	}
	return ""
}

func hasPooled(c audit.Cell) bool { return c.Pooled.OK() && c.Pooled != 0 }

// dentalChart of one axis, nil where nothing was planned along it.
func (l *layout) dentalChart(a casebook.Axis) (*chart.Figure, []int) {
	d := chart.Dental{Title: wording.Capital(a.String()), Rows: []string{"initial", "refinement"}, Width: l.d.Width()}
	var ids []int
	any := false
	for _, t := range casebook.AllTeeth() {
		tooth := chart.ToothCell{Label: t.In(l.set.Notation)}
		for _, s := range strata {
			v := chart.ToothValue{N: "0", Value: math.NaN()}
			if c, ok := l.cell(audit.By{Axis: a, Tooth: t, Course: s}); ok {
				any = true
				notes := l.notes(c.Warnings)
				ids = union(ids, notes)
				v = toothValue(c, paper.Marks(notes))
			}
			tooth.Rows = append(tooth.Rows, v)
		}
		d.Teeth = append(d.Teeth, tooth)
	}
	if !any {
		return nil, nil
	}
	return d.Figure("Expression of " + a.String() + " by tooth."), ids
}

func toothValue(c audit.Cell, marks string) chart.ToothValue {
	v := chart.ToothValue{N: strconv.Itoa(c.Cases), Value: math.NaN(), Marks: marks}
	est := c.Estimate
	if hasPooled(c) {
		est = c.Pooled
	}
	switch {
	case c.Suppressed:
		v.Few, v.N = true, ""
	case !est.OK():
		v.Few = true
	default:
		v.Value, v.Text = float64(est), wording.Whole(est)
	}
	return v
}

func union(a, b []int) []int {
	out := slices.Clone(a)
	for _, n := range b {
		if !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}
